"""What can hurt the maker or ruin the board, in full for the packet and in short for the head of a program.

They are reminders of good custom and of well-known rules, not advice on law.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass
from typing import Literal

from camtools.toolpath.moves import Program

__all__ = ["CAUTIONS", "Caution", "safety_text", "short_cautions"]


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution. ``short`` stands in programs, at most one comment long; ``applies`` says in which."""

    topic: str
    short: str
    full: str
    applies: Literal["all", "upright", "flat", "reaching", "dovetail"] = "all"


# Ground of each: dry run, workholding and dovetail entry: common practice. Speed: EN 847-2:2017 (a shank tool bears its highest speed).
# Stopping, restarting, guards: 29 CFR 1910.213(b)(1), (b)(3), 1910.212(a)(1). Cutter's seat: 1910.213(a)(2), (s)(2)-(3).
# Dust: HSE WIS 23; limits differ by country. Noise: Directive 2003/10/EC. Clearing: 29 CFR 1910.147 and common practice.
CAUTIONS: tuple[Caution, ...] = (
    Caution(
        "The manual comes first",
        "the machine's manual and local rules come before this program",
        "The manuals of your machine and cutters, and the rules where you work, come before anything written here. If they say "
        "otherwise, follow them. If you work for others or employ anyone, the law on machines and dust applies to you: ask "
        "those licensed to advise on it. If you have never used such a machine, learn from someone who has.",
    ),
    Caution(
        "Dry run first",
        "dry run first, in the air with the spindle off, then an offcut, then the board",
        "Run every hold, stop, cutter and size of board first in the air: the page names the dry runs that do. Each program has "
        "two in programs/dry, one for two boards in rounds/dry: its outline, and its whole motion raised clear of the work, both with "
        "the spindle off and Z zero set as for the cut. Watch that the cutter stays inside the machine's travel, clear of stop, fence "
        "and clamps, and that it moves to the right end of the right board. Then cut "
        "a trial joint in offcuts of the same stock, and only then the boards. The check that came with the packet proves the "
        "programs against the numbers in the job file, not against your machine, your zero or your wood.",
    ),
    Caution(
        "Holding an upright board",
        "clamp the upright board over its whole width, clear of the cutter",
        "An upright board is a lever: the cutter works at its free end. Clamp it over its whole width against the plate and the "
        "backing piece, low enough that no clamp stands in the cutter's way, and with its lower part steadied. Try to move it "
        "by hand before you start. A long board hangs down past the front of the bed: see that it touches nothing when the "
        "machine moves.",
        "upright",
    ),
    Caution(
        "Holding a flat board",
        "support the flat board all over, clamp it near the cut, clear of cutter and nut",
        "A flat board lies on the bed over its whole face, with no chips beneath it: over a hollow it springs, and the cutter "
        "pulls it up. Clamp it at two places or more, as near to the cut as the picture allows, where the wood under the clamp "
        "is supported, and see that cutter and nut pass clear of clamps, studs and handles. Hold it with nothing but clamps, stop "
        "and fence, and never by hand. A thin panel is weak at its corners: support them right up to the cut, and where the "
        "cutter goes through, lay a flat waste sheet under it. Try to move the board by hand before you start.",
        "flat",
    ),
    Caution(
        "A board that reaches out",
        "carry what reaches out beyond bed or plate on a stand, clear of all that moves",
        "What reaches out beyond the bed or the plate bends the board where it is clamped, and tips it when a clamp is loosened. Carry "
        "it level on a stand that is as high as the bed and stands by itself, never by hand, and clamp the board where bed or plate "
        "bears it. Let someone hold it while it is clamped and unclamped, with the spindle off. See in the dry run that nothing that "
        "moves, bed, gantry or spindle, meets board or stand.",
        "reaching",
    ),
    Caution(
        "Dovetail cutters enter from the side",
        "never plunge or lift a dovetail cutter in wood, after a stop draw it out level",
        "A dovetail cutter is wider at its tip than above it. It enters and leaves sideways, at full depth, through air. It "
        "must never be plunged into wood or lifted out of it. If a program stops in the cut: stop the spindle, wait until it "
        "stands, and draw the cutter out level along the way it came, or free the board. Never start a program from the middle "
        "with such a cutter in the wood: camtools resume writes one that goes on from the air.",
        "dovetail",
    ),
    Caution(
        "Speed",
        "never above the highest speed marked on the cutter",
        "Never run a cutter above the highest speed marked on its shank, whatever a program or table says. Where your spindle "
        "is set by hand, set it before the program starts. The feeds and speeds of a job file are starting values: listen, look "
        "at the chips, and slow down if it screams, burns or chatters.",
    ),
    Caution(
        "The cutter in its collet",
        "sharp cutters, gripped over most of the shank, checked after every change",
        "Sharp, clean, undamaged cutters only. Let the collet grip at least three quarters of the shank and do not bottom it. "
        "Change cutters with the machine switched off and unable to start. After each change set Z zero anew, unless your "
        "machine keeps a table of lengths.",
    ),
    Caution(
        "Stopping",
        "stop button in reach, hands away, never leave a running machine",
        "Be able to stop the machine from where you stand, without reaching past the cutter. Stay with it while it runs. It "
        "must not start again by itself after a power cut. Wait until the spindle stands, which may take half a minute, before "
        "you put a hand near the cutter; clear chips and loose pieces with the machine off, never with your fingers under a "
        "turning cutter. Keep guards in place, other people out. Where a program stops for boards to be changed or a zero to be set, the "
        "cutter hangs over the work: wait until it stands still, and keep your hands clear of its edges. Before the first such stop try "
        "in the air that your controller lets you jog while a program is stopped, and goes on only when you tell it to.",
    ),
    Caution(
        "Eyes, ears, lungs",
        "wear eye and ear protection, extract the dust, no gloves or loose sleeves",
        "Wear eye and ear protection. Extract the dust at the cutter and wear a mask fit for fine wood dust: the dust of "
        "hardwoods such as oak and beech can cause cancer, others cause allergies, and limits differ from country to country. "
        "Do not sweep dry or blow dust about. Fine dust burns: no flame near it. No gloves, loose sleeves, jewellery or long "
        "hair near a turning spindle.",
    ),
    Caution(
        "Sound wood",
        "sound wood of the measured thickness, free of metal",
        "Use straight, sound wood without loose knots, splits or metal, of the thickness that the job file or the sheet of your boards "
        "states; measure it again at the machine. Offcuts and thin ends may break off and fly: stand aside of the line of the cut.",
    ),
)


def short_cautions(program: Program) -> tuple[str, ...]:
    """Return the short cautions that this program calls for, in order."""
    kinds = {"all", program.setup.hold} | {cut.cutter.kind for cut in program.cuts}
    kinds |= {"reaching"} if program.setup.setting.total > 1 else set()
    return tuple(caution.short for caution in CAUTIONS if caution.applies in kinds)


def safety_text() -> str:
    """Return the cautions in full, as the packet's ``safety.txt``."""
    paragraphs = ["SAFETY: READ THIS BEFORE YOU CUT", "A router can maim. These are the usual cautions, not all there is to know."]
    paragraphs += [f"{i}. {caution.topic}\n{textwrap.fill(caution.full, 88)}" for i, caution in enumerate(CAUTIONS, 1)]
    return "\n\n".join(paragraphs) + "\n"
