"""Carved boards put together: joints, grooves and bottom measured and judged."""
