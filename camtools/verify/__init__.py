"""Reads a packet's files back, carves the boards, puts the drawers together and judges."""
