"""From openings to drawers and boards: wood movement, sizes, tails and pins, groove positions."""

from camtools.drawer.drawers import drawers_of

__all__ = ["drawers_of"]
