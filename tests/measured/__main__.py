"""Cuts drawers from random sets of boards and checks them: ``python -m tests.measured [FIRST LAST]``, by default the seeds 0 to 99."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from tests.measured.sheets import packet_of
from tests.measured.telling import judged

first, last = map(int, sys.argv[1:3] or (0, 100))
spoiled = 0
for seed in range(first, last):
    with tempfile.TemporaryDirectory() as folder:
        _, wrong = judged(packet_of(Path(folder), seed))
    spoiled += bool(wrong)
    for text in wrong:
        print(f"{seed}: {text}", flush=True)
print(f"{last - first} sets of boards; {spoiled} that do not close")
sys.exit(spoiled > 0)
