"""What a picture of a setup shows, as words and as data: for who can not see it, and for whoever asks whether it is right."""

from __future__ import annotations

from camtools.pictures.board_sides import clamp_line, zone_of
from camtools.pictures.setups.scene import StagedBoard
from camtools.wording import at_least, mm

__all__ = ["told_of"]

_SIDES = {"-x": "left", "+x": "right", "-y": "near"}


def told_of(scene: StagedBoard) -> tuple[str, dict[str, str]]:
    """Return a sentence on each thing that must be right, and the same by name.

    The names are ``end``, ``face``, ``edge``, ``stop``, ``entry``, ``zero`` and ``clamp``, all as the operator sees them.
    """
    setup, placing = scene.setup, scene.placing
    upright, groove = setup.hold == "upright", setup.end == "groove"
    edge = _SIDES[placing.towards("reference edge")]
    line = clamp_line(setup)
    if upright:
        clamp, way = f"front face, {at_least(-placing.stop_top(setup))} or more below the end", "up"
    elif zone_of(setup, "batten"):
        clamp, way = "none on the face, a batten behind the far edge", "up"
    elif line is None:
        clamp, way = "anywhere clear of the cut", "up"
    else:
        clamp, way = f"{at_least(abs(line))} or more from the {'reference edge' if groove else setup.end}", "up"
    slid = f", {mm(setup.setting.slid_mm)} away from the stop" if setup.setting.slid_mm else ""
    deep = "back" if upright else "near" if groove else "far"
    zero = f"{setup.stop} {deep} upper corner{slid}"
    end = setup.end if groove else f"{setup.end} {'up' if upright else 'away from you'}"
    face = f"{placing.sides['-y' if upright else '+z']} face {'towards you' if upright else way}"
    told = {
        "end": end,
        "face": face,
        "edge": edge,
        "stop": setup.stop,
        "entry": scene.entry.whence,
        "zero": zero,
        "clamp": clamp,
    }
    words = (
        f"{scene.program.title}: {setup.hold}, {end}, {face}; reference edge {'nearest to you' if edge == 'near' else f'at the {edge}'}, "
        f"{setup.stop} stop. Zero {setup.work_offset} is the board's {zero}. The cutter comes in from {scene.entry.whence}. Clamp: {clamp}."
    )
    return words, told
