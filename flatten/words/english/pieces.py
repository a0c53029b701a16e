"""What is written on a piece and on its drawing, in English: a few words, for they must have room there."""

from __future__ import annotations

from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def one_of_several(work: str, panel: str) -> str:
    """The name of a piece where a limb's work has several."""
    return f"{work}, {named(panel)}"


def short_name(panel: str, side: str) -> str:
    """A small piece's name, with the first letter of the side that it is for."""
    return f"{named(panel)} {named(side)[0].upper()}"


def side_up(side: str) -> str:
    """The wearer's side that a piece is for, and which of its faces is drawn."""
    return f"{named(side).upper()}, grain side up"


def thick(thickness: float) -> str:
    """The leather to use."""
    return f"leather {thickness:.1f} mm"


def skive(left: float, width: float, layer: str) -> str:
    """What is done to a layer of an overlap from a line to its edge, mm; short, as it stands beside that line."""
    return f"skive {width:.0f} to {left:.1f}, {'flesh' if layer == 'upper' else 'grain'}"


def outside_up(side: str) -> str:
    """The wearer's side that a piece of a mock-up is for, and which of its faces is drawn."""
    return f"{named(side).upper()}, outside up"


_HALVES = {"buckles": "buckles here", "straps": "straps here"}
_MEETS = {
    "laced": "laces to",
    "strapped": "to",
    "open": "open, next to",
    "stitched": "stitched to",
    "riveted": "riveted to",
    "snapped": "snaps to",
}
_LAYERS = {"upper": "lies on", "lower": "lies under"}


def seam(seam: str, meets: str, half: str | None, mate: str) -> str:
    """What meets one side of a seam and how, along that side: its `half` is the layer, or the end of a strap."""
    if half in _LAYERS:
        return f"{named(seam)}: {_LAYERS[half]} {mate}"
    first = f"{_HALVES[half]}, " if half is not None else ""
    return f"{named(seam)}: {first}{_MEETS[meets]} {mate}"


def seam_short(seam: str, mate: str) -> str:
    """What meets one side of a seam, where there is little room."""
    return f"{named(seam)}: {mate}"


def other_piece(panel: str) -> str:
    """The piece that a seam's side meets, by where it is worn."""
    return f"the {named(panel)} piece"


def own_edge(side: str) -> str:
    """The edge of the same piece that a seam's side meets, by the limb's side that it comes from."""
    return f"the {named(side)} edge"


def top(beyond: str) -> str:
    """Which edge is the top, and what it lies towards."""
    return f"TOP, towards the {named(beyond)}"


def bottom(beyond: str) -> str:
    """Which edge is the bottom, and what it lies towards."""
    return f"bottom, towards the {named(beyond)}"


def ring(girth: str, at: str) -> str:
    """A girth's ring, and at which height."""
    return f"{named(girth)}, {at}"


def match_mark(letter: str, height: float) -> str:
    """Beside a match mark: its seam's letter, where a limb has several, and its height."""
    return f"{letter}{height:.0f}"


def way(side: str) -> str:
    """Beside an arrow: what it points to."""
    return f"to the {named(side)}"


def plate_edge(plate: str) -> str:
    """The line on leather that a plate's edge comes to."""
    return f"{plate} comes here"


SENTENCES: dict[str, Sentence] = {
    "piece.one of several": one_of_several,
    "piece.short name": short_name,
    "piece.side up": side_up,
    "piece.outside up": outside_up,
    "piece.up": fixed("up"),
    "piece.leather": thick,
    "piece.seam": seam,
    "piece.skive": skive,
    "piece.seam short": seam_short,
    "piece.other piece": other_piece,
    "piece.own edge": own_edge,
    "piece.top": top,
    "piece.top alone": fixed("TOP"),
    "piece.bottom": bottom,
    "piece.bottom alone": fixed("bottom"),
    "piece.ring": ring,
    "piece.match mark": match_mark,
    "piece.way": way,
    "piece.centre line": fixed("centre line"),
    "piece.upper edge": fixed("upper edge comes here"),
    "piece.plate edge": plate_edge,
    "piece.no tooling": fixed("do not tool within"),
    "piece.no tooling here": fixed("do not tool here"),
    "piece.tooling here": fixed("tool only here"),
    "piece.tooling": fixed("tool only within"),
    "piece.grain": fixed("grain"),
}
