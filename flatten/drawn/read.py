"""A drawing's file, SVG or DXF, read as lines in mm."""

from __future__ import annotations

from pathlib import Path

from flatten.drawn.dxf import read_dxf
from flatten.drawn.model import DrawnError, DrawnFile
from flatten.drawn.svg import read_svg

LARGEST_FILE = 20_000_000
"""bytes. More is no drawing of lines: a drawing with its photo in it."""


def drawn_file(path: Path, *, what: str, fine: float, unit: str = "auto", layers: tuple[str, ...] = ()) -> DrawnFile:
    """The lines in an SVG or DXF file, in mm, y up; chords leave drawn curves by `fine` mm at most.

    `what` says what the file is for, in words such as "the hide's outline". `unit` is what its numbers are in ("mm",
    "cm", "m", "in", or of an SVG "px"), "auto": as the file says; an SVG whose page has a size goes by that. In an SVG
    all within a group whose name begins with one of `layers` lies on it, whatever it is called itself.

    Raises DrawnError where the file is missing, too large, empty, neither, damaged, made to choke on, or does not say
    its unit.
    """
    name = path.name
    try:
        if path.stat().st_size > LARGEST_FILE:
            raise DrawnError(f"{name} is larger than {LARGEST_FILE // 1_000_000} MB; save {what} alone in it")
        data = path.read_bytes()
    except OSError as error:
        raise DrawnError(f"{what} {name} cannot be read: {error.strerror}; mend its path") from None
    if not data.strip():
        raise DrawnError(f"{name} is empty; save {what} in it again")
    ending = path.suffix.lower()
    if ending not in (".dxf", ".svg"):
        raise DrawnError(f"{name} is neither DXF nor SVG; save {what} as one of them")
    try:
        if ending == ".dxf":
            return read_dxf(data, unit=unit, fine=fine)
        return read_svg(data, unit=unit, fine=fine, layers=layers)
    except DrawnError as error:
        # Where it is seen nobody knows the file's name, nor what it is for.
        raise DrawnError(f"{name} {error}".replace("{what}", what)) from None
