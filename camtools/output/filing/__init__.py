"""How programs become the files that are run: in parts where a controller holds only so much, and two together for two boards at once."""
