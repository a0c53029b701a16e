"""A job cut and laid flat for advice: the same steps as for the files, without drawing or telling."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from flatten.advice.model import Asked
from flatten.job.design import Design
from flatten.job.pieces import drawn, each_alone, fitted, panels_of
from flatten.leather.model import LeatherLimits, StretchReport
from flatten.leather.stretch import stretch_report
from flatten.mesh.surface import Floats, Ints, face_areas
from flatten.pattern.model import PatternError
from flatten.pattern.symmetry import Evened
from flatten.tolerances import EDGE_QUICK
from flatten.unwrap.dart_openings import check_dart_openings
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.unwrap.model import FlatPanel, UnwrapError
from flatten.worn.neutral import Neutral

PROMISED = EDGE_QUICK
"""mm. Edges of the meshes from which is told what advice brings. Extremes of stretch over patches differ by up to 0.14
percentage points between meshes of 8 mm and the files' 3 mm, and by up to 0.03 from 5 mm on."""

_ALONG_DART = np.array([0.25, 0.5, 0.75, 1.0])


@dataclass(frozen=True, eq=False)
class Trial:
    """A design's panels laid flat off the neutral surface `ground`, and what each asks of its leather.

    `even` tells which were made symmetrical.
    """

    design: Design
    ground: Neutral
    flats: tuple[FlatPanel, ...]
    reports: tuple[StretchReport, ...]
    even: tuple[Evened, ...]

    @property
    def asked(self) -> Asked:
        """What the panels together ask of their leather."""
        return all_asked([self])


def all_asked(trials: Iterable[Trial]) -> Asked:
    """What the panels of one or more trials together ask of their leather."""
    return asked_of([panel for trial in trials for panel in zip(trial.flats, trial.reports, strict=True)])


def asked_of(panels: Sequence[tuple[FlatPanel, StretchReport]]) -> Asked:
    """What flat panels, each with its report, together ask of their leather."""
    return Asked(
        excess=max(flat.excess for flat, _ in panels),
        spread=max(flat.spread_reachable for flat, _ in panels),
        stretch=max(report.most.stretch for _, report in panels) - 1.0,
        squeeze=1.0 - min(report.least.stretch for _, report in panels),
        beyond=max(report.excess for _, report in panels),
        area=sum(float(face_areas(flat.panel.mesh).sum()) for flat, _ in panels),
        overlaps=sum(flat.overlaps for flat, _ in panels),
        fits=all(report.fits and not flat.overlaps for flat, report in panels),
    )


def tried(
    design: Design, ground: Neutral, *, limits: LeatherLimits, edge_length: float, accuracy: Accuracy = TO_CUT
) -> Trial:
    """The design cut from the neutral surface `ground` and laid flat with `accuracy`, on meshes of `edge_length` mm.

    Raises CutError or MeshError where the edges, seams and darts cut no panels, UnwrapError or StretchError where one
    cannot be laid flat, PatternError where a seam's holes cannot be.
    """
    panels = panels_of(design, ground.surface, edge_length=edge_length)
    return trial_of(design, ground, each_alone(design, panels, limits=limits, accuracy=accuracy), limits=limits)


def trial_of(design: Design, ground: Neutral, alone: Sequence[FlatPanel], *, limits: LeatherLimits) -> Trial:
    """The design's panels, laid flat each by itself (`alone`) off the neutral surface `ground`, and what they ask.

    Raises UnwrapError where one cannot be made symmetrical, StretchError where a face of one is turned over,
    PatternError where a seam's holes cannot be.
    """
    flats, even = fitted(design, alone, limits=limits)
    reports = tuple(stretch_report(flat, kind=design.limb.kind, limits=limits) for flat in flats)
    return Trial(design, ground, flats, reports, even)


def promised(trial: Trial, *, limits: LeatherLimits) -> Trial:
    """A trial laid flat anew on meshes of PROMISED mm, from what it has found to be attainable: as files are made.

    Raises CutError or MeshError where its panels cannot be meshed so, UnwrapError or StretchError where one cannot be
    laid flat, PatternError where a seam's holes cannot be.
    """
    panels = panels_of(trial.design, trial.ground.surface, edge_length=PROMISED)
    known = [flat.attainable for flat in trial.flats]
    alone = each_alone(trial.design, panels, limits=limits, known=known)
    return trial_of(trial.design, trial.ground, alone, limits=limits)


def can_be_drawn(trial: Trial) -> bool:
    """Whether the pieces can be cut from one leather, with their holes and marks.

    Raises LimbError where the limb has no widest place, whose ring is drawn.
    """
    try:
        check_dart_openings(trial.flats)
        drawn(trial.design, trial.flats, even=trial.even)
    except (PatternError, UnwrapError):
        return False
    return True


def least_opening(flat: FlatPanel, name: str) -> float | None:
    """mm by which the sides of the dart `name` stand apart on the flat piece where they are nearest one another, tip
    left out: below 0 they lie one over the other. None where the panel has no such dart.

    Places of one height on both sides are compared, across the line from the tip to the middle of the opening.
    """
    for one, other in pairwise(flat.panel.boundaries):
        if one.name != name or one.kind not in ("dart", "slash") or other.name != name:
            continue
        low, high = (one, other) if one.side == "low" else (other, one)
        tip = int(one.vertices[-1])
        sides = [_from_tip(flat, boundary.vertices, tip) for boundary in (low, high)]
        opening = 0.5 * (sides[0][-1] + sides[1][-1]) - flat.uv[tip]
        up = opening if flat.panel.heights[one.vertices[0]] > flat.panel.heights[tip] else -opening
        right = np.array([up[1], -up[0]]) / np.hypot(*up)
        return float(((sides[1] - sides[0]) @ right).min())
    return None


def _from_tip(flat: FlatPanel, vertices: Ints, tip: int) -> Floats:
    """Points (4,2) of the flat piece on a dart's side at shares of its height from the tip, the opening last."""
    ordered = vertices if vertices[0] == tip else vertices[::-1]
    run = np.abs(flat.panel.heights[ordered] - flat.panel.heights[tip])
    return np.column_stack([np.interp(_ALONG_DART * run[-1], run, flat.uv[ordered, k]) for k in (0, 1)])
