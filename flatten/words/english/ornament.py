"""Ornament in English: its sheets, and what the report tells of fields and motifs."""

from __future__ import annotations

from flatten.words.english.amounts import metres, percent, plural
from flatten.words.english.weaving import on_piece
from flatten.words.language import Sentence, fixed


def sheet_field(piece: str) -> str:
    """The name of the sheet with a field's squares."""
    return f"{piece}: field for ornament"


def sheet_trace(piece: str) -> str:
    """The name of the sheet that lines are traced from."""
    return f"{piece}: lines to trace"


def sheet_look(piece: str) -> str:
    """The name of the sheet that shows over and under."""
    return f"{piece}: over and under"


def fields_title(title: str) -> str:
    """The title of the sheets of fields."""
    return f"{title}: fields for ornament" if title else "fields for ornament"


def tooling_title(title: str) -> str:
    """The title of the tooling sheets."""
    return f"{title}: ornament to carve" if title else "ornament to carve"


def field(width: float, height: float, area: float, islands: int, calm: bool) -> str:
    """How large a field is; `calm`: it keeps off leather that moves too much in forming."""
    parts = f", in {islands} parts" if islands > 1 else ""
    off = ", and off leather that moves too much in forming" if calm else ", also where leather moves much in forming"
    return (
        f"Ornament has room on {width:.0f} × {height:.0f} mm, {area / 100:.0f} cm² in all{parts}: inside edges, holes, "
        f"stitches and bends{off}."
    )


def warp(along: float, along_most: float, across: float, across_most: float, oval: float) -> str:
    """What forming makes of what is drawn flat."""
    up, round_it = _change(along, along_most), _change(across, across_most)
    return (
        f"What is drawn on the flat piece becomes {up} along the limb and {round_it} across it on the worn outside; a "
        f"circle becomes up to {percent(oval - 1.0)} longer than wide."
    )


def _change(least: float, most: float) -> str:
    low, high = (f"{100.0 * (share - 1.0):+.1f}".replace("-", "−") for share in (least, most))
    return f"{low} to {high} %"


_MOTIFS = {
    "filling": "A filling of reeds and waves",
    "border": "A border of reeds and waves",
    "plait": "A plait",
    "drawing": "The drawing",
}


def motif(motif: str, closed: int, open: int, crossings: int, width: float) -> str:
    """What a motif consists of."""
    strands = [f"{closed} strand{plural(closed)} that come{'s' if closed == 1 else ''} back"] if closed else []
    strands += [f"{open} with open ends"] if open else []
    told = (*strands, f"{crossings} crossing{plural(crossings)}")
    return f"{_MOTIFS[motif]}: {', '.join(told)}, in bands {width:g} mm wide."


def work(carved: float, bevelled: float, hours: float) -> str:
    """How long working a motif takes."""
    lengths = f"{metres(carved, 1)} of lines to carve and {metres(bevelled, 1)} to bevel"
    return f"{lengths}: about {hours:.1f} hours at your pace."


def true(least: float, greatest: float) -> str:
    """How true a motif is when worn."""
    return (
        f"It is drawn for the worn outside: lengths there are {_change(least, greatest)} off what was drawn, as little "
        "as such a form allows."
    )


def uneven(off: float) -> str:
    """How far lines lie off what was drawn along the middle, where both halves of the limb differ."""
    return (
        f"The piece is the same on both sides and the limb is not: along the middle lines lie up to {off:.1f} mm off "
        "what was drawn, on both sides alike."
    )


def narrow(count: int, x: float, y: float, gap: float) -> str:
    """Where the tool does not pass between lines."""
    place = on_piece(x, y)
    where = f"{place}," if count == 1 else f"at the narrowest of {count} places, {place},"
    return (
        f"Your tool does not pass everywhere between lines: {where} {gap:.1f} mm are left. Take a narrower one there, "
        "make the bands narrower, or leave that ground to the knife."
    )


def left_out(piece: str, reason: str, width: float, strands: int, moving: bool, told: bool, motif: int) -> str:
    """That a motif could not be worked, and what would fit, where the reason has not `told` that."""
    said = reason.rstrip(".")
    lead = f"A motif of “{piece}” is left out; the piece can be cut without it. {said[:1].upper()}{said[1:]}."
    if told or not (width or moving):
        return lead
    bands = f"Bands {width:g} mm wide fit" if width else f"{strands} strands fit" if strands else "It fits"
    where = " where leather that moves too much in forming is taken in as well; carve there when it is formed"
    return f"{lead} {bands}{where if moving else ''}."


def troubled(piece: str, told: tuple[str, ...], more: int, mend: tuple[str, ...], motif: int) -> str:
    """That a motif cannot be woven or carved."""
    rest = f" There are {more} more such places." if more > 1 else " There is one more such place." if more else ""
    lead = f"A motif of “{piece}” is left out; the piece can be cut without it. {' '.join(told)}{rest}"
    return f"{lead} It can be mended: {' '.join(mend)} Write mend = true for that motif." if mend else lead


def told(piece: str, what: str) -> str:
    """What is to be known of a brought drawing."""
    return f"“{piece}”: {what}"


SENTENCES: dict[str, Sentence] = {
    "ornament.sheet field": sheet_field,
    "ornament.sheet trace": sheet_trace,
    "ornament.sheet look": sheet_look,
    "ornament.fields title": fields_title,
    "ornament.tooling title": tooling_title,
    "ornament.field": field,
    "ornament.warp": warp,
    "ornament.motif": motif,
    "ornament.work": work,
    "ornament.true": true,
    "ornament.uneven": uneven,
    "ornament.narrow": narrow,
    "ornament.left out": left_out,
    "ornament.troubled": troubled,
    "ornament.told": told,
    "ornament.how draw": fixed(
        "Draw inside the field’s line, with pencil; the squares are the same on both sides of the middle line."
    ),
    "ornament.how count": fixed("Numbers count squares of 5 mm from the middle line to both sides, and from below up."),
    "ornament.how bring": fixed(
        "Or draw in field.svg with a drawing program: the middle lines of the strands, one side or both, and bring\n"
        "them back under [[motif]] as a drawing."
    ),
    "ornament.how paired": fixed(
        "The other limb’s piece has the mirror image of what is drawn here; for another drawing there, make it a job\n"
        "of its own."
    ),
    "ornament.how case": fixed("Case the leather: damp all through, its grain side nearly back to its own colour."),
    "ornament.how trace": fixed(
        "Lay the sheet of lines on tracing film, trace it, and go over the film on the leather with a blunt stylus."
    ),
    "ornament.how carve": fixed(
        "Carve along the lines with the swivel knife, upright, half the leather’s thickness deep at most,\n"
        "never through; lift it where a line ends at a band that lies over."
    ),
    "ornament.how bevel": fixed(
        "Bevel on the dashed side of each line: that side goes down, as the sheet of over and under shows it."
    ),
    "ornament.caution field": fixed(
        "The field ends where edges, holes, stitches and bends begin, or leather that the job keeps off."
    ),
    "ornament.caution tooling": fixed(
        "A swivel knife is sharp: keep the other hand behind the blade, and the leather on a firm table.\n"
        "Try one crossing on a scrap of the same leather first."
    ),
}
"""Each code of this family and its sentence."""
