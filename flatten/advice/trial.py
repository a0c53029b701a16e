"""A job cut and laid flat for advice: the same steps as for the files, without drawing or telling."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from flatten.advice.model import Asked
from flatten.job.pieces import each_alone, fitted, panels_of
from flatten.job.settings import Job
from flatten.job.steps import edges_of, reach_of, wear_of
from flatten.leather.model import LeatherLimits, StretchReport
from flatten.leather.stretch import stretch_report
from flatten.measure import Found
from flatten.mesh.surface import Floats, Ints, face_areas
from flatten.pattern.symmetry import Evened
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.unwrap.model import FlatPanel
from flatten.worn.neutral import Neutral, neutral_surface

_ALONG_DART = np.array([0.25, 0.5, 0.75, 1.0])


@dataclass(frozen=True, eq=False)
class Trial:
    """A job's panels laid flat off the neutral surface `ground`, and what each asks of its leather.

    `even` tells which were made symmetrical.
    """

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
    panels = [panel for trial in trials for panel in zip(trial.flats, trial.reports, strict=True)]
    return Asked(
        excess=max(flat.excess for flat, _ in panels),
        spread=max(flat.spread_reachable for flat, _ in panels),
        stretch=max(report.largest.stretch for _, report in panels) - 1.0,
        squeeze=1.0 - min(report.smallest.stretch for _, report in panels),
        area=sum(float(face_areas(flat.panel.mesh).sum()) for flat, _ in panels),
        overlaps=sum(flat.overlaps for flat, _ in panels),
        fits=all(report.fits and not flat.overlaps for flat, report in panels),
    )


def ground_of(job: Job, found: Found) -> Neutral:
    """The neutral surface of a job, over the heights that it needs.

    Raises JobError where the job's layers make no sense, CutError where they fold or the limb is too short.
    """
    return neutral_surface(found.skin, wear_of(job), heights=reach(job, found))


def reach(job: Job, found: Found) -> tuple[float, float]:
    """The heights (mm) over which a job needs its neutral surface."""
    return reach_of(job, edges=edges_of(job, limb=found.limb, trusted=found.skin.trusted))


def edge_span(job: Job, found: Found) -> tuple[float, float]:
    """The heights (mm) of the lowest point of a job's bottom edge and of the highest of its top edge."""
    around = np.linspace(0.0, 2 * np.pi, 181)
    bottom, top = edges_of(job, limb=found.limb, trusted=found.skin.trusted)
    return float(bottom.height(around).min()), float(top.height(around).max())


def tried(
    job: Job, found: Found, *, limits: LeatherLimits, edge_length: float, ground: Neutral, accuracy: Accuracy = TO_CUT
) -> Trial:
    """The job cut from the neutral surface `ground` and laid flat with `accuracy`, on meshes of `edge_length` mm.

    Raises CutError where the edges, seams and darts cut no panels, UnwrapError where one cannot be laid flat.
    """
    panels = panels_of(job, limb=found.limb, skin=found.skin, worn=ground.surface, edge_length=edge_length)
    return trial_of(job, each_alone(job, panels, limits=limits, accuracy=accuracy), found, limits=limits, ground=ground)


def trial_of(job: Job, alone: Sequence[FlatPanel], found: Found, *, limits: LeatherLimits, ground: Neutral) -> Trial:
    """The job's panels, laid flat each by itself (`alone`) off the neutral surface `ground`, and what they ask.

    Raises UnwrapError where one cannot be made symmetrical.
    """
    flats, even = fitted(job, alone, limits=limits)
    reports = tuple(stretch_report(flat, kind=found.limb.kind, limits=limits) for flat in flats)
    return Trial(ground, flats, reports, even)


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
