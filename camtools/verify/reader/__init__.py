"""From the text of a program to the motions that a machine would make of it. Source of every rule: NISTIR 6556."""
