"""The sheets of ornament as files: fields to draw on, lines to trace, the look of what is woven."""

from __future__ import annotations

from collections.abc import Sequence

from flatten.drawing.compose import drawing_of
from flatten.drawing.files import Files
from flatten.drawing.pdf import pdf_bytes
from flatten.drawing.sealed import sealed
from flatten.drawing.svg import svg_bytes
from flatten.findings import message
from flatten.pattern.model import Piece
from flatten.sheet.layout import side_by_side
from flatten.sheet.tiles import Sheets
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

_JOINED = (
    message("cover.how.square", length=100.0),
    message("cover.how.trim"),
    message("cover.how.row"),
    message("cover.how.rows"),
)
"""How sheets are joined; common practice."""


def field_files(
    sheets: Sequence[Piece], title: str, *, laid: Sheets, paired: bool = False, language: Language = ENGLISH
) -> Files:
    """`field.pdf` and `field.svg`: each piece's field with its squares, to draw on, the PDF on sheets as they are
    `laid`; none without pieces. `paired`: each piece has its mirror image for the other limb. Both are sealed: whoever
    writes them can tell where somebody has drawn."""
    if not sheets:
        return ()
    called = say.text(message("ornament.fields title", title=title), language)
    drawn = [message("ornament.how draw"), message("ornament.how count"), message("ornament.how bring")]
    how = (*_JOINED, *drawn, *([message("ornament.how paired")] if paired else ()))
    placed = side_by_side(sheets) if len(sheets) > 1 else sheets
    caution = message("ornament.caution field")
    return (
        *(
            (name, sealed(name, content))
            for name, content in (
                ("field.pdf", pdf_bytes(laid, called, how=how, caution=caution, language=language)),
                ("field.svg", svg_bytes(drawing_of(placed, called, language=language), language)),
            )
        ),
    )


def tooling_files(title: str, *, laid: Sheets, stopped: bool = False, language: Language = ENGLISH) -> Files:
    """`tooling.pdf`: for each ornamented piece a sheet to trace and one that shows over and under, as they are `laid`;
    none without any. Where the pieces are `stopped`, every sheet says so."""
    if not laid.tilings:
        return ()
    called = say.text(message("ornament.tooling title", title=title), language)
    how = (
        *_JOINED,
        message("ornament.how case"),
        message("ornament.how trace"),
        message("ornament.how carve"),
        message("ornament.how bevel"),
    )
    caution = message("ornament.caution tooling")
    printed = pdf_bytes(laid, called, stopped=stopped, how=how, caution=caution, language=language)
    return (("tooling.pdf", printed),)
