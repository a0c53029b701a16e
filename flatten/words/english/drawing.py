"""What stands on the drawings that machines read, and what is said of them, in English."""

from __future__ import annotations

from flatten.words.language import Sentence


def kerf(cut: float, holes: float) -> str:
    """That lines are the beam's, on the drawing itself."""
    return f"kerf counted in: outlines {cut:g} mm, holes {holes:g} mm; pieces come out at their true size"


def counted(cut: float, holes: float) -> str:
    """The same, in the report."""
    return (
        f"pattern.dxf and pattern.svg count the kerf in ({cut:g} mm along outlines, {holes:g} mm round holes): set the "
        "machine to none. All sizes told here, and the PDF for the knife, are those of the finished pieces."
    )


_LAYERS = {
    "CUT": "to cut: outlines",
    "HOLES": "to cut or punch: holes and slots",
    "SLIT": "not to cut: slits, by hand once the edge is turned",
    "STITCH": "not to cut: stitch lines",
    "FOLD": "not to cut: folds",
    "GROOVE": "not to cut: lines along edges for a beveller or groover",
    "CARVE": "not to cut through: ornament’s lines to carve",
    "BEVEL": "not to cut: the sides of carved lines that are bevelled",
    "BACKGROUND": "not to cut: rims of ornament’s background",
    "GRID": "not to cut: squares to draw on, shading",
    "COUNT": "not to cut: every fifth line of the squares",
    "CENTRE": "not to cut: the middle line of the squares",
    "MARK": "not to cut: marks for the table",
    "LEATHER": "not to cut: the edge of bench or hide, and its flaws",
    "TEXT": "not to cut: texts, arrows and check lines",
}


def layer(layer: str) -> str:
    """What is on a layer, and whether a machine is to cut it."""
    return _LAYERS[layer]


SENTENCES: dict[str, Sentence] = {
    "drawing.layer": layer,
    "drawing.kerf": kerf,
    "drawing.kerf counted": counted,
}
"""Each code of this family and its sentence."""
