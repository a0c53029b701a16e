"""The legend of printed sheets, in English: what lines, rings and grounds are."""

from __future__ import annotations

from flatten.words.english.amounts import listed
from flatten.words.language import Sentence, fixed

_LINES = {
    "background": "rims of the background, pressed down as a whole",
    "bevel line": "bevel the edge as far as here",
    "bevelled side": "bevel the carved line on this side",
    "border line": "groove here, the border of tooling",
    "carved line": "carve with the swivel knife, not through",
    "centre line": "the middle",
    "counted square": "every fifth line of the squares",
    "field": "ornament has room inside this",
    "field’s middle": "the middle of the room for ornament",
    "fold": "turn the edge over here, flesh side in",
    "girth ring": "heights",
    "no tooling": "rims of the hatch",
    "overlap": "where other leather comes to lie",
    "shade": "the background",
    "skive": "skive from here to the edge",
    "slit": "cut when the strip is turned",
    "square": "squares of 5 mm",
    "stitch line": "stitches run here",
    "tooling": "rims of tooling",
    "trim": "cut back to here after forming",
}
"""What the lines of marks are."""

_TICKS = {
    "front": "the front",
    "match mark": "equal numbers meet at a seam",
    "notch": "a height’s line ends",
}
"""What short marks are."""

_HOLES = {
    "eyelet": "eyelets",
    "pivot": "a lame’s pivots",
    "rivet": "rivets",
    "sliding rivet": "sliding rivets",
    "slot": "straps",
    "snap": "snaps",
    "stitch": "stitches",
    "strap rivet": "straps’ rivets",
}
"""What holes are for."""


def lines(layer: str, drawn: tuple[str, ...]) -> str:
    """The lines of a layer."""
    told = listed(tuple(_LINES.get(kind, kind) for kind in drawn))
    return f"mark, not cut: {told}" if layer == "MARK" else told


def ticks(ticks: tuple[str, ...]) -> str:
    """Short marks."""
    return f"mark: {'; '.join(_TICKS.get(kind, kind) for kind in ticks)}"


def hole(punched: tuple[str, ...], diameter: float, run: float) -> str:
    """Holes of one size that are punched while the leather is flat, and what for."""
    used = listed(tuple(_HOLES.get(kind, kind) for kind in punched))
    return f"slot of {diameter + run:g} × {diameter:g} mm: {used}" if run else f"punch {diameter:g} mm: {used}"


SENTENCES: dict[str, Sentence] = {
    "legend.title": fixed("What the lines mean"),
    "legend.cut": fixed("cut"),
    "legend.lines": lines,
    "legend.ticks": ticks,
    "legend.hole": hole,
    "legend.after": fixed("do not punch: it is marked through the other layer after forming"),
    "legend.grain": fixed("along the hide’s backbone"),
    "legend.hatch": fixed("do not tool here: it moves too much in forming"),
}
