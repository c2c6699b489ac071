"""Judges trial boards: measures every step in the carved wood, and holds it against the job file."""
