"""The codes of the language as tables: modal groups, and which words belong to which codes.

G codes are held in tenths, so that 59.1 is 591. Source: NISTIR 6556 (Kramer, Proctor, Messina, 2000), Table 3 p. 16 and
Table 4 p. 20; which word belongs to which code follows the published source of that interpreter.
"""

from __future__ import annotations

from types import MappingProxyType

__all__ = ["AXES", "CYCLES", "G_GROUP", "M_GROUP", "NON_MODAL_WITH_AXES", "NOT_JUDGED", "OFFSETS", "USERS"]

_G_MEMBERS = {
    0: (40, 100, 280, 300, 530, 920, 921, 922, 923),  # non-modal
    1: (0, 10, 20, 30, 382, 800, 810, 820, 830, 840, 850, 860, 870, 880, 890),  # motion
    2: (170, 180, 190),  # plane
    3: (900, 910),  # distance
    5: (930, 940),  # feed mode
    6: (200, 210),  # units
    7: (400, 410, 420),  # radius compensation
    8: (430, 490),  # length offset
    10: (980, 990),  # return of cycles
    12: (540, 550, 560, 570, 580, 590, 591, 592, 593),  # work offset
    13: (610, 611, 640),  # path control
}
_M_MEMBERS = {4: (0, 1, 2, 30, 60), 6: (6,), 7: (3, 4, 5), 8: (7, 8, 9), 9: (48, 49)}

G_GROUP = MappingProxyType({code: group for group, members in _G_MEMBERS.items() for code in members})
M_GROUP = MappingProxyType({code: group for group, members in _M_MEMBERS.items() for code in members})

AXES = "XYZ"
OFFSETS = MappingProxyType({code: place for place, code in enumerate(_G_MEMBERS[12])})  # code -> 0 for G54 ... 8 for G59.3
CYCLES = frozenset(range(810, 900, 10))
NON_MODAL_WITH_AXES = frozenset({100, 280, 300, 920})

NOT_JUDGED = MappingProxyType(
    {
        382: "probing",
        410: "radius compensation",
        420: "radius compensation",
        430: "a tool length offset",
        840: "tapping",
        860: "a cycle that stops the spindle in the hole",
        870: "back boring",
        880: "a cycle that waits for the operator in the hole",
    }
)
"""Legal codes that this reader does not carry out, because what they do depends on more than the files tell."""

USERS = MappingProxyType(
    {
        "I": frozenset({20, 30, 870}),
        "J": frozenset({20, 30, 870}),
        "K": frozenset({20, 30, 870}),
        "R": frozenset({20, 30}) | CYCLES,
        "P": frozenset({40, 100, 820, 860, 880, 890}),
        "L": frozenset({100}) | CYCLES,
        "Q": frozenset({830}),
        "H": frozenset({430}),
        "D": frozenset({410, 420}),
    }
)
"""Letter -> the G codes that use it; elsewhere the letter is an error."""
