"""The setups of the jobs that ship, of trial boards, of a bottom cut by the machine and of grooves cut in two settings."""

from __future__ import annotations
