"""Every code that may be reported, how grave it is and what it means."""

from __future__ import annotations

from types import MappingProxyType
from typing import Literal, NamedTuple

__all__ = [
    "BREAKOUT_FINDINGS",
    "FIT_FINDINGS",
    "KINDS",
    "MOTION_FINDINGS",
    "PACKET_FINDINGS",
    "READER_FINDINGS",
    "REMEDIES",
    "Severity",
]

Severity = Literal["error", "warning", "note"]


class Kind(NamedTuple):
    """How grave a finding is and what it means, in a sentence."""

    severity: Severity
    meaning: str


def _all(severity: Severity, meanings: dict[str, str]) -> dict[str, Kind]:
    return {code: Kind(severity, meaning) for code, meaning in meanings.items()}


_FILE = _all(
    "error",
    {
        "file-unreadable": "the file is missing, is no plain file or can not be opened",
        "file-too-large": "the file is larger than any program for a board",
        "not-text": "the file holds bytes that no text holds",
        "program-empty": "no line says anything to do",
        "program-too-long": "more lines or moves than any program for a board",
        "no-program-end": "neither M2, M30 nor a closing % line: the program was cut short",
        "percent-not-closed": "an opening % line has no closing one",
        "percent-misplaced": "a % stands on a line with other text, or closes what was not opened",
        "text-after-end": "words stand after the program's end and would never be carried out",
        "not-judged": "a code that is legal, but that can not be judged without knowing more of the machine",
    },
) | _all(
    "warning",
    {
        "ends-without-m30": "the program ends with a closing % alone, which stops neither spindle nor coolant",
        "block-delete": "a line starting with / is carried out or not by a switch on the machine; here it was carried out",
    },
)

_LINE = _all(
    "error",
    {
        "line-too-long": "more than 256 characters",
        "bad-character": "a character that the language does not know",
        "number-missing": "a letter without a number, or a number that is none",
        "number-with-exponent": "a number with an exponent, which the language does not know",
        "number-out-of-range": "a number far beyond any machine",
        "bad-line-number": "a line number that does not stand first, or is no whole number of one to five digits",
        "comment-not-closed": "a comment is not closed on its line, or closed without being opened",
        "comment-nested": "a comment within a comment",
        "comment-not-printable": "a comment holds a character that can not be printed",
        "code-in-comment": "a comment holds nothing but words that would move or switch the machine",
        "word-twice": "a letter stands twice on a line",
        "too-many-m-words": "more than four M words on a line",
        "two-of-a-group": "two codes of one modal group on a line",
        "unknown-code": "a G or M number that the language does not know",
        "unused-word": "a word that no code on the line uses",
    },
) | _all(
    "warning",
    {
        "line-near-limit": "more than 250 characters, which some controllers refuse",
        "comment-not-ascii": "a comment holds letters beyond ASCII, which some controllers refuse",
        "code-like-comment": "a comment that looks as if it held a move",
    },
)

_STATE = _all(
    "error",
    {
        "motion-without-axis": "a motion code without the axis words it needs",
        "axis-without-motion": "axis words while no motion code is in force",
        "arc-words": "an arc with too few, too many or the wrong words",
        "arc-radius": "start and end of an arc lie at different distances from its centre",
        "arc-zero-radius": "an arc without a radius, or by radius onto its own start",
        "arc-out-of-reach": "an arc whose ends are further apart than twice its radius",
        "feed-zero": "a cutting move without a feed",
        "feed-negative": "a negative feed",
        "speed-negative": "a negative spindle speed",
        "bad-tool": "a tool number that is negative or no whole number",
        "tool-not-in-manifest": "a tool that the manifest does not know",
        "tool-change-without-tool": "M6 before any T",
        "tool-change-while-turning": "M6 while the spindle turns",
        "stop-while-turning": "a stop asks for Z zero to be set while the spindle turns",
        "stop-not-restated": "a move after a stop before units, distances and zero, which a person may change there, are stated again",
        "spindle-left-on": "the program ends while a spindle that is switched by hand still turns",
        "probe-unsafe": "a touch of the plate that is not straight down, slow and short, the spindle still, with a stop before and after",
        "length-unknown": "a move after a change of cutter, though neither a table nor a stop for Z zero tells the new one's length",
        "bad-dwell": "G4 without P, or a negative P",
        "bad-g53": "G53 without axis words, with a move other than G0 or G1, or in incremental mode",
        "units-changed": "the units are changed after they were stated",
        "units-not-stated": "neither G20 nor G21 before the first move",
        "incremental-from-unknown": "an incremental move from a place that was never stated",
        "position-unknown": "a cutting move from a place that was never stated",
        "moves-before-height": "X or Y moves before Z is known",
        "machine-coordinates": "a move in machine coordinates, neither up to the top of travel nor along it: where it leads is not known",
    },
) | _all(
    "warning",
    {
        "arc-nearly-full": "an arc so short that a controller may take it for a full circle, or the reverse",
        "arc-by-radius-near-limit": "an arc by radius near a half or full circle, where rounding moves its centre far",
        "units-stated-twice": "the units are stated again",
        "plane-not-stated": "no G17, G18 or G19 before the first move",
        "distance-mode-not-stated": "neither G90 nor G91 before the first move",
        "feed-mode-not-stated": "neither G93 nor G94 before the first move",
        "work-offset-not-stated": "no work offset before the first move",
        "compensation-not-stated": "no G40 before the first move",
    },
)

