"""The files of the templates: combs, spacers, setting blocks and the kerf test as DXF, with a read-me and the stop settings."""

from __future__ import annotations

from camtools.templates import READ_ME
from camtools.templates.kit import Kit
from camtools.templates.kit_text import read_me_bytes, stop_table_bytes
from camtools.templates.nesting import nested
from camtools.templates.plates import strips_to_measure
from camtools.templates.router_settings import blocks_of, edge_strip
from camtools.templates.sheets_to_cut import cut_file
from camtools.templates.spacers import SHIM_MM, spacer, spacers_off

__all__ = ["templates_of"]


def templates_of(kit: Kit) -> dict[str, bytes]:
    """Return every file of the templates by its name; the read-me tells what was left out.

    Raises
    ------
    CannotCut
        If the kerf is too wide for a part.
    PacketFault
        If a file would hold lines that touch or are cut twice.
    """
    files = dict(_cut_files(kit))
    files["stop-settings.csv"] = stop_table_bytes(kit.stops)
    files[READ_ME] = read_me_bytes(kit, sorted(files))
    return files


def _cut_files(kit: Kit) -> list[tuple[str, bytes]]:
    wish, files = kit.wish, []
    for comb in kit.combs:
        name = f"comb-{comb.plate.name.lower().replace(' ', '-')}-mm.dxf"
        files.append((name, cut_file(name, nested([comb.plate], wish.sheet_mm)[0], wish)))
    pieces = []
    for i, (width, count) in enumerate(spacers_off(kit.spacers).items(), 1):
        if width >= SHIM_MM and kit.holder is not None:
            pieces += [spacer(width, kit.holder.radius_mm, f"S{i} {width:.2f}")] * count
    blocks = blocks_of(kit.depths) + [edge_strip(edge) for edge in kit.edges_mm if edge >= SHIM_MM]
    for stem, plates in (("spacers", pieces), ("setting-blocks", blocks)):
        for i, sheet in enumerate(nested(plates, wish.sheet_mm), 1):
            name = f"{stem}-{i}-mm.dxf"
            files.append((name, cut_file(name, sheet, wish, edge=True)))
    for i, sheet in enumerate(nested(strips_to_measure(), wish.sheet_mm), 1):
        name = f"kerf-test-{i}-mm.dxf"
        files.append((name, cut_file(name, sheet, wish, nominal=True)))
    return files
