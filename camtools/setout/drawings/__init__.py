"""What a piece is set out by on the screen: the piece, its corners, what may be chosen, the seasons, and what is to be measured.

Each drawing is a function of the job and its planned drawers, from the same geometry as the programs, and returns SVG to be put into a
page. What may be chosen or dragged in it tells the page so in attributes; nothing in it runs.
"""
