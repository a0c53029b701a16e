"""What is written on a piece and on its drawing, in English: a few words, for they must have room there."""

from __future__ import annotations

from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def one_of_several(work: str, panel: str) -> str:
    """The name of a piece where a limb's work has several."""
    return f"{work}, {named(panel)}"


def side_up(side: str) -> str:
    """The wearer's side that a piece is for, and which of its faces is drawn."""
    return f"{named(side).upper()}, grain side up"


def thick(thickness: float) -> str:
    """The leather to use."""
    return f"leather {thickness:.1f} mm"


def skive(left: float, width: float, layer: str) -> str:
    """What is done to a layer of an overlap from a line to its edge, mm; short, as it stands beside that line."""
    return f"skive {width:.0f} to {left:.1f}, {'flesh' if layer == 'upper' else 'grain'}"


_CLOSING_HALVES = {"upper": "on top", "lower": "beneath", "buckles": "buckles", "straps": "straps"}


def seam(seam: str, half: str | None) -> str:
    """A seam's name along a side of it, and which half of its closing comes there."""
    return seam if half is None else f"{seam}: {_CLOSING_HALVES[half]}"


def plate_edge(plate: str) -> str:
    """The line on leather that a plate's edge comes to."""
    return f"{plate} comes here"


SENTENCES: dict[str, Sentence] = {
    "piece.one of several": one_of_several,
    "piece.side up": side_up,
    "piece.leather": thick,
    "piece.seam": seam,
    "piece.skive": skive,
    "piece.centre line": fixed("centre line"),
    "piece.upper edge": fixed("upper edge comes here"),
    "piece.plate edge": plate_edge,
    "piece.grain": fixed("grain"),
}
