"""Rules of what stands on the machine at once: two boards, stacks of equal ones, and boards that are slid from setting to setting."""
