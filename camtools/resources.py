"""Where the sample jobs and the shipped dialects are: beside the package in a checkout, inside it once installed. And letters."""

from __future__ import annotations

from importlib.util import find_spec
from pathlib import Path

__all__ = ["letters", "postprocessors", "samples"]

_PACKAGE = Path(__file__).parent


def samples() -> Path:
    """Return the folder of sample job files."""
    return _find("samples")


def postprocessors() -> Path:
    """Return the folder of shipped dialects, one TOML file each."""
    return _find("postprocessors")


def _find(name: str) -> Path:
    for folder in (_PACKAGE / name, _PACKAGE.parent / name):
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"camtools is not installed whole: its folder {name} is neither in nor beside {_PACKAGE}")


def letters(*, bold: bool = False) -> Path:
    """Return the file of a font: it comes with a library that is there wherever camtools is, and need not be imported for it."""
    library = find_spec("matplotlib")
    assert library is not None
    assert library.origin is not None
    return Path(library.origin).parent / "mpl-data" / "fonts" / "ttf" / f"DejaVuSans{'-Bold' if bold else ''}.ttf"
