"""A job's fittings, and its muscles that swell, resolved on a limb: changes of girth and of edges."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from flatten.findings import Finding, finding
from flatten.job.design import Design
from flatten.job.errors import JobError
from flatten.job.fittings import FittingSettings
from flatten.job.settings import Job
from flatten.job.showed import Saying
from flatten.leather.materials import MATERIALS
from flatten.limb.kind import QUARTERS, DistalLimb, quarter_bearing
from flatten.limb.model import Limb, LimbError
from flatten.worn.corrections import (
    NOTHING,
    Correction,
    EdgeChange,
    Fitting,
    GirthChange,
    moved_edge,
    share_at,
)
from flatten.worn.curves import Edge
from flatten.worn.panel import CutError

Edges = tuple[Edge, Edge]
"""The bottom and the top edge."""

NOTICED_INSIDE = 0.5
"""mm that leather may lie inside the scan before it is told: a scan's own noise."""

_AROUND = np.linspace(0.0, 2 * np.pi, 360, endpoint=False)


@dataclass(frozen=True)
class _Sheet:
    """What a pattern was tried in: a material's name, its thickness (mm), the share of it inside its neutral surface,
    and the lining (mm) that is glued to its inner face."""

    material: str
    thickness: float
    neutral: float
    lining: float = 0.0

    @property
    def inside(self) -> float:
        """mm of girth by which its neutral surface exceeds its inner face, or its lining's."""
        return 2 * np.pi * (self.neutral * self.thickness + self.lining)


def fittings_of(job: Job, limb: Limb, *, edges: Edges) -> tuple[tuple[Fitting, ...], Edges]:
    """What each fitting of a job changes on a limb, in their order, and its `edges` as they then are.

    A fitting that was tried on the other limb alone of a pair with scans of its own is left out.

    Raises JobError where a fitting names a place, side or limb that is not there, or contradicts itself.
    """
    found = []
    for number, settings in enumerate(job.fitting, 1):
        if not _is_of(job, limb, settings, number):
            continue
        fitting = _fitting(job, limb, settings, number, edges)
        bottom, top = (moved_edge(edge, [e for e in fitting.edges if edge.name.startswith(e.edge)]) for edge in edges)
        edges = bottom, top
        found.append(fitting)
    return tuple(found), edges


def corrections_of(fittings: Iterable[Fitting]) -> tuple[Correction, ...]:
    """What fittings change on the inner face, those left out that change nothing there."""
    return tuple(fitting.correction for fitting in fittings if not fitting.correction.is_nothing)


def swelling_of(job: Job, limb: Limb) -> Correction:
    """The room that a job leaves for muscles that swell.

    Raises JobError where a place is not on the limb, or two are too near to one another.
    """
    try:
        changes = [GirthChange(more, limb.height_of(p) if isinstance(p, str) else p) for p, more in job.wear.flexed]
        return _checked(Correction(tuple(changes)))
    except (CutError, LimbError) as error:
        raise JobError(f"[wear] flexed: {error}") from error


def fitting_findings(job: Job, design: Design) -> tuple[Finding, ...]:
    """Where it is in doubt whose pattern was tried, and where fittings put the leather's inside into the scan."""
    leather = _leather(job).inside
    found = []
    for fitting, settings in ((each, job.fitting[each.number - 1]) for each in design.fittings):
        drawn = job.mockup.material != "none"
        if settings.material != "leather" and settings.pattern == "auto" and settings.showed and not drawn:
            girth = leather - _Sheet(fitting.material, fitting.thickness, MATERIALS[fitting.material].neutral).inside
            found.append(
                finding("fitting.whose pattern", "look", number=fitting.number, material=fitting.material, girth=girth)
            )
    if design.wear.fitted:
        heights, bearings = np.meshgrid(np.linspace(*design.span, 60), _AROUND, indexing="ij")
        wear = replace(design.wear, finished=NOTHING)
        inside = wear.offset_at(heights, bearings) - wear.neutral * wear.thickness - wear.lining + wear.over
        if float(inside.min()) < -NOTICED_INSIDE:
            at = np.unravel_index(int(inside.argmin()), inside.shape)
            height, bearing = float(heights[at]), float(bearings[at])
            kind = design.limb.kind
            found.append(
                finding(
                    "fitting.inside scan",
                    "look",
                    place=kind.place(height=height, bearing=bearing),
                    depth=-float(inside.min()),
                    where=kind.at(height, bearing),
                )
            )
    return tuple(found)


def _is_of(job: Job, limb: Limb, settings: FittingSettings, number: int) -> bool:
    """Whether a fitting is counted on a limb: a mirrored pair's on both."""
    if settings.side in ("both", limb.side) or job.piece.pair in ("mirrored", "mean"):
        return True
    if job.piece.pair == "own scan":
        return False
    raise JobError(
        f"[[fitting]] {number} was tried on the {settings.side} {limb.kind}, and pieces are made for the {limb.side} "
        "one alone; leave 'side' out where it counts for that one too"
    )


