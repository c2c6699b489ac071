"""A board in a machine for tests of the rules of motion: upright or flat, two cutters, and what limits them."""

from __future__ import annotations

from collections.abc import Sequence

from camtools.output.manifest import (
    BoardEntry,
    Limits,
    MachineLimits,
    Manifest,
    ProgramEntry,
    ProgramLimits,
    ToolEntry,
    ToolLimits,
    ZoneEntry,
)
from camtools.verify.findings import Finding
from camtools.verify.reader.interpreter import run
from camtools.verify.reader.motion import Motion
from camtools.verify.rules.motion_rules import judge
from camtools.verify.rules.workplace import Stated

STATED = "G21 G17 G90 G94 G40 G54"
READY_DOVETAIL = f"{STATED}\nT1 M6 G43 H1\nS16000 M3\nG0 Z10\n"  # four lines, so that the code under test begins on line 5
READY_STRAIGHT = f"{STATED}\nT2 M6 G43 H2\nS16000 M3\nG0 Z10\n"
FIRST = 5

DOVETAIL = ToolEntry(number=1, kind="dovetail", diameter=12.0, half_angle=14.0, cutting_length=14.0, shank=8.0)
STRAIGHT = ToolEntry(number=2, kind="straight", diameter=6.0, half_angle=0.0, cutting_length=22.0, shank=6.0)

UPRIGHT = ProgramEntry(
    file="programs/side.ngc",
    board="side",
    hold="upright",
    stop="left",
    work_offset="G54",
    to_machine=((0.0, 1.0, 0.0, 0.0), (0.0, 0.0, -1.0, 0.0), (-1.0, 0.0, 0.0, 0.0)),
    tools=[1, 2],
    kind="cut",
    seconds=1.0,
    order=1,
)
"""Board X 0 to 80, Y -12 to 0, Z -250 to 0; backing to Y 15."""

FLAT = UPRIGHT.model_copy(
    update={
        "file": "programs/front.ngc",
        "board": "front",
        "hold": "flat",
        "to_machine": ((0.0, 1.0, 0.0, 0.0), (1.0, 0.0, 0.0, -300.0), (0.0, 0.0, 1.0, -20.0)),
    }
)
"""Board X 0 to 80, Y -300 to 0, Z -20 to 0."""

_PLACE = ((1.0, 0.0, 0.0, 0.0), (0.0, 1.0, 0.0, 0.0), (0.0, 0.0, 1.0, 0.0))

MANIFEST = Manifest(
    manifest=1,
    job="bench",
    generator="tests",
    units="mm",
    tools=[DOVETAIL, STRAIGHT],
    drawers=[],
    boards=[
        BoardEntry(id="side", role="left side", size=(250.0, 80.0, 12.0), count=1, to_drawer=_PLACE),
        BoardEntry(id="front", role="front", size=(300.0, 80.0, 20.0), count=1, to_drawer=_PLACE),
    ],
    programs=[UPRIGHT, FLAT],
)

LIMITS = Limits(
    limits=1,
    machine=MachineLimits(
        travel=(400.0, 350.0, 90.0),
        min_speed=6000.0,
        max_speed=24000.0,
        max_feed=4000.0,
        rapid=5000.0,
        acceleration=200.0,
        clearance=10.0,
        retract=10.0,
    ),
    tools=[
        ToolLimits(number=1, max_speed=18000.0, max_feed=2000.0, depth_per_pass=None, plunges=False, stick_out=26.0, holder=30.0),
        ToolLimits(number=2, max_speed=24000.0, max_feed=3000.0, depth_per_pass=3.0, plunges=False, stick_out=30.0, holder=30.0),
    ],
    programs=[
        ProgramLimits(
            file="programs/side.ngc",
            backing=15.0,
            spoilboard=0.0,
            zones=[
                ZoneEntry(name="stop", low=(-60.0, -12.0, -500.0), high=(0.0, 0.0, -20.0)),
                ZoneEntry(name="plate", low=(-500.0, 15.0, -500.0), high=(500.0, 115.0, 0.0)),
            ],
        ),
        ProgramLimits(
            file="programs/front.ngc",
            backing=0.0,
            spoilboard=0.5,
            zones=[ZoneEntry(name="fence", low=(-500.0, 0.0, -20.0), high=(500.0, 60.0, -5.0))],
        ),
    ],
    joints=[],
)


def judged(
    text: str,
    program: ProgramEntry = UPRIGHT,
    limits: Limits = LIMITS,
    manifest: Manifest = MANIFEST,
    stated: Stated | None = None,
    before: Sequence[Motion] = (),
) -> tuple[Finding, ...]:
    """Run a text and return what the rules of motion say; the reader itself must find nothing."""
    made = run(text + "\nG0 Z10\nM5\nM30\n", program.file, tools=[tool.number for tool in manifest.tools])
    assert made.findings == ()
    return judge(made, program, limits, manifest, stated, before)


def told(findings: tuple[Finding, ...]) -> list[tuple[str, int]]:
    """Codes and lines of findings."""
    return [(finding.code, finding.line) for finding in findings]
