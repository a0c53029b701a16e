"""The sheets of a job's ornament: fields to draw on, and for what is carved lines to trace and its look."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats
from flatten.ornament.model import Region
from flatten.ornament.sheets import field_sheet, look_sheet, tracing_sheet
from flatten.pattern.model import Piece
from flatten.report.model import JobReport
from flatten.words.language import Language

_TURNED = np.array([-1.0, 1.0])


def field_sheets(report: JobReport, *, language: Language) -> tuple[Piece, ...]:
    """A sheet with squares for each piece that has a field.

    None for its mirror image: what is drawn on the one is carved on the other the other way round, and a drawing on a
    sheet of its own would come back on the wrong piece.
    """
    return tuple(
        field_sheet(limb.pieces[each.panel], each.field, language=language)
        for limb in report.limbs
        for each in limb.ornaments
    )


def tooling_sheets(report: JobReport, *, language: Language) -> tuple[Piece, ...]:
    """A sheet to trace and one that shows over and under, for each piece that has a motif and for its mirror image."""
    found = []
    for limb in report.limbs:
        for each in (ornament for ornament in limb.ornaments if ornament.motifs):
            pieces = [(limb.pieces[each.panel], each.background)]
            if limb.mirrored:
                pieces.append((limb.mirrored[each.panel], turned_region(each.background)))
            for piece, background in pieces:
                found += [tracing_sheet(piece, language=language), look_sheet(piece, background, language=language)]
    return tuple(found)


def turned_region(region: Region) -> Region:
    """A region's mirror image about x = 0; its rims still turn as a region's do."""

    def turned(rim: Floats) -> Floats:
        return np.asarray((rim * _TURNED)[::-1])

    return Region(tuple(turned(rim) for rim in region.rims))
