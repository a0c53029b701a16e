"""How pieces lie on leather, in English."""

from __future__ import annotations

from flatten.units import square_feet
from flatten.words.english.amounts import listed, mm, plural
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def name(ground: str, number: int, thickness: float) -> str:
    """What a leather or a bed is called."""
    return f"{_CALLED[ground].capitalize()} {number}, leather {thickness:.1f} mm thick"


_CALLED = {"hide": "hide", "bed": "bed"}


def picture(name: str, count: int) -> str:
    """What a leather's picture shows."""
    return f"{name}: where its {count} piece{plural(count)} lie"


def pieces(pieces: tuple[str, ...]) -> str:
    """The pieces on a leather by the numbers in its picture."""
    return " · ".join(f"{number} {piece}" for number, piece in enumerate(pieces, 1)) + "."


def told(
    ground: str, count: int, width: float, height: float, area: float, covered: float, used: float, mass: float
) -> str:
    """How a leather is used: lengths mm, areas mm², mass g."""
    if not count:
        return f"Nothing lies on this {_CALLED[ground]}."
    share = f"{100.0 * covered / area:.0f} %"
    size = f"{width:.0f} × {height:.0f} mm"
    what = f"{_area(covered)} and {mass:.0f} g"
    if ground == "bed":
        return f"{count} piece{plural(count)} on {size}: {what}, {share} of the bed; they end {mm(used)} from its left."
    return (
        f"{count} piece{plural(count)} on a hide of {size}: {what}, {share} of its {_area(area)}. They take its first "
        f"{mm(used)} from the tail; the rest stays whole."
    )


def _area(area: float) -> str:
    return f"{area / 100.0:.0f} cm² ({square_feet(area):.1f} sq ft)"


def how(ground: str, space: float) -> str:
    """How the pieces were laid."""
    if ground == "bed":
        return (
            f"All grain on one bed runs the same way, pieces lie {mm(space)} apart. Each bed has its own file, with "
            "its lower left corner at 0, 0."
        )
    return (
        f"Grain runs along the backbone, the dash-dotted line; pieces lie {mm(space)} apart, off flaws, and only small "
        "ones on the belly unless you say otherwise. Feel the hide before you cut: what is slack or hard there, the "
        "drawing does not know."
    )


def like(pairs: tuple[str, ...]) -> str:
    """Pairs that lie on like leather."""
    return f"Left and right come from like leather, equally far from the backbone: {listed(pairs)}."


def unlike(pair: str, one: float, other: float) -> str:
    """A pair that does not, and how far each lies from the backbone, mm."""
    return (
        f"Left and right of {pair} do not come from like leather: one lies {mm(one)} from the backbone, the other "
        f"{mm(other)}. There was no room for both; expect one of them to give more."
    )


def pair(piece: str) -> str:
    """What both of a pair are called."""
    return f"“{piece}”"


def short(pieces: tuple[str, ...], area: float, more: int) -> str:
    """Pieces without room, their area, mm², and how many more such hides hold them."""
    hides = "one more hide like the last holds them" if more == 1 else f"{more} more hides like the last hold them"
    return f"There is no room on the leather for {_some(pieces)}: {_area(area)}; {hides}."


def large(pieces: tuple[str, ...]) -> str:
    """Pieces that lie on no such leather."""
    lies = "lies" if len(pieces) == 1 else "lie"
    return (
        f"{_some(pieces)} {lies} on no part of the leather within its margin and grain: get a larger one, "
        "or allow the grain more turn."
    )


def size(width: float, height: float) -> str:
    """A width and a height, mm."""
    return f"{width:.0f} × {height:.0f}"


def angle(angle: int, front: str) -> str:
    """A place round the limb, by its bearing in degrees; `front` is the key of the side that they count from."""
    return f"{angle}° from the middle of the {named(front)}"


def middle(side: str) -> str:
    """The middle of a side of the limb, by its key."""
    return f"the middle of the {named(side)}"


def split(
    piece: str,
    size: str,
    on: str,
    places: tuple[str, ...],
    alongs: tuple[str, ...],
    parts: tuple[str, ...],
    bed: str,
) -> str:
    """A piece that a bed does not take, the seams that would split it and the sizes of its parts, and the bed that
    takes it whole."""
    larger = f"a bed of {bed} mm takes it whole"
    wrong = f"“{piece}” is {size} mm and does not fit on {on} mm"
    if not places:
        return f"{wrong}, and no seam up the limb makes it fit: {larger}."
    seams = "one more seam" if len(places) == 1 else f"{len(places)} more seams"
    each = "a [[seam]]" if len(places) == 1 else "a [[seam]] each,"
    lines = " and ".join(f"along = {along}" for along in alongs)
    return (
        f"{wrong}. Split it by {seams}, at {listed(places)}: {each} with {lines}. Its parts are then about "
        f"{listed(parts)} mm, with 22 mm of overlap, and fit. Or {larger}."
    )


def no_leather(pieces: tuple[str, ...], thickness: float, area: float) -> str:
    """Pieces of a thickness that no hide has."""
    return (
        f"No hide is {thickness:.1f} mm thick, so {_some(pieces)} ({_area(area)}) had no place; add a [[hide]] with "
        f'thickness = "{thickness:.1f} mm".'
    )


def _some(pieces: tuple[str, ...]) -> str:
    said = [f"“{piece}”" for piece in pieces[:4]]
    if len(pieces) > 4:
        said.append(f"{len(pieces) - 4} more")
    return listed(tuple(said))


SENTENCES: dict[str, Sentence] = {
    "layout.name": name,
    "layout.picture": picture,
    "layout.pieces": pieces,
    "layout.told": told,
    "layout.how": how,
    "layout.like": like,
    "layout.unlike": unlike,
    "layout.pair": pair,
    "layout.short": short,
    "layout.large": large,
    "layout.no leather": no_leather,
    "layout.size": size,
    "layout.split": split,
    "layout.angle": angle,
    "layout.middle": middle,
    "report.heading.layout": fixed("How the pieces lie on the leather"),
}
