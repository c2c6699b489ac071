"""Holds, centre lines, passes and programs: lists of moves with a cutter."""
