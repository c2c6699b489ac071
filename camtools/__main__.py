"""``python -m camtools``."""

from camtools.cli import main

main()
