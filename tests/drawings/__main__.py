"""``python -m tests.drawings [FIRST LAST]``: sheets of random jobs, by default of the seeds 0 to 299, on which nothing may overlap."""

from __future__ import annotations

import sys

from tests.drawings.random_sheets import amiss_in_random_job

first, last = map(int, sys.argv[1:3] or (0, 300))
found = [amiss_in_random_job(seed) for seed in range(first, last)]
for text in (text for own in found for text in own or ()):
    print(text, flush=True)
drawn = [own for own in found if own is not None]
print(f"{len(drawn)} jobs drawn, {len(found) - len(drawn)} refused; {sum(map(bool, drawn))} with something amiss")
sys.exit(any(drawn))