READER_FINDINGS = MappingProxyType(_FILE | _LINE | _STATE)
"""What the reader of programs may report."""

MOTION_FINDINGS = MappingProxyType(
    _all(
        "error",
        {
            "board-not-in-manifest": "the program names a board that the manifest does not hold, or one of absurd size",
            "tool-not-in-program": "a cutter that the manifest does not list for this program, or no cutter at all",
            "program-without-limits": "the packet does not say what surrounds the board of this program",
            "tool-without-limits": "a cutter of which the packet does not say what it may do",
            "path-too-loose": "the controller may round corners by more than the clearance of the joints bears",
            "zero-shared": "a work offset serves several kinds of setup, and the program does not ask for its zero before it moves",
            "wrong-work-offset": "a move in another work offset than the manifest names",
            "unsafe-start": "the first moves, or those after a stop, are not straight up to the safe height and over at it",
            "unsafe-stop": "the program stops or ends below the safe height",
            "dovetail-height-over-board": "a dovetail cutter changes its height in or over the board, or the backing, below clearance",
            "rapid-in-wood": "a rapid through the board or the backing",
            "rapid-below-clearance": "a rapid over the board below clearance",
            "spindle-stopped": "a cutting move at the wood with the spindle stopped",
            "spindle-reversed": "the spindle turns anti-clockwise",
            "spindle-out-of-range": "a spindle speed that the machine does not have",
            "cutter-too-fast": "a spindle speed above the one marked on the cutter, or assumed where no mark is written",
            "feed-over-limit": "a feed above the machine's, or in wood above the cutter's",
            "outside-travel": "the program needs more travel than the machine has, or reaches beyond it on one side",
            "spoilboard-too-deep": "the cutter goes deeper into the spoilboard than allowed",
            "plate-cut": "the cutter goes through the backing into the upright plate",
            "zone-entered": "cutter, shank or holder enters a place that nothing may enter",
            "shank-in-wood": "deeper in the wood than the cutting length",
            "holder-in-wood": "the holder meets the wood",
            "spindle-in-wood": "the spindle's body meets the wood",
            "plunge-not-allowed": "a cutter that can not plunge goes down steeply in wood",
            "depth-per-pass": "more wood above the tip than the cutter may take in one pass",
            "cutter-overloaded": "force that may snap the cutter where it is weakest",
            "spindle-overloaded": "more power than the spindle has",
            "loading-unsound": "boards of a setup can not stand on the machine at once, or are run from the wrong file",
            "loading-count": "setups do not run a program once for each of its boards",
            "round-differs": "a text that runs the programs of a setup does something else than they do",
            "round-order": "setups run programs in another order than that of work",
            "round-way-low": "between two boards the cutter goes lower than is clear of all that stands at both",
            "round-near-board": "the cutter or its nut comes over the other board of a setup, or its stop, below the safe height",
            "round-no-stop": "a round goes on to other boards without a stop for them to be changed, the spindle still",
            "round-zero": "a stop asks for zero, and does not name the work offset of every board of the setup",
            "stack-unsound": "boards can not be cut together as a stack, or the job file does not have them so",
            "stack-differs": "a program that cuts a stack does not do to every board of it what the board's own program does",
            "probe-plate": "Z zero is set by touch plates of different thickness",
            "pair-not-dry": "a program for two boards has no dry run of its own",
            "dry-below-clearance": "a dry run or outline comes lower than clearance over the highest thing",
            "dry-spindle-on": "the spindle turns in a dry run or outline",
            "dry-path-differs": "a dry run does not follow its program's path",
            "depth-not-judged": "the board is too large, or the moves over it too many, for depth per pass to be judged",
            "motions-not-judged": "more and longer arcs than can be judged",
        },
    )
    | _all(
        "warning",
        {
            "round-stale": "a text runs a program of its setup as that was before it was edited",
            "cutter-strained": "force that bends the cutter more than is safe for long",
            "spindle-strained": "more than half of the spindle's power",
            "chips-thick": "chips thicker than charts have them for this cutter and wood",
        },
    )
)
"""What the motion rules may report."""

