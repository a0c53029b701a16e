"""A design's lining laid flat, and what that asks of it."""

from __future__ import annotations

from flatten.findings import Finding, finding
from flatten.job.design import Design
from flatten.job.pieces import UNLINED, Lined, each_alone
from flatten.leather.bending import tightest_bend
from flatten.leather.limits import LINING
from flatten.leather.stretch import stretch_report
from flatten.pattern.symmetry import evened
from flatten.report.model import PanelReport
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.worn.lining import lining_panels
from flatten.worn.neutral import Neutral


def lined(design: Design, *, neutral: Neutral, edge_length: float, accuracy: Accuracy = TO_CUT) -> Lined:
    """The lining of a design on its neutral surface, laid flat within limits of its own on meshes of `edge_length` mm.

    Raises CutError or MeshError where the design's cuts make no panels of it, UnwrapError where one cannot be laid flat
    or made symmetrical, StretchError where a face is turned over, LeatherError where it bends too sharply.
    """
    if design.lining is None:
        return UNLINED
    wear, kind = design.wear, design.limb.kind
    panels = lining_panels(
        neutral.surface, design.cuts, design.lining, wear=wear, edge_length=edge_length, side_names=kind.sides
    )
    flats = each_alone(design, panels, limits=LINING, accuracy=accuracy)
    flats, even = evened(flats) if design.symmetrical else (flats, ())
    thickness, neutral_share = design.lining.thickness, wear.neutral
    reports = (
        PanelReport(
            flat,
            stretch_report(flat, kind=kind, limits=LINING),
            tightest_bend(flat.panel, surface=neutral.surface, thickness=thickness, neutral=neutral_share),
            least_spread=None,
            fits_girth=None,
            part="lining",
        )
        for flat in flats
    )
    return Lined(tuple(reports), even)


def lining_findings(design: Design) -> tuple[Finding, ...]:
    """How a design's lining is cut and glued in; nothing without one."""
    if design.lining is None:
        return ()
    lining, parted = design.lining, any(seam.overlap for seam in design.cuts.seams)
    return (finding("lining.cut", "note", thickness=lining.thickness, allowance=lining.allowance, parted=parted),)
