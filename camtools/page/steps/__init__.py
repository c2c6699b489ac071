"""The order of work, a step at a time: what is done, with which boards in which state, and what it takes."""
