"""What the maker's hands do at the machine: which boards stand there at once, and how long handling takes."""
