"""The stretch that a flat panel asks of its leather: by face, patch, straight line, rim and region."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from flatten.leather.aims import LEAST, MOST, Found, Line, limit_aims
from flatten.leather.limits import hardest
from flatten.leather.lines import worst_lines
from flatten.leather.model import VERDICTS, Extremes, LeatherLimits, Region, Spot, Stretches, StretchReport
from flatten.leather.regions import region_index, regions_of
from flatten.leather.rims import worst_rims
from flatten.leather.tensors import PATCH_RADIUS, flat_areas, grain_tensors, log_excess, patch_tensors, stretches
from flatten.limb.kind import LimbKind
from flatten.mesh.gradient import spread
from flatten.mesh.surface import Flags, Floats, Ints
from flatten.unwrap.model import FlatPanel, Limits

AT_THE_LIMIT = 1e-9
"""Log-excess up to which a patch or a line still lies within its limits: rounding of a panel that sits at them."""


def stretch_report(
    flat: FlatPanel, *, kind: LimbKind, limits: LeatherLimits, radius: float = PATCH_RADIUS
) -> StretchReport:
    """What `flat` asks of its leather on a limb of this kind; a patch is as in `patch_tensors`.

    The verdict goes by the worst of the patches, of the straight lines (`worst_lines`) and of the pieces of rim
    (`worst_rims`): "dry" where all lie within the dry limits, "cased" within the cased ones, "hard" within those of
    hard work over a former, "not" beyond. `fits` goes by the limits in force. A map that keeps its limits in every
    face keeps them in all three, which are means over faces.

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over; DiskError where its
    faces do not meet two at an edge, wound alike, or boundaries touch.
    """
    areas = flat_areas(flat)
    of_faces, tensors = grain_tensors(flat), patch_tensors(flat, radius=radius)
    raw, patch, over = stretches(of_faces), stretches(tensors), log_excess(tensors, limits=limits.in_force)
    rungs = (limits.dry, limits.cased, hardest(limits.cased))
    aims = {MOST, LEAST, *(aim for rung in (limits.in_force, *rungs) for aim in limit_aims(rung))}
    ordered = sorted(aims, key=lambda aim: (aim.sign, aim.along, aim.across))
    lines, rims = worst_lines(flat, of_faces, ordered), worst_rims(flat, ordered)
    step = np.array([log_excess(tensors, limits=rung) > AT_THE_LIMIT for rung in rungs]).sum(axis=0)
    for found in (lines, rims):
        for taken, rung in enumerate(rungs, 1):
            for line in _beyond(found, rung):
                step[line.face] = max(step[line.face], taken)
    faces = flat.panel.mesh.faces
    heights, bearings = flat.panel.heights[faces].mean(axis=1), flat.panel.bearings[faces].mean(axis=1)
    span = (float(flat.panel.heights.min()), float(flat.panel.heights.max()))
    index = region_index(heights, bearings, span=span)
    named = regions_of(kind)

    def spot(stretch: float, face: int) -> Spot:
        return Spot(float(stretch), face, float(heights[face]), float(bearings[face]), *named[index[face]])

    largest, smallest = int(patch.greatest.argmax()), int(patch.least.argmin())
    beyond = over > AT_THE_LIMIT
    return StretchReport(
        panel=flat.panel.name,
        kind=kind,
        limits=limits,
        raw=raw,
        patch=patch,
        over=over,
        regions=tuple(
            _region(region, np.flatnonzero(index == k), areas=areas, patch=patch, beyond=beyond, step=step)
            for k, region in enumerate(named)
            if (index == k).any()
        ),
        largest=spot(patch.greatest[largest], largest),
        smallest=spot(patch.least[smallest], smallest),
        lines=_extremes(lines, limits.in_force, spot),
        rims=_extremes(rims, limits.in_force, spot),
        raw_max=float(raw.greatest.max()),
        raw_min=float(raw.least.min()),
        spread=spread(raw.greatest, raw.least),
        spread_patch=spread(patch.greatest, patch.least),
        over_share=float(areas[beyond].sum() / areas.sum()),
        excess_patch=float(over.max()),
        fits=not (beyond.any() or _beyond(lines, limits.in_force) or _beyond(rims, limits.in_force)),
        verdict=VERDICTS[int(step.max())],
    )


def _beyond(found: Found, limits: Limits) -> list[Line]:
    """The worst lines of stretch and of squeeze, where they lie beyond the limits."""
    worst = (found.get(aim) for aim in limit_aims(limits))
    return [line for line in worst if line is not None and line.beyond > AT_THE_LIMIT]


def _extremes(found: Found, limits: Limits, spot: Callable[[float, int], Spot]) -> Extremes | None:
    """The extremes of the lines that were found; None where the panel has no line."""
    if MOST not in found or LEAST not in found:
        return None
    most, least = (spot(found[aim].growth, found[aim].face) for aim in (MOST, LEAST))
    return Extremes(most, least, max(found[aim].beyond for aim in limit_aims(limits)))


def _region(
    region: tuple[str, str], members: Ints, *, areas: Floats, patch: Stretches, beyond: Flags, step: Ints
) -> Region:
    area = float(areas[members].sum())
    side, level = region
    return Region(
        side=side,
        level=level,
        area=area,
        area_share=area / float(areas.sum()),
        along_max=float(patch.along[members].max()),
        along_min=float(patch.along[members].min()),
        across_max=float(patch.across[members].max()),
        across_min=float(patch.across[members].min()),
        over_share=float(areas[members][beyond[members]].sum()) / area,
        verdict=VERDICTS[int(step[members].max())],
    )
