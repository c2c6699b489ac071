"""Programs edited by any hand: the check always ends with a verdict, in bounded time."""

from __future__ import annotations

import re
import time

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from camtools.verify.checking import check
from tests.verify.small_packet import Small

SMALL = Small()
TEXTS = SMALL.programs()
NUMBERS = st.one_of(
    st.floats(-200.0, 200.0).map(lambda value: f"{value:.4f}"),
    st.sampled_from(["0", "-0", "1e9", "99999999", "-99999999", "0.00001", "360", "9" * 30, ".", "", "#1", "[1/0]"]),
)
LINES = st.one_of(
    st.sampled_from([
        "G91", "G20", "G18", "G2 X50 Y50 R9000", "G2 X1 Y1 I5000 J5000", "G3 I0.001 J0", "G3 I3 J0 Z-9", "G2 I900 F900",
        "G92 X0", "G81 X1 Y1 Z-5 R1", "G53 G0 Z0", "M3 S1", "T2 M6", "%", "M30", "G1 Z-15", "G1 Z-15 X90 Y-40", "G0 Z-9",
        "G93", "G41 D1",
    ]),
    st.text(alphabet="GXYZIJRFSTM0123456789.-() ", max_size=24),
)  # fmt: skip


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(data=st.data())
def test_any_edit_of_a_program_gives_a_verdict(data, tmp_path_factory):
    packet = SMALL.write(tmp_path_factory.mktemp("edited") / "packet")
    stem = data.draw(st.sampled_from(sorted(TEXTS)))
    lines = TEXTS[stem].split("\n")
    for _ in range(data.draw(st.integers(1, 3))):
        number = data.draw(st.integers(0, len(lines) - 1))
        kind = data.draw(st.sampled_from(["drop", "twice", "number", "new", "swap"]))
        if kind == "drop" and len(lines) > 1:
            del lines[number]
        elif kind == "twice":
            lines.insert(number, lines[number])
        elif kind == "number":
            new = data.draw(NUMBERS)
            lines[number] = re.sub(r"-?\d+\.?\d*", new, lines[number], count=1)
        elif kind == "new":
            lines.insert(number, data.draw(LINES))
        else:
            lines[number], lines[number - 1] = lines[number - 1], lines[number]
    (packet / "programs" / f"{stem}.ngc").write_text("\n".join(lines), encoding="ascii")
    report = check(packet, jobs=1)
    assert report.exit_code in (0, 1, 2)
    changed = "\n".join(lines) != TEXTS[stem]
    assert changed or report.ok


@pytest.mark.parametrize(
    "moves",
    [
        "G1 Z-5 F900\n" + "\n".join(f"G1 X{10 + i % 80}.{i % 997:03d} Y{-(i % 13)}.{i % 89:02d}" for i in range(30_000)),
        "G1 Z-5 F900\n" + "\n".join("G3 I0.5 J0 F900" for _ in range(20_000)),
        "G1 Z-2 F900\nG2 X40 Y-5 R9000\nG3 I4000 J0\nG2 I0 J4900 Z-8",
        "G1 Z-2 F900\n" + "\n".join(f"G2 I0 J3000 Z-{i % 8}" for i in range(2000)),
    ],
    ids=["30,000 moves", "20,000 full circles", "arcs of metres", "2,000 wide helices"],
)
def test_program_of_absurd_length_or_reach_does_not_hang(moves, tmp_path):
    packet = SMALL.write(tmp_path / "packet")
    place = packet / "programs" / "left-front.ngc"
    head, _, _ = TEXTS["left-front"].partition("G0 X")
    place.write_text(f"{head}G0 X10 Y-20\n{moves}\nG0 Z12\nM5\nM30\n", encoding="ascii")
    started = time.process_time()
    report = check(packet, jobs=1)
    assert not report.ok
    assert time.process_time() - started < 60.0
