"""What the machine reaches of a board in one setting, and what takes several. docs/joinery.md section 3."""
