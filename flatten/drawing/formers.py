"""Formers as files: STL parts to print, and their ribs to cut, as a drawing and as sheets."""

from __future__ import annotations

from collections.abc import Sequence

from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.files import Files
from flatten.drawing.model import DxfVersion
from flatten.drawing.pdf import pdf_bytes
from flatten.findings import message
from flatten.former.model import Former
from flatten.former.names import part_names, rib_names
from flatten.former.stl import stl_bytes
from flatten.pattern.marks import CHECK
from flatten.sheet.layout import in_rows
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

BOARD_WIDTH = 600.0
"""mm. Ribs are drawn in rows of this width: half a board of 1200 mm, and the bed of a small laser."""

_HOW = (
    message("cover.how.square", length=100.0),
    message("cover.how.trim"),
    message("cover.how.row"),
    message("cover.how.rows"),
    message("former.how.glue", length=CHECK),
    message("former.how.slots"),
    message("former.how.ribs"),
)
"""What is done with rib sheets, by number; common practice."""


def former_files(
    formers: Sequence[Former],
    title: str,
    *,
    printing: Printing,
    first: int = 0,
    dxf: DxfVersion = "R2010",
    zero: str = "",
    language: Language = ENGLISH,
) -> Files:
    """The files of formers under a title: see `part_names` and `rib_names`; `zero` is what is told of height 0.

    The letters of their sheets go on from the `first`, which counts from 0.

    Raises PaperError where the paper is not known.
    """
    found: list[tuple[str, bytes]] = []
    for former in formers:
        for name, part in zip(part_names(former, formers), former.parts, strict=True):
            found.append((name, stl_bytes(part.body, name)))
        if former.ribs is None:
            continue
        pieces = (*former.ribs.ribs, *former.ribs.spines)
        called = say.text(message("former.sheet title", title=title, side=former.side), language)
        drawing, sheets = rib_names(former, formers)
        found.append((drawing, dxf_bytes(drawing_of(in_rows(pieces, BOARD_WIDTH), called, language=language), dxf)))
        laid = sheets_of(pieces, printing, first=first)
        first += len(laid.tilings)
        printed = pdf_bytes(
            laid,
            called,
            zero=zero,
            how=_HOW,
            caution=message("former.caution sheets"),
            language=language,
        )
        found.append((sheets, printed))
    return tuple(found)
