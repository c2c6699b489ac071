"""The files of the templates: combs, spacers, setting blocks and the kerf test as DXF, with a read-me and the stop settings."""

from __future__ import annotations

from collections.abc import Sequence

from camtools.drawer.boards import Drawer
from camtools.faults import CannotCut
from camtools.templates import READ_ME
from camtools.templates.kerf import strips_to_measure
from camtools.templates.kit import Kit, kit_of
from camtools.templates.kit_text import read_me_bytes, stop_table_bytes
from camtools.templates.nesting import nested
from camtools.templates.router_settings import blocks_of, edge_strip
from camtools.templates.sheets_to_cut import cut_file
from camtools.templates.spacers import SHIM_MM, spacer, spacers_off
from camtools.templates.wishes import TemplateWishes

__all__ = ["templates_of"]


def templates_of(drawers: Sequence[Drawer], wishes: TemplateWishes, *, leave_out: bool = True) -> dict[str, bytes]:
    """Return every file of the templates by its name.

    Parameters
    ----------
    leave_out
        Leave out what can not be made and say so in the read-me; otherwise refuse.

    Raises
    ------
    CannotCut
        If a comb or a set of spacers can not be made and ``leave_out`` is False, or the kerf is too wide for a part.
    PacketFault
        If a file would hold lines that touch or are cut twice.
    """
    kit = kit_of(drawers, wishes)
    if kit.refused and not leave_out:
        raise CannotCut(*kit.refused)
    files = dict(_cut_files(kit, wishes))
    files["stop-settings.csv"] = stop_table_bytes(kit.stops)
    files[READ_ME] = read_me_bytes(kit, wishes, sorted(files))
    return files


def _cut_files(kit: Kit, wishes: TemplateWishes) -> list[tuple[str, bytes]]:
    files = []
    for comb in kit.combs:
        name = f"comb-{comb.plate.name.lower().replace(' ', '-')}-mm.dxf"
        files.append((name, cut_file(name, nested([comb.plate], wishes.sheet_mm)[0], wishes)))
    pieces = []
    for i, (width, count) in enumerate(spacers_off(kit.spacers).items(), 1):
        if width >= SHIM_MM and kit.holder is not None:
            pieces += [spacer(width, kit.holder.radius_mm, f"S{i} {width:.2f}")] * count
    blocks = blocks_of(kit.depths) + [edge_strip(edge) for edge in kit.edges_mm if edge >= SHIM_MM]
    for stem, plates in (("spacers", pieces), ("setting-blocks", blocks)):
        for i, sheet in enumerate(nested(plates, wishes.sheet_mm), 1):
            name = f"{stem}-{i}-mm.dxf"
            files.append((name, cut_file(name, sheet, wishes, edge=True)))
    for i, sheet in enumerate(nested(strips_to_measure(), wishes.sheet_mm), 1):
        name = f"kerf-test-{i}-mm.dxf"
        files.append((name, cut_file(name, sheet, wishes, nominal=True)))
    return files
