"""Pieces as the files that are cut and printed from."""

from __future__ import annotations

from collections.abc import Sequence

from flatten.drawing.compose import NO_KERF, drawing_of
from flatten.drawing.cover import Mockup
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.kerf import Kerf
from flatten.drawing.model import DxfVersion
from flatten.drawing.pdf import pdf_bytes
from flatten.drawing.svg import svg_bytes
from flatten.findings import message
from flatten.pattern.model import Piece
from flatten.sheet.layout import side_by_side
from flatten.sheet.tiles import Sheets
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

Files = tuple[tuple[str, bytes], ...]
"""Files by name, in the order in which they are written."""


def pattern_files(
    pieces: Sequence[Piece],
    title: str,
    *,
    sheets: Sheets,
    dxf: DxfVersion = "R2010",
    kerf: Kerf = NO_KERF,
    stopped: bool = False,
    zero: str = "",
    language: Language = ENGLISH,
) -> Files:
    """`pattern.dxf`, `pattern.svg` and `pattern.pdf` of pieces under a title: true size, the PDF on their `sheets`.

    The DXF has the version `dxf`; it and the SVG count a `kerf` in, the PDF, for the knife, does not.

    Where the pieces are `stopped`, each file says that they are not to be cut as they are. `zero` is what is told of
    height 0 on the PDF's cover.

    Raises KerfError where something is too narrow for the kerf.
    """
    placed = side_by_side(pieces) if len(pieces) > 1 else pieces
    drawing = drawing_of(placed, title, stopped=stopped, kerf=kerf, language=language)
    return (
        ("pattern.dxf", dxf_bytes(drawing, dxf)),
        ("pattern.svg", svg_bytes(drawing, language)),
        ("pattern.pdf", pdf_bytes(sheets, title, stopped=stopped, zero=zero, language=language)),
    )


def mockup_files(
    pieces: Sequence[Piece],
    title: str,
    *,
    mockup: Mockup,
    sheets: Sheets,
    dxf: DxfVersion = "R2010",
    zero: str = "",
    language: Language = ENGLISH,
) -> Files:
    """`mockup.dxf` and `mockup.pdf` of a mock-up's pieces under a title, which say on every one of their `sheets` what
    they are of; `zero` is what is told of height 0 on the PDF's cover.
    """
    words = say.text(message("mock-up", sheet=mockup.sheet, thickness=mockup.thickness), language)
    placed = side_by_side(pieces) if len(pieces) > 1 else pieces
    drawing = drawing_of(placed, f"{title}: {words}" if title else words, language=language)
    return (
        ("mockup.dxf", dxf_bytes(drawing, dxf)),
        ("mockup.pdf", pdf_bytes(sheets, title, zero=zero, mockup=mockup, language=language)),
    )