PACKET_FINDINGS = MappingProxyType(
    _all(
        "error",
        {
            "packet-missing": "there is no such folder",
            "manifest-invalid": "manifest.json is missing, is no JSON or breaks its schema",
            "limits-invalid": "limits.json is missing, is no JSON or breaks its schema",
            "job-invalid": "job.toml or a file beside it is missing or none of its kind, so that nothing can be held against it",
            "job-differs": "manifest or limits hold another value than the job file, or than an answer that holds",
            "board-unfit": "a board was measured as further off its planned size than its place allows",
            "trial-incomplete": "the trial boards do not try all that the job file asks for",
            "choice-unsound": "a value that the job file leaves open lies beyond what is sound",
            "zone-wrong": "a keep-out zone of the limits is missing or does not cover what stands there in the setup",
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
            "setting-wrong": "the settings that a groove or an end is cut in have not one stop, one zero and one distance piece",
            "setting-overlap": "two settings of a groove do not overlap enough",
            "setting-step": "two settings of a groove leave a step between them",
            "setting-wall": "two settings of an end cut the same gap or socket, and no whole wood parts them",
            "only-wrong": "a packet of one thing only would run a program that is not of it, or not run one that is",
            "program-missing": "no program cuts a joint that the board must have",
            "program-not-carved": "a program's motions can not be carried out on the board",
            "round-unjudged": "a file in rounds/ that no setup names, so that nothing judged it",
            "drawer-not-judged": "a drawer could not be put together",
        },
    )
    | _all(
        "note",
        {
            "contents-missing": "contents.sha256 is missing, so that what was edited can not be told",
            "file-edited": "a file is not the one that was written",
            "file-missing": "a file that was written is gone",
            "file-unlisted": "a file was not written with the packet",
            "drawing-stale": "a picture or dry run shows a program as it was before it was edited",
            "page-stale": "the page was made before a program or description was edited",
        },
    )
)
"""What reading and looking up may report."""

