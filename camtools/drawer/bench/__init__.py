"""Drawers of what came back from the bench."""
