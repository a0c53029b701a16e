"""The stretch that a flat panel asks of its leather: by face, by patch and by region."""

from __future__ import annotations

import numpy as np
from scipy.sparse import csr_array, eye_array
from scipy.spatial import cKDTree

from flatten.leather.limits import hardest
from flatten.leather.model import VERDICTS, LeatherLimits, Region, Spot, StretchError, Stretches, StretchReport
from flatten.leather.regions import region_index, regions_of
from flatten.limb.kind import LimbKind
from flatten.mesh.gradient import spread
from flatten.mesh.surface import Flags, Floats, Ints
from flatten.unwrap.model import FlatPanel, Limits

PATCH_RADIUS = 10.0
"""mm. Stretch is told over discs of this radius: leather bridges anything smaller."""

AT_THE_LIMIT = 1e-9
"""Log-excess up to which a patch still lies within its limits: rounding of a panel that sits exactly at them."""


def flat_areas(flat: FlatPanel) -> Floats:
    """Area (F,) of each flat face, mm².

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over.
    """
    faces = flat.panel.mesh.faces
    if not len(faces):
        raise StretchError(f"panel '{flat.panel.name}' has no faces, so it has no stretch; cut it again")
    a, b = _edges(flat.uv, faces)
    areas = 0.5 * (a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0])
    bad = np.flatnonzero(~(areas > 0.0))
    if bad.size:
        raise StretchError(
            f"{bad.size} of {len(faces)} flat faces of panel '{flat.panel.name}' have no area or are turned over, "
            f"the first is face {bad[0]}; flatten it again"
        )
    return areas


def grain_tensors(flat: FlatPanel) -> Floats:
    """The right Cauchy–Green tensor of each face in the grain's frame, (F,3): along², across², and their product.

    With F the linear map of a face from the flat leather to the worn surface, C = FᵀF: a flat line of direction d
    grows by √(dᵀCd). The flat frame is turned so that its first axis lies along the grain.

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over.
    """
    flat_areas(flat)
    faces = flat.panel.mesh.faces
    cos, sin = np.cos(flat.grain_angle), np.sin(flat.grain_angle)
    grain = flat.uv @ np.array([[cos, -sin], [sin, cos]])
    flat_edges = np.stack(_edges(grain, faces), axis=-1)
    worn_edges = np.stack(_edges(flat.panel.mesh.vertices, faces), axis=-1)
    gradient = worn_edges @ np.linalg.inv(flat_edges)
    tensor = np.swapaxes(gradient, 1, 2) @ gradient
    return np.stack([tensor[:, 0, 0], tensor[:, 1, 1], tensor[:, 0, 1]], axis=1)


def patch_tensors(flat: FlatPanel, *, radius: float = PATCH_RADIUS) -> Floats:
    """The mean tensor (F,3) of the patch about each face: all faces whose flat centres lie within `radius` mm.

    Each face counts by its flat area, the leather that is there. Distance is straight, on the flat piece; at a
    boundary the patch is the part of the disc that is leather.
    The tensor is what is averaged, and stretches are taken from the mean: so a line's mean squared growth in one
    and the same direction counts, neighbours that shear to and fro cancel, as leather bridges them, and the worn
    faces' different tilts do not matter (C does not know them, F does). The limits are convex in C, so no patch
    is beyond them where no face is; the mean of each face's own greatest stretch would mix directions.

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over.
    """
    areas = flat_areas(flat)
    centres = flat.uv[flat.panel.mesh.faces].mean(axis=1)
    pairs = cKDTree(centres).query_pairs(radius, output_type="ndarray")
    count = len(areas)
    half = csr_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    near = half + half.T + eye_array(count, format="csr")
    sums: Floats = near.dot(np.column_stack([grain_tensors(flat) * areas[:, None], areas]))
    return sums[:, :3] / sums[:, 3:]


def stretches(tensors: Floats) -> Stretches:
    """Stretches (worn / flat) of tensors (F,3) as `grain_tensors` gives them."""
    along, across, shear = tensors.T
    middle, half = 0.5 * (along + across), np.hypot(0.5 * (along - across), shear)
    greatest = middle + half
    # The least eigenvalue from the determinant: middle - half would cancel where the two are nearly equal in size.
    least = (along * across - shear**2) / greatest
    return Stretches(np.sqrt(greatest), np.sqrt(least), np.sqrt(along), np.sqrt(across))


def log_excess(tensors: Floats, *, limits: Limits) -> Floats:
    """How far tensors (F,3) lie beyond `limits` in their worst direction, as a logarithm (F,); <= 0: within.

    The limit in a direction d of the flat leather is |Dd|, D = diag(1 + stretch along, 1 + stretch across), and
    |Kd| from below, K = diag(1 - squeeze along, 1 - squeeze across).
    """
    most = stretches(tensors / _weights(1.0 + limits.stretch_along, 1.0 + limits.stretch_across))
    fewest = stretches(tensors / _weights(1.0 - limits.squeeze_along, 1.0 - limits.squeeze_across))
    return np.maximum(np.log(most.greatest), -np.log(fewest.least))


def stretch_report(
    flat: FlatPanel, *, kind: LimbKind, limits: LeatherLimits, radius: float = PATCH_RADIUS
) -> StretchReport:
    """What `flat` asks of its leather on a limb of this kind; a patch is as in `patch_tensors`.

    The verdict goes by the patches: "dry" where every patch lies within the dry limits, "cased" within the cased
    ones, "hard" within those of hard work over a former, "not" beyond. `fits` goes by the limits in force.

    Raises StretchError where the panel has no face, or a flat face has no area or is turned over.
    """
    areas = flat_areas(flat)
    raw, tensors = stretches(grain_tensors(flat)), patch_tensors(flat, radius=radius)
    patch, over = stretches(tensors), log_excess(tensors, limits=limits.in_force)
    rungs = (limits.dry, limits.cased, hardest(limits.cased))
    step = np.array([log_excess(tensors, limits=rung) > AT_THE_LIMIT for rung in rungs]).sum(axis=0)
    faces = flat.panel.mesh.faces
    heights, bearings = flat.panel.heights[faces].mean(axis=1), flat.panel.bearings[faces].mean(axis=1)
    span = (float(flat.panel.heights.min()), float(flat.panel.heights.max()))
    index = region_index(heights, bearings, span=span)
    named = regions_of(kind)

    def spot(values: Floats, face: int) -> Spot:
        return Spot(float(values[face]), float(heights[face]), float(bearings[face]), *named[index[face]])

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
        largest=spot(patch.greatest, int(patch.greatest.argmax())),
        smallest=spot(patch.least, int(patch.least.argmin())),
        raw_max=float(raw.greatest.max()),
        raw_min=float(raw.least.min()),
        spread=spread(raw.greatest, raw.least),
        spread_patch=spread(patch.greatest, patch.least),
        over_share=float(areas[beyond].sum() / areas.sum()),
        excess_patch=float(over.max()),
        fits=not beyond.any(),
        verdict=VERDICTS[int(step.max())],
    )


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


def _edges(points: Floats, faces: Ints) -> tuple[Floats, Floats]:
    first = points[faces[:, 0]]
    return points[faces[:, 1]] - first, points[faces[:, 2]] - first


def _weights(along: float, across: float) -> Floats:
    return np.array([along**2, across**2, along * across])
