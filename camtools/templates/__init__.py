"""Combs, spacers, setting blocks and stop settings for those who rout by hand, as DXF with a read-me."""

READ_ME = "read-me.txt"
HEADING = "TEMPLATES FOR ROUTING BY HAND"  # of the read-me, by which a set of templates is known again
