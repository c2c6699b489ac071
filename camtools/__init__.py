"""Dovetailed drawers on a small CNC router, from a job file to programs that are proved to fit."""

__version__ = "0.1.0"
