"""Reads a job file (TOML), converts its lengths and names every fault at once."""
