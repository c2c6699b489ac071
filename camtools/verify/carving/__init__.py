"""Solids: the blank less everything that its cutters sweep."""
