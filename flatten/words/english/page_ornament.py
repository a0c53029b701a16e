"""The browser page in English: the question about ornament."""

from __future__ import annotations

from flatten.words.english.amounts import plural
from flatten.words.language import Sentence, fixed


def mend(piece: str) -> str:
    """The button that has a drawing mended as proposed."""
    return f"Mend the drawing on “{piece}” like that"


def narrower(width: float) -> str:
    """The button that makes the bands narrower."""
    return f"Make the bands {width:g} mm wide"


def fewer(strands: int) -> str:
    """The button that lets fewer strands fill the field."""
    return f"Take {strands} strand{plural(strands)}"


SENTENCES: dict[str, Sentence] = {
    "page.mend": mend,
    "page.moving": fixed("Take in leather that moves in forming, and carve it when it is formed"),
    "page.narrower": narrower,
    "page.fewer": fewer,
}

PAGE = {
    "ornament.question": "Ornament: interlace to carve",
    "ornament.none": "No ornament.",
    "ornament.how": "A motif is woven into the room that edges, holes and stitches of a piece leave it.",
    "ornament.add": "Add a motif",
    "ornament.remove": "Take this motif away",
    "ornament.motif": "Motif {number}",
    "ornament.is": "{kind}, on {piece}",
    "ornament.on": "It lies on",
    "ornament.on base": "the leather",
    "ornament.kind": "It is",
    "ornament.kind.filling": "a filling of reeds and waves",
    "ornament.kind.border": "a border of reeds and waves",
    "ornament.drawing": "your drawing {file}",
    "ornament.bring": "Bring a drawing of your own",
    "ornament.bring another": "Bring another drawing",
    "ornament.bring hint": "SVG or DXF: the middle lines of the strands, one side of them or both.",
    "ornament.strands": "Strands",
    "ornament.strands usual": "as is usual",
    "ornament.along": "It runs",
    "ornament.along.all round": "all round",
    "ornament.along.top": "along the top, as a plait",
    "ornament.along.foot": "along the foot, as a plait",
    "ornament.along.left": "along the left, as a plait",
    "ornament.along.right": "along the right, as a plait",
    "ornament.reeds": "Straight reeds among them",
    "ornament.seed": "Drawing number",
    "ornament.another": "Draw another one",
    "ornament.width": "Width of the bands",
    "ornament.apart": "Broken beside the band above by",
    "ornament.unit": "Its numbers are in",
    "ornament.unit.auto": "what the file says",
    "ornament.half": "The drawing is",
    "ornament.half.whole": "the whole",
    "ornament.half.left": "its left half, to be mirrored",
    "ornament.half.right": "its right half, to be mirrored",
    "ornament.place": "It is put",
    "ornament.place.as drawn": "where it is drawn in the field’s sheet",
    "ornament.place.centred": "in the middle",
    "ornament.place.scaled": "in the middle, as large as fits",
    "ornament.place.fitted": "to the outline, bent to follow it",
    "ornament.by right": "Then to the right by",
    "ornament.by up": "Then up by",
    "ornament.turn": "Turned to the left by",
    "ornament.turn hint": "Degrees.",
    "ornament.mend": "Mended as proposed where it cannot be woven",
    "ornament.margins": "How far it keeps off, your tool, your pace",
    "ornament.room.edge": "Off edges",
    "ornament.room.hole": "Off holes",
    "ornament.room.stitch": "Off stitches",
    "ornament.room.bend": "Off bends",
    "ornament.calm": "Also off leather that moves too much in forming",
    "ornament.worn": "Drawn so that it looks right when worn",
    "ornament.sheet": "Sheets of the fields, to draw on by hand",
    "ornament.room.tool": "Your narrowest tool",
    "ornament.room.pace": "You carve or bevel in an hour",
    "ornament.margins are": "{edge} off edges",
}
