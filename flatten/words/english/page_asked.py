"""The browser page in English: what the questions have come to, and answers that lift what stands in the way."""

from __future__ import annotations

from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def unit_is(unit: str) -> str:
    """A button: the unit of the scan's file."""
    return f"It is in {'inches' if unit == 'in' else unit}"


def limb_is(kind: str) -> str:
    """A button: another kind of limb than the one that was named or taken."""
    return f"It is {named(f'a.{kind}')}"


def side_is(kind: str, side: str) -> str:
    """A button: the other side than the one that was named or taken."""
    return f"It is a {named(side)} {named(kind)}"


def joint_click(joint: str) -> str:
    """A button: the joint is shown by a click."""
    return f"Click {named(joint)}"


def lace(seam: str) -> str:
    """A button: a seam that cannot be opened is laced."""
    return f"Lace the seam “{seam}”"


def raise_edge(edge: str, by: float) -> str:
    """A button: an edge lies higher, or lower where `by` is negative, by so many mm."""
    return f"{'Raise' if by > 0.0 else 'Lower'} the {edge} edge by {abs(by):.0f} mm"


def level_top(where: str) -> str:
    """A button: the top edge ends level, as high as the scan shows the limb."""
    return f"End the top edge level, {where}"


def no_dart(dart: str) -> str:
    """A button: a dart whose sides cannot meet is taken away."""
    return f"Take the dart “{dart}” away"


def thinner(thickness: float) -> str:
    """A button: leather of a thickness (mm) that takes the bend."""
    return f"Take leather {thickness:.1f} mm thick"


SENTENCES: dict[str, Sentence] = {
    "page.unit is": unit_is,
    "page.limb is": limb_is,
    "page.side is": side_is,
    "page.front found": fixed("Find the front in the scan again"),
    "page.joint click": joint_click,
    "page.no tape": fixed("Leave the tape girths out"),
    "page.lace": lace,
    "page.raise edge": raise_edge,
    "page.level top": level_top,
    "page.no dart": no_dart,
    "page.thinner": thinner,
    "page.front click": fixed("Click the front on the scan"),
}

PAGE: dict[str, str] = {
    "mark.look": "from the scan: look",
    "mark.usual": "as is usual",
    "verdict.look": "Before you cut, look whether what was found is right: {questions}",
    "still open": "Still open: {questions}",
    "size.agree": "It is in {unit}: that is right",
}
"""Texts of the page by their keys; {names} stand for figures."""
