"""How long camtools takes and how much memory it needs; run all with ``make bench``."""
