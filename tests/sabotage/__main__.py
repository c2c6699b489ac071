"""``python -m tests.sabotage``: every way to spoil a good packet, and what caught it."""

from __future__ import annotations

import tempfile
from pathlib import Path

from camtools.verify.checking import check
from tests.sabotage.packets import Packet, good_packet, good_trial
from tests.sabotage.trial_ways import TRIAL_WAYS
from tests.sabotage.ways import WAYS


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        packets = (good_packet(folder), WAYS), (good_trial(folder / "trial"), TRIAL_WAYS)
        ways = [(good, way, spoil) for good, own in packets for way, spoil in own.items()]
        print(f"{'way to spoil a packet':<56} {'caught as':<28} where (and other codes)")
        for number, (good, way, spoil) in enumerate(ways, 1):
            packet = Packet(good, folder / f"{number}")
            expected = spoil(packet)
            errors = check(packet.folder, jobs=1).errors
            caught = [finding for finding in errors if (finding.code, finding.file) == (expected.code, expected.file)]
            where = next((f"{finding.file}:{finding.line}" for finding in caught if expected.at(finding.line)), "NOT CAUGHT")
            others = sorted({finding.code for finding in errors} - {expected.code})
            print(f"{way:<56} {expected.code:<28} {where}" + (f" ({', '.join(others)})" if others else ""))


if __name__ == "__main__":
    main()
