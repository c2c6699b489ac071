"""Pictures of setups and programs: the board in the machine, the motion from above, the cutter in its true shape."""