BREAKOUT_FINDINGS = MappingProxyType(
    _all(
        "warning",
        {
            "entry-not-scored": "fibres may break out of the face where the cutter enters it: no light pass came before the deep ones",
            "edge-not-scored": "fibres may break out of the board's edge: no light pass came before deep ones whose teeth leave there",
            "exit-not-backed": "fibres may break out of the face at the plate: an earlier program cut away the backing behind the edge",
        },
    )
    | _all(
        "error",
        {
            "roughing-late": "a straight cutter clears the waste of an end after the dovetail cutter, which was to be spared",
            "roughing-missing": "the job file asks for roughing, and waste that the straight cutter passes is left to the dovetail cutter",
            "roughing-too-near": "roughing leaves less on a face than it must, so that a board placed a little off would show it",
        },
    )
)
"""What may spoil the wood beside a cut."""

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
            "pin-weak": "the reliefs of two sockets leave too little of the pin between them",
            "gap-shows": "a gap wider than allowed shows on a face",
            "gap-inside": "a gap wider than allowed lies inside the joint, where it weakens it",
            "face-broken": "a hole shows in a board's outside face",
            "groove-missing": "a board that should hold the bottom has no groove at its height",
            "groove-plane": "the grooves of a drawer do not lie in one plane",
            "groove-width": "a groove is not as wide as the bottom and its play",
            "groove-depth": "a groove is deeper or shallower than the others",
            "groove-ends": "a groove starts or ends elsewhere than its counterpart",
            "groove-weak": "too little wood below or behind a groove",
            "outline-wood-left": "a bottom that programs cut is larger than its outline",
            "outline-cut-into": "programs cut further into a bottom than its outline",
            "bottom-overlap": "the bottom does not go into its groove",
            "bottom-not-held": "the bottom is not held on a side where it should be",
            "bottom-blocked": "the bottom can not be brought into the drawer",
            "bottom-moves": "a solid bottom has no room to swell, or leaves its grooves as it shrinks",
            "cut-depth": "a program cuts a joint or groove too deep or not deep enough; told where that does harm",
            "unlike-job": "a carved measure is not the one in the job file",
            "drawer-size": "the drawer's outside is not what the manifest says",
            "not-square": "opposite boards differ in length, so that the drawer stands askew",
            "opening-too-small": "the drawer does not go into its opening",
            "trial-clearance": "a step of a trial joint has another clearance than its nicks tell",
            "trial-nicks": "the nicks beside a socket of a trial do not count its step",
            "trial-groove": "a trial groove has another width than its number tells",
            "trial-slot": "a slot that a cutter is to be measured by is not as the cutter makes it in one line",
        },
    )
    | _all(
        "warning",
        {
            "to-be-planed": "the drawer goes into its opening only after planing its sides",
            "edge-to-be-planed": "a board that was measured is wider than planned: its upper edge must be planed",
            "ends-to-be-planed": "a front that was measured is longer than the drawer is wide: its ends must be planed flush",
        },
    )
    | _all("note", {"edges-apart": "upper edges of boards that were measured lie lower than the highest, which shows"})
)
"""What carving and putting together may report."""

KINDS = MappingProxyType({**READER_FINDINGS, **MOTION_FINDINGS, **PACKET_FINDINGS, **BREAKOUT_FINDINGS, **FIT_FINDINGS})
"""All of them, by code."""

REMEDIES = MappingProxyType(
    {
        "entry-not-scored": "let the light pass go as far to both sides as the deep ones",
        "edge-not-scored": "let a light pass go along the board's edge first, or let the teeth enter there",
        "exit-not-backed": "renew or shift the backing before this program, and say so by another number under its backing in the manifest",
        "roughing-late": "give it an earlier order in the manifest",
        "roughing-missing": "clear it before, or write rough = false in the job file",
        "roughing-too-near": "keep further off",
        "joint-overlap": "take more wood away there",
        "joint-blocked": "clear the way along which the joint is pushed home",
        "flank-clearance": "move the passes along the flank by the difference",
        "shoulder-gap": "cut the tails less deep",
        "tip-gap": "cut the sockets deeper or less deep by the difference",
        "proud-ends": "cut deeper or less deep by the difference",
        "lap-thin": "cut the sockets less deep",
        "pin-weak": "run on less far at the ends of the sockets, or lay the joint out with wider pins",
        "gap-shows": "leave more wood there",
        "gap-inside": "leave more wood there",
        "face-broken": "cut less deep there",
        "groove-missing": "cut it",
        "groove-plane": "cut it at the height of the others",
        "groove-width": "move the passes along its walls by the difference",
        "groove-depth": "cut it as deep as the others",
        "groove-ends": "start and end it as its counterpart",
        "groove-weak": "cut it higher or less deep",
        "outline-wood-left": "take more wood away there, right through the board",
        "outline-cut-into": "leave more wood there",
        "bottom-overlap": "cut the groove wider or deeper, or the bottom thinner or smaller",
        "bottom-not-held": "cut the groove deeper, or the bottom larger",
        "bottom-blocked": "clear the way of the bottom",
        "bottom-moves": "write the packet again for this wood and these seasons, with deeper grooves",
        "drawer-size": "cut the board to the size in the manifest",
        "not-square": "cut the shoulders of both sides alike",
        "opening-too-small": "make the drawer smaller",
        "trial-clearance": "move the passes along the socket's walls by the difference",
        "trial-nicks": "cut as many nicks as the step has in its number",
        "trial-groove": "move the passes along its walls by the difference",
        "trial-slot": "cut it in one line, at its depth",
        "to-be-planed": "plane both sides until it goes in",
    }
)
"""What to do, where a finding does not say so itself."""
