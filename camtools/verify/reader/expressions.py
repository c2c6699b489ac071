"""Values on a line: numbers, parameters, functions and expressions in brackets.

NISTIR 6556 sections 3.3.2.1 to 3.3.2.4, p. 17-18 (numbers and what may stand for one); the order of operators, the ranges
of functions and the rounding of ROUND, FIX and FUP after the same sections, from memory.
"""

from __future__ import annotations

import math
import operator
import re
from collections.abc import Callable, Mapping

__all__ = ["LARGEST", "NUMBER", "PARAMETERS", "Cursor", "LineFault", "whole"]

NUMBER = r"[+-]?(?:[0-9]++(?:\.[0-9]*+)?|\.[0-9]++)"
PARAMETERS = range(1, 5400)
LARGEST = 1e7  # no coordinate, feed or speed of a machine comes near
_DEEPEST = 40  # brackets within brackets

_NUMBER = re.compile(NUMBER)
_EXPONENT = re.compile(r"E[+-]?[0-9]")
_UNARY = re.compile(r"ABS|ACOS|ASIN|ATAN|COS|EXP|FIX|FUP|LN|ROUND|SIN|SQRT|TAN")
_BINARY = re.compile(r"\*\*|[*/+-]|MOD|AND|XOR|OR")


class LineFault(Exception):
    """A line that can not be carried out; stays within the reader."""

    def __init__(self, code: str, text: str) -> None:
        super().__init__(text)
        self.code = code
        self.text = text


def whole(value: float, code: str, what: str) -> int:
    """Return an integer where a value is within 0.0001 of one (section 3.3.2.1, p. 17)."""
    nearest = round(value)
    if abs(value - nearest) > 1e-4:
        raise LineFault(code, f"{what} must be a whole number, not {value:g}")
    return nearest


def _divide(left: float, right: float) -> float:
    if right == 0.0:
        raise LineFault("bad-expression", "division by zero")
    return left / right


def _modulo(left: float, right: float) -> float:
    if right == 0.0:
        raise LineFault("bad-expression", "division by zero")
    return math.fmod(left, right) % abs(right)  # never negative


def _power(left: float, right: float) -> float:
    if left < 0.0 and right != int(right):
        raise LineFault("bad-expression", "a negative number to a broken power")
    return float(left**right)


_OPERATORS: dict[str, tuple[int, Callable[[float, float], float]]] = {
    "**": (3, _power),
    "*": (2, operator.mul),
    "/": (2, _divide),
    "MOD": (2, _modulo),
    "+": (1, operator.add),
    "-": (1, operator.sub),
    "AND": (1, lambda left, right: float(left != 0.0 and right != 0.0)),
    "OR": (1, lambda left, right: float(left != 0.0 or right != 0.0)),
    "XOR": (1, lambda left, right: float((left != 0.0) != (right != 0.0))),
}
_FUNCTIONS: dict[str, Callable[[float], float]] = {
    "ABS": abs,
    "ACOS": lambda value: math.degrees(math.acos(value)),
    "ASIN": lambda value: math.degrees(math.asin(value)),
    "COS": lambda value: math.cos(math.radians(value)),
    "EXP": math.exp,
    "FIX": lambda value: float(math.floor(value)),
    "FUP": lambda value: float(math.ceil(value)),
    "LN": math.log,
    "ROUND": lambda value: float(int(value + math.copysign(0.5, value))),
    "SIN": lambda value: math.sin(math.radians(value)),
    "SQRT": math.sqrt,
    "TAN": lambda value: math.tan(math.radians(value)),
}


class Cursor:
    """Walks along a line that has no spaces and no small letters.

    Parameters
    ----------
    text
        The line.
    parameters
        Numbered parameters, 1 to 5399; those missing are 0.
    """

    def __init__(self, text: str, parameters: Mapping[int, float]) -> None:
        self.text = text
        self.at = 0
        self._parameters = parameters
        self._depth = 0

    def value(self) -> float:
        """Read a number or what may stand for one."""
        match = _NUMBER.match(self.text, self.at)
        if match:
            self.at = match.end()
            if _EXPONENT.match(self.text, self.at):
                raise LineFault("number-with-exponent", f"{match.group()}{self.text[self.at :][:6]}: write the number out")
            return float(match.group())
        self._depth += 1
        if self._depth > _DEEPEST:
            raise LineFault("bad-expression", f"more than {_DEEPEST} brackets within each other")
        try:
            result = self._made()
        except (ValueError, ArithmeticError) as error:
            raise LineFault("bad-expression", f"no value: {error}") from None
        self._depth -= 1
        if not abs(result) < math.inf:
            raise LineFault("bad-expression", "the value is beyond all bounds")
        return result

    def index(self) -> int:
        """Read the number of a parameter, after its ``#``."""
        number = whole(self.value(), "bad-expression", "a parameter's number")
        if number not in PARAMETERS:
            raise LineFault("bad-expression", f"parameter {number} is not one of 1 to 5399")
        return number

    def take(self, text: str) -> bool:
        """Step over a text if it stands here."""
        if self.text.startswith(text, self.at):
            self.at += len(text)
            return True
        return False

    def _made(self) -> float:
        if self.text.startswith("[", self.at):
            return self._bracket()
        if self.take("#"):
            return self._parameters.get(self.index(), 0.0)
        name = _UNARY.match(self.text, self.at)
        if not name:
            raise LineFault("number-missing", f"no number at '{self.text[max(0, self.at - 1) :][:8]}'")
        self.at = name.end()
        argument = self._bracket()
        if name.group() == "ATAN":
            if not self.take("/"):
                raise LineFault("bad-expression", "ATAN takes two brackets, ATAN[..]/[..]")
            return math.degrees(math.atan2(argument, self._bracket()))
        return _FUNCTIONS[name.group()](argument)

    def _bracket(self) -> float:
        if not self.take("["):
            raise LineFault("bad-expression", "an opening bracket is missing")
        result = self._sum(1)
        if not self.take("]"):
            raise LineFault("bad-expression", "a closing bracket is missing, or an operator is unknown")
        return result

    def _sum(self, least: int) -> float:
        left = self.value()
        while match := _BINARY.match(self.text, self.at):
            strength, work = _OPERATORS[match.group()]
            if strength < least:
                break
            self.at = match.end()
            left = work(left, self._sum(strength + 1))
        return left
