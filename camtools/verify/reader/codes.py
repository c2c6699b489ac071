"""The codes of the language as tables: modal groups, which words belong to which codes, and what is not carried out here.

G codes are held in tenths, so that 59.1 is 591. Source: NISTIR 6556 (Kramer, Proctor, Messina, 2000), Table 3 p. 16 and
Table 4 p. 20; which word belongs to which code follows the published source of that interpreter.
"""

from __future__ import annotations

from types import MappingProxyType

__all__ = ["G_GROUP", "M_GROUP", "NOT_JUDGED", "OFFSETS", "USERS"]

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

OFFSETS = MappingProxyType({code: f"G{code / 10:g}" for code in _G_MEMBERS[12]})
"""Code -> name of a work offset."""

_CYCLES = range(810, 900, 10)
NOT_JUDGED = MappingProxyType(
    {
        **dict.fromkeys((280, 300), "a way through a home that is not known here: rise by G0 Z, then go by G0 X Y"),
        **dict.fromkeys((920, 921, 922, 923), "it shifts the zero that the maker set: take it out"),
        **dict.fromkeys(_CYCLES, "a canned cycle: write its moves as G0 and G1"),
        **dict.fromkeys((180, 190), "another plane than that of X and Y: write G17, and arcs of other planes as short lines"),
        930: "feeds as inverse times: write G94 and feeds in a minute",
        **dict.fromkeys((410, 420), "radius compensation: write the way of the cutter's centre"),
    }
)
"""Legal codes that this reader does not carry out, because what they do depends on more than the files tell or is not needed for
a joint: why, and what to write instead."""

USERS = MappingProxyType(
    {
        **dict.fromkeys("IJK", frozenset({20, 30})),
        "R": frozenset({20, 30}),
        "P": frozenset({40, 640, 100}),
        "L": frozenset({100}),
        "H": frozenset({430}),
    }
)
"""Letter -> the G codes that use it, of those that are carried out; elsewhere the letter is an error."""
