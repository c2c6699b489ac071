"""Combs, spacers, setting blocks and stop settings for those who rout by hand, as DXF with a read-me."""
