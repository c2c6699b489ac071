"""Every code that reading a packet, carving and putting together may report, and the limits that decide."""

from __future__ import annotations

from types import MappingProxyType

from camtools.verify.catalogue import Kind

__all__ = ["FIT_FINDINGS", "PACKET_FINDINGS"]


def _all(severity: str, meanings: dict[str, str]) -> dict[str, Kind]:
    return {code: Kind("error" if severity == "error" else "warning", meaning) for code, meaning in meanings.items()}


PACKET_FINDINGS = MappingProxyType(
    _all(
        "error",
        {
            "packet-missing": "there is no such folder",
            "manifest-invalid": "manifest.json is missing, is no JSON or breaks its schema",
            "limits-invalid": "limits.json is missing, is no JSON or breaks its schema",
            "path-outside": "a file's name leaves the packet, or the file is a link",
            "name-twice": "a board, drawer or tool stands twice in the manifest",
            "name-unknown": "a board, tool or drawer is named that the manifest does not hold",
            "part-in-wrong-place": "a drawer names a board of another role for one of its parts",
            "board-size": "a board of impossible size",
            "outline": "an outline that is no simple figure within its board",
            "tool-shape": "a cutter of impossible shape",
            "frame": "a map that is not made of right angles",
            "board-placed-wrong": "a board lies in the drawer with the wrong face, end or edge",
            "setup-mirrored": "the setup would cut the mirror image of the board",
            "setup-wrong": "the setup does not put the board at its stop and its zeros",
            "program-missing": "no program cuts a joint that the board must have",
            "program-not-carved": "a program's motions can not be carried out on the board",
            "drawer-not-judged": "a drawer could not be put together",
        },
    )
)
"""What reading and looking up may report."""

FIT_FINDINGS = MappingProxyType(
    _all(
        "error",
        {
            "joint-overlap": "two boards claim the same wood",
            "joint-blocked": "wood stands in the way of pushing the joint home",
            "flank-clearance": "tails and pins lie wider apart or nearer than chosen",
            "shoulder-gap": "the shoulder between the tails does not meet the other board",
            "tip-gap": "the free depth under half-blind tails is not the chosen one",
            "proud-ends": "through tails or pins do not stand out as chosen",
            "lap-thin": "less wood in front of half-blind tails than chosen",
            "gap-shows": "a gap wider than allowed shows on a face",
            "gap-inside": "a gap wider than allowed lies inside the joint, where it weakens it",
            "face-broken": "a hole shows in a board's outside face",
            "groove-missing": "a board that should hold the bottom has no groove at its height",
            "groove-plane": "the grooves of a drawer do not lie in one plane",
            "groove-width": "a groove is not as wide as the bottom and its play",
            "groove-depth": "a groove is deeper or shallower than the others",
            "groove-ends": "a groove starts or ends elsewhere than its counterpart",
            "groove-weak": "too little wood below or behind a groove",
            "bottom-overlap": "the bottom does not go into its groove",
            "bottom-not-held": "the bottom is not held on a side where it should be",
            "bottom-blocked": "the bottom can not be brought into the drawer",
            "drawer-size": "the drawer's outside is not what the manifest says",
            "not-square": "opposite boards differ in length, so that the drawer stands askew",
            "opening-too-small": "the drawer does not go into its opening",
        },
    )
    | _all("warning", {"to-be-planed": "the drawer goes into its opening only after planing its sides"})
)
"""What carving and putting together may report."""
