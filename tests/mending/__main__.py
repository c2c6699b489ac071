"""Tries remedies on random jobs that are refused: ``python -m tests.mending [FIRST LAST]``, by default the seeds 0 to 1999."""

from __future__ import annotations

import sys

from tests.mending.refused_jobs import refused_job
from tests.mending.remedied import faults_of_file, judged

first, last = map(int, sys.argv[1:3] or (0, 2000))
faults = wrong = 0
for seed in range(first, last):
    found, count = judged(refused_job(seed, faults_of_file))
    faults, wrong = faults + count, wrong + len(found)
    for text in found:
        print(f"{seed}: {text}", flush=True)
print(f"{last - first} refused jobs with {faults} faults; {wrong} without a remedy that works")
sys.exit(wrong > 0)
