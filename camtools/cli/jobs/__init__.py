"""Commands that a job file is begun and set out with."""
