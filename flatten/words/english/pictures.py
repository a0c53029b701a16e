"""What stands in the report's pictures and beside them, in English."""

from __future__ import annotations

from flatten.units import inches
from flatten.words.english.amounts import capital, mm, percent
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def share(share: float) -> str:
    """A stretch or squeeze at its place, "+4.1 %"."""
    return percent(share, signed=True)


def zero_line(zero: str) -> str:
    """The line of height 0."""
    return f"0: {named(zero)}"


def girth(girth: str, length: float) -> str:
    """A girth line's name and figure."""
    return f"{girth} {mm(length)}"


def bench(kind: str, side: str) -> str:
    """The bench, for who cannot see it."""
    return (
        f"The {named(kind)} from the {named(side)} beside a height ruler, and the flat leather beside it, coloured by "
        "stretch; a line joins each height on the limb to the same height on the leather."
    )


def flat_piece(piece: str) -> str:
    """A flat piece alone."""
    return f"“{piece}” laid flat, grain side up, coloured by stretch."


def field(piece: str) -> str:
    """A flat piece with its field for ornament."""
    return f"“{piece}” flat: ornament has room inside the dashed line; dashed circles become the firm ones when worn."


def ornament(piece: str) -> str:
    """A flat piece with its ornament."""
    return f"“{piece}” flat, grain side up, with its ornament; the background is shaded."


def ornament_worn(piece: str) -> str:
    """The limb with its ornament."""
    return f"“{piece}” with its ornament on the limb, seen level."


def limb_side(kind: str, side: str) -> str:
    """The limb from one of its sides."""
    return f"The {named(kind)} from its side “{named(side)}”."


def limb_and_piece(kind: str, side: str, piece: str) -> str:
    """The limb from one of its sides, and a piece beside it."""
    return f"The {named(kind)} from its side “{named(side)}”, and “{piece}”"


def binding(seen: str, cause: str) -> str:
    """Limb and piece with the place marked that holds the stretch up, for who cannot see it."""
    return f"{seen} laid flat, with what holds the stretch up marked on both: {cause}."


_HOLDS = {
    "bulge": ("over it the leather has to spread (arrows out)", ", beside it to draw together (arrows in)"),
    "hollow": ("across it the leather has to draw together (arrows in)", ", beside it to spread (arrows out)"),
    "shape": ("here the leather has to give most", ""),
}


def binding_below(form: str, cause: str, beside: bool) -> str:
    """What stands below that picture: which way leather has to give there, and the other way `beside` it."""
    there, then = _HOLDS[form]
    return f"{capital(cause)}: {there}{then if beside else ''}."


def fitted(piece: str) -> str:
    """A piece before and after its fittings, for who cannot see it."""
    return f"The outline of “{piece}” as it is now, and dashed as it was before any fitting."


def outline(piece: str, width: float, height: float) -> str:
    """A piece as it is cut, for who cannot see it."""
    return f"The outline of “{piece}” with its holes, {mm(width)} by {mm(height)}."


def scan_title(side: str, kind: str, file: str) -> str:
    """Over the picture of what was found in a scan."""
    return f"{capital(named(side))} {named(kind)}, as found in {file}"


def scan_girth(girth: str, length: float) -> str:
    """A girth beside the limb, in three lines."""
    return f"{named(girth)}\n{length:.0f} mm\n{inches(length):.1f} in"


def scan_near(rms: float, low: str, high: str) -> str:
    """How near the smooth limb lies to the scan, and over which heights it is known."""
    return f"The smooth limb lies {rms:.2f} mm from the scan on average; it is known from {low} to {high}."


def scan_whole(near: str) -> str:
    """That the scan shows all of the limb."""
    return f"{near} The scan shows all of it."


def scan_bridged(near: str, width: float, where: str, cloth: bool, likely: float, smaller: int) -> str:
    """The widest place that the scan does not show; so many more are smaller."""
    more = f"; {smaller} more are smaller" if smaller else ""
    return (
        f"{near}\nIt bridges {width:.0f} mm {where}, where the scan shows {'no skin' if cloth else 'nothing'}, and may "
        f"be off there by about {likely:.1f} mm{more}."
    )


def bridge(cloth: bool, width: float, where: str, likely: float, hardly: float) -> str:
    """A place that the surface bridges, and how far the limb may lie from it there; mm."""
    most, seldom = f"{likely:.1f} mm", f"{hardly:.1f} mm"
    off = f"may be off there by about {most}, in 1 of 20 such places by more than {seldom}"
    if most == seldom:
        off = f"is hardly anywhere off there by more than {seldom}"
    shown = "no skin" if cloth else "nothing"
    return f"The scan shows {shown} {width:.0f} mm wide {where}: the limb is bridged, and {off}."


SENTENCES: dict[str, Sentence] = {
    "picture.share": share,
    "picture.girth": girth,
    "picture.bench": bench,
    "picture.flat piece": flat_piece,
    "picture.field": field,
    "picture.ornament": ornament,
    "picture.ornament worn": ornament_worn,
    "picture.limb side": limb_side,
    "picture.limb and piece": limb_and_piece,
    "picture.binding": binding,
    "picture.binding below": binding_below,
    "picture.outline": outline,
    "picture.fitted": fitted,
    "scan.bridge": bridge,
    "scan picture.title": scan_title,
    "scan picture.girth": scan_girth,
    "scan picture.near": scan_near,
    "scan picture.whole": scan_whole,
    "scan picture.bridged": scan_bridged,
    "scan picture.scan": fixed("scan"),
    "scan picture.limb": fixed("the limb that is measured"),
    "scan picture.girths": fixed("girths"),
    "scan picture.front": fixed("front"),
    "scan picture.axis": fixed("axis"),
    "scan picture.zero": zero_line,
    "scan picture.cloth": fixed("edge of cloth"),
    "scan picture.bridge": fixed("bridged: not in the scan"),
    "scan picture.left out": fixed("left out"),
}