def _fitting(job: Job, limb: Limb, settings: FittingSettings, number: int, edges: Edges) -> Fitting:
    where = f"[[fitting]] {number}"
    worn, pattern = _sheets(job, settings)
    converted = pattern.inside - worn.inside
    girths, moves = [], []
    for said in settings.showed:
        place = f"{where}, '{said.text}'"
        bearing = None if said.side is None else _bearing(limb, said.side, place)
        if said.kind in ("edge", "touch"):
            moves.append(_edge_change(limb, said, bearing, place))
            continue
        height = None if said.place is None else _height(limb, said.place, edges, place)
        girth = said.amount * (share_at(bearing) if said.kind == "apart" else 1.0)
        girths.append(GirthChange(girth, height, bearing))
    if girths and converted:
        girths = _converted(girths, converted)
    try:
        correction = _checked(Correction(tuple(girths)))
    except CutError as error:
        raise JobError(f"{where}: {error}") from error
    texts = tuple(said.text for said in settings.showed)
    shift = converted if girths else 0.0
    return Fitting(number, worn.material, worn.thickness, shift, texts, correction, tuple(moves))


def _sheets(job: Job, settings: FittingSettings) -> tuple[_Sheet, _Sheet]:
    """What was tried, and what its pattern was drawn for."""
    leather = _leather(job)
    if settings.material == "leather":
        thickness = leather.thickness if settings.thickness is None else settings.thickness
        return replace(leather, thickness=thickness), leather
    material = MATERIALS[settings.material]
    usual = material.thickness
    if job.mockup.material == settings.material and job.mockup.thickness is not None:
        usual = job.mockup.thickness
    worn = _Sheet(material.name, usual if settings.thickness is None else settings.thickness, material.neutral)
    return worn, leather if settings.pattern == "leather" else worn


def _leather(job: Job) -> _Sheet:
    """The leather that the job's pieces are of."""
    lining = 0.0 if job.lining is None else job.lining.thickness
    return _Sheet("leather", job.leather.thickness, job.leather.neutral, lining)


def _converted(girths: list[GirthChange], converted: float) -> list[GirthChange]:
    """Changes of the inner girth, where the inner face of what was tried lay `converted` mm of girth further out than
    the pattern's own leather: all that was read all round, and what nothing was said of, moves out by it."""
    moved = [GirthChange(c.girth + converted, c.height) if c.bearing is None else c for c in girths]
    if not any(change.height is None and change.bearing is None for change in moved):
        moved.append(GirthChange(converted))
    return moved


def _checked(correction: Correction) -> Correction:
    """The correction, its readings looked at. Raises CutError where two of them are too near to one another."""
    correction.girth(0.0)
    return NOTHING if correction.is_nothing else correction


def _bearing(limb: Limb, word: str, place: str) -> float:
    """The bearing (rad) of a side by a quarter's name or the limb's own word for it."""
    number = QUARTERS.index(word) if word in QUARTERS else limb.kind.side_number(word)
    if number is None:
        raise JobError(f"{place}: '{word}' is no side of a {limb.kind}; its sides are {', '.join(limb.kind.sides)}")
    return quarter_bearing(QUARTERS[number])


def _height(limb: Limb, place: str | float, edges: Edges, where: str) -> float:
    """The height (mm) of a place on the piece. Raises JobError where it is not on it."""
    bottom, top = (float(edge.height(_AROUND).mean()) for edge in edges)
    own = {"bottom": bottom, "top": top, "middle": 0.5 * (bottom + top)}
    if place in own:
        return own[str(place)]
    try:
        height = limb.height_of(place) if isinstance(place, str) else place
    except LimbError as error:
        raise JobError(f"{where}: {error}") from error
    low, high = (float(pick(edge.height(_AROUND))) for edge, pick in zip(edges, (np.min, np.max), strict=True))
    if not low <= height <= high:
        raise JobError(
            f"{where}: the piece reaches from height {low:.0f} to {high:.0f} mm, and this is at {height:.0f} mm; say "
            "'at the top' or 'at the bottom', or another height"
        )
    return height


def _edge_change(limb: Limb, said: Saying, bearing: float | None, place: str) -> EdgeChange:
    """How far an edge moves, and which: one that touches gives way into the leather."""
    edge = said.edge
    if edge not in ("top", "bottom"):
        edge = _edge_beside(limb, str(edge), place)
    up = said.amount
    if said.kind == "touch":
        up = -said.amount if edge == "top" else said.amount
    return EdgeChange(edge, up, bearing)


def _edge_beside(limb: Limb, joint: str, place: str) -> str:
    """The edge beside a joint: "top" or "bottom"."""
    kind = limb.kind
    near = "top" if isinstance(kind, DistalLimb) else "bottom"
    beside: dict[str, str] = {kind.joint: near}
    if isinstance(kind, DistalLimb):
        beside[kind.zero] = "bottom"
    else:
        beside["hip" if kind.far_end == "foot" else "shoulder"] = "top"
    if joint not in beside:
        raise JobError(f"{place}: there is no {joint} beside a {kind}'s edges; write 'top edge' or 'bottom edge'")
    return beside[joint]
