"""Groups the findings that one cause has, so that it is told once: a wrong line of a program spoils many a joint in many a drawer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from camtools.verify.catalogue import BREAKOUT_FINDINGS, FIT_FINDINGS, MOTION_FINDINGS, PACKET_FINDINGS, READER_FINDINGS, REMEDIES
from camtools.verify.findings import Finding
from camtools.verify.rules.motion_rules import original_of

__all__ = ["Group", "groups_of"]

_SETUP = {"setup-wrong", "setup-mirrored"}  # said of a program and its dry runs alike
_LEFT_OUT = ("wrong-work-offset", "machine-coordinates", "tool-not-in-program")  # moves that do not reach the board
# What keeps a program from cutting the shape that it should.
_SHAPELESS = {*_SETUP, *_LEFT_OUT, "cut-depth", "program-missing", "board-placed-wrong", "frame", "path-outside", "program-not-carved"}
# Causes before their effects.
_ORDER = tuple(
    dict.fromkeys((*READER_FINDINGS, *PACKET_FINDINGS, *_LEFT_OUT, "cut-depth", *MOTION_FINDINGS, *FIT_FINDINGS, *BREAKOUT_FINDINGS))
)
_RANK = {code: rank for rank, code in enumerate(_ORDER)}
_MOST_LINES = 8


@dataclass(frozen=True, slots=True)
class Group:
    """A finding, and those that follow from it or are like it."""

    root: Finding
    others: tuple[Finding, ...]
    edited: bool  # the root's file is not the one that was written

    @property
    def place(self) -> str:
        """File and line."""
        return f"{self.root.file}:{self.root.line}" if self.root.line else self.root.file

    def words(self) -> Iterator[str]:
        """Yield what a maker is told: the finding with what to do, then how many follow from it."""
        root = self.root
        more = len({drawer for finding in (root, *self.others) for drawer, _ in finding.about}) - 1 if root.about else 0
        many = f" and {more} drawer{'s' * (more > 1)} more" if more else ""
        remedy = f"; {REMEDIES[root.code]}" if root.code in REMEDIES else ""
        yield f"{root.where}{many}: {root.text}{remedy}" if root.where else f"{root.text}{remedy}"
        if self.others:
            codes = Counter(finding.code for finding in self.others)
            lines = sorted({finding.line for finding in self.others if finding.file == root.file} - {0, root.line})
            told = ", ".join(f"{code} {count}" for code, count in codes.items())
            at = f", line{'s' * (len(lines) > 1)} {', '.join(map(str, lines[:_MOST_LINES]))}" if lines else ""
            yield f"{len(self.others)} more of the same cause: {told}{at}{' ...' * (len(lines) > _MOST_LINES)}"
        if self.edited and root.severity != "note":
            yield f"{root.file} was edited since the packet was written: undo that, or write the packet anew"


def groups_of(findings: Sequence[Finding]) -> tuple[Group, ...]:
    """Return every finding once, in groups of one cause each, in the order of their first findings."""
    edited = {finding.file for finding in findings if finding.code == "file-edited"}
    errors = [finding for finding in findings if finding.severity == "error"]
    unread = {id(finding) for finding in {own.file: own for own in reversed(errors) if own.code in READER_FINDINGS}.values()}
    shapeless = [finding for finding in errors if id(finding) in unread or finding.code in _SHAPELESS]
    causes: dict[object, tuple[str, str]] = {}  # a joint, or a drawer as a whole -> the first joint that was not cut right
    for finding in shapeless:
        for pair in finding.about:
            causes.setdefault(pair, pair)
            causes.setdefault((pair[0], ""), pair)
    joined = {id(finding) for finding in shapeless}
    leader = list(range(len(findings)))

    def lead(place: int) -> int:
        while leader[place] != place:
            place = leader[place]
        return place

    first: dict[object, int] = {}
    for place, finding in enumerate(findings):
        of_shape = id(finding) in joined or finding.code in FIT_FINDINGS
        keys = [causes[pair] for pair in finding.about if pair in causes] if of_shape else []
        for key in (*keys, *_alike(finding)):
            ends = lead(place), lead(first.setdefault(key, place))
            leader[max(ends)] = min(ends)
    members: dict[int, list[Finding]] = {}
    for place, finding in enumerate(findings):
        members.setdefault(lead(place), []).append(finding)
    groups = []
    for together in members.values():
        root = min(together, key=_rank)
        groups.append(Group(root, tuple(finding for finding in together if finding is not root), root.file in edited))
    return tuple(groups)


def _rank(finding: Finding) -> tuple[int, bool, int]:
    return _RANK[finding.code], original_of(finding.file) != finding.file, finding.line


def _alike(finding: Finding) -> Iterator[object]:
    """Yield what a finding has in common with others of one cause, joints left aside."""
    file, code = finding.file, finding.code
    if not file.startswith("programs/"):
        # The same said of several programs or drawers, but not of several cutters; a zone's corners differ from board to board.
        own = finding.subject if finding.subject and finding.subject.kind == "cutter" else None
        yield file, code, "" if code == "zone-wrong" else finding.text, own
    elif code in _SETUP:
        yield code, finding.text, finding.about
    elif code in BREAKOUT_FINDINGS:
        yield code
    elif finding.severity == "error":
        yield file, code
        if finding.line:
            yield file, finding.line
        if code in FIT_FINDINGS:
            yield file, "fit"
        if code == "dry-path-differs":
            yield original_of(file), "fit"
