"""Expressions against the 47-line sample of NISTIR 6556 appendix C.2, p. 85-86, in which each comment states the X that must result.

The lines are written from memory; every stated value also follows by arithmetic.
"""

from __future__ import annotations

import pytest

from camtools.verify.reader.interpreter import run

SAMPLE = [
    ("[1 + 2]", 3),
    ("[1 - 2]", -1),
    ("[1 --3]", 4),
    ("[2/5]", 0.40),
    ("[3.0 * 5]", 15),
    ("[0 OR 0]", 0),
    ("[0 OR 1]", 1),
    ("[2 or 2]", 1),
    ("[0 AND 0]", 0),
    ("[0 AND 1]", 0),
    ("[2 and 2]", 1),
    ("[0 XOR 0]", 0),
    ("[0 XOR 1]", 1),
    ("[2 xor 2]", 0),
    ("[15 MOD 4.0]", 3),
    ("[1 + 2 * 3 - 4 / 5]", 6.2),
    ("sin[30]", 0.5),
    ("cos[0.0]", 1.0),
    ("tan[60.0]", 1.7321),
    ("sqrt[3]", 1.7321),
    ("atan[1.7321]/[1.0]", 60.0),
    ("asin[1.0]", 90.0),
    ("acos[0.707107]", 45.0000),
    ("abs[20.0]", 20),
    ("abs[-1.23]", 1.23),
    ("round[-0.499]", 0),
    ("round[-0.5001]", -1.0),
    ("round[2.444]", 2),
    ("round[9.975]", 10),
    ("fix[-0.499]", -1.0),
    ("fix[2.444]", 2),
    ("fup[-0.499]", 0.0),
    ("fup[2.444]", 3),
    ("exp[2.3026]", 10),
    ("ln[10.0]", 2.3026),
    ("[2 ** 3.0]", 8.0),
    ("[1 + acos[[2*3/4-1]/[sin[45]]]*2]", 91.0),
    ("[[1.0 + 2.0] * [2 ** -2]]", 0.75),
]


@pytest.mark.parametrize(("expression", "x"), SAMPLE)
def test_an_expression_has_the_stated_value(expression: str, x: float) -> None:
    made = run(f"G21 F20 G1 X {expression}\nM2", "c2.ngc", start=(0, 0, 0))
    assert made.complete, made.findings
    assert made.motions[0].end[0] == pytest.approx(x, abs=2e-3)


def test_parameters_are_set_after_their_line_was_read() -> None:
    """Sections 3.2.1 p. 12-14 and 3.3.2.2 p. 17-18; that settings come into force after their line: 3.3.3, from memory."""
    made = run("#3=15\n#3=6 G0 X#3\nX#3\n#6=3 #7=[#3+1]\nX##6 Y#7\nX#99\nM2", "parameters.ngc", start=(0, 0, 0))
    assert [motion.end[:2] for motion in made.motions] == [(15, 0), (6, 0), (6, 7), (0, 7)]


@pytest.mark.parametrize(
    "expression",
    [
        "[1/0]",
        "[1 MOD 0]",
        "sqrt[-1]",
        "ln[0]",
        "asin[2]",
        "acos[-2]",
        "[-1 ** 0.5]",
        "[10 ** 400]",
        "exp[1000]",
        "#0",
        "#5400",
        "#1.5",
        "[1+2",
        "[0 ** -1]",
        "[1 % 2]",
        "[]",
        "sin 30",
        "atan[1]",
        "hypot[1]",
        "-[1]",
        "[" * 60 + "1" + "]" * 60,
    ],
)
def test_an_expression_without_a_value_ends_the_run(expression: str) -> None:
    made = run(f"G0 X1\nX{expression}\nM2", "bad.ngc", start=(0, 0, 0))
    assert not made.complete
    assert [(finding.code, finding.line) for finding in made.findings if finding.severity == "error" and finding.line == 2] in (
        [("bad-expression", 2)],
        [("number-missing", 2)],
        [("bad-character", 2)],
    )
    assert len(made.motions) == 1
