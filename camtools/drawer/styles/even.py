"""All tails of a joint equal: they share what standard pins and half pins leave."""

from __future__ import annotations

from camtools.drawer.division import Style

__all__ = ["STYLE"]

STYLE = Style("all tails equal, standard pins between them")
