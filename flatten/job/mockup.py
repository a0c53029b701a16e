"""A job's mock-up: its own cuts in paper, felt, foam or cloth, on that sheet's neutral surface, without stretch."""

from __future__ import annotations

from dataclasses import replace

from flatten.job.design import Design
from flatten.job.pieces import drawn, dressed, panels_of
from flatten.job.settings import Job
from flatten.leather.materials import MATERIALS, Material
from flatten.leather.unclosed import unclosed
from flatten.pattern.edging import Edging
from flatten.pattern.model import Piece
from flatten.pattern.symmetry import evened
from flatten.report.model import MockupReport
from flatten.threads import one_thread
from flatten.unwrap.dart_openings import check_dart_openings
from flatten.unwrap.panel import flatten_panel
from flatten.words.english import ENGLISH
from flatten.words.language import Language
from flatten.worn.corrections import NOTHING


def sheet_of(job: Job) -> Material | None:
    """What a job's mock-up is made of, as thick as it says; None where none is asked for."""
    settings = job.mockup
    if settings.material == "none":
        return None
    usual = MATERIALS[settings.material]
    return usual if settings.thickness is None else replace(usual, thickness=settings.thickness)


@one_thread
def mockup_of(design: Design, sheet: Material, *, edge_length: float, language: Language = ENGLISH) -> MockupReport:
    """The pieces of a design as a mock-up of a `sheet`, and where that cannot close on the limb.

    The sheet's inner face lies where the leather's does, or its lining's, so that its neutral surface is its own;
    edges, corners, seams, gaps and darts are the design's. Each panel, on a mesh of `edge_length` mm, is laid flat as
    isometrically as can be.

    Raises CutError or MeshError where the cuts cut no panels from that surface, UnwrapError where one cannot be laid
    flat or made symmetrical, PatternError where a piece cannot be drawn, LimbError where the limb has no widest place.
    """
    # What is skived in leather lies full in a thin sheet, and a lining is left out of what it lines. What the maker's
    # own correction allows for happens to leather as it is formed.
    seams = tuple(replace(seam, skived=0.0) for seam in design.cuts.seams)
    thin = replace(
        design,
        wear=replace(design.wear, thickness=sheet.thickness, neutral=sheet.neutral, lining=0.0, finished=NOTHING),
        lining=None,
        edging=Edging(design.edging.radius),
        cuts=replace(design.cuts, seams=seams),
    )
    worn = dressed(thin).surface
    panels = panels_of(thin, worn, edge_length=edge_length)
    flats = tuple(flatten_panel(panel) for panel in panels)
    flats, even = evened(flats) if thin.symmetrical else (flats, ())
    check_dart_openings(flats)
    own = drawn(thin, flats, even=even, sheet=sheet.name, language=language)
    mirrored: tuple[Piece, ...] = ()
    if thin.mirrored:
        mirrored = drawn(thin, flats, even=even, sheet=sheet.name, opposite=True, language=language).pieces
    misfits = tuple(unclosed(flat, kind=thin.limb.kind, gives=sheet.gives) for flat in flats)
    return MockupReport(sheet.name, sheet.thickness, sheet.gives, own.pieces, mirrored, misfits)
