"""The floor that a scan stands on: a plane found by random samples, and what lies on it or beyond it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.spatial import cKDTree

from flatten.findings import Finding, finding
from flatten.mesh.surface import Floats, Ints
from flatten.scan.areas import doubled_areas

FLOOR_NOISE = 3.0
"""mm. A floor point may lie this far from the floor's plane: four times a phone scan's noise of 0.8 mm."""

FLOOR_SHARE = 0.10
"""A floor holds at least this share of the surface (a flat sole holds below 5 %)."""

FLOOR_RADIUS = 90.0
"""mm. A floor reaches at least this far around its middle: a sole is narrower, and so is a limb's cut end."""

FLOOR_FILLED = 0.5
"""Area of a floor at least, as a share of the disc or ellipse that it reaches round: a plane that touches two limbs
along their length holds two strips with nothing between them."""

FLOOR_ROUNDNESS = 0.4
"""Narrowest over widest extent of a floor at least: the flat of a shin is a strip."""

BEYOND_SHARE = 0.02
"""At most this share of the surface lies beyond a floor: a limb stands on one side of it."""

_SAMPLES = 3000
"""Points that stand for the surface in the search: ± 0.5 % of the share of a floor of 10 %."""

_TRIALS = 6000
"""Planes that are tried: three points of a floor of 10 % are missed by all of them once in 400 scans."""

_NEIGHBOURS = 6
"""Neighbours that tell how far apart the samples lie."""

_COARSE = 8
"""Every so many samples take part in the first comparison, to bound its time and memory (18 MB)."""

_FINALISTS = 40
"""So many of the best planes of the first comparison are compared on all samples."""

_SHEETS = 3
"""A floor has at most so many sheets: the upper and lower faces of a slab, and one in reserve."""


@dataclass(frozen=True, eq=False)
class Plane:
    """The plane normal · p = height, with the limb on its positive side; `normal` a unit vector (3,)."""

    normal: Floats
    height: float


def find_floor(samples: Floats) -> Plane | None:
    """The floor in points (N,3) mm spread evenly over a surface, or None.

    A plane is a floor where it holds FLOOR_SHARE of the points within FLOOR_NOISE, these reach round it
    (FLOOR_ROUNDNESS, FLOOR_RADIUS), and the rest stand on one side (BEYOND_SHARE). Random sample consensus
    (Fischler & Bolles 1981) over three-point planes with a fixed seed, then least squares.
    """
    if len(samples) < 10:
        return None
    samples = samples - (middle := samples.mean(axis=0))
    normals, heights = _trial_planes(samples)
    likely = np.argsort(-_inlier_shares(normals, heights, samples[::_COARSE]), kind="stable")[:_FINALISTS]
    shares = _inlier_shares(normals[likely], heights[likely], samples)
    if not shares.any():
        return None
    best = likely[np.argmax(shares)]
    normal, height = normals[best], heights[best]
    for _ in range(3):
        near = samples[np.abs(samples @ normal - height) < FLOOR_NOISE]
        if len(near) < FLOOR_SHARE * len(samples):
            return None
        values, axes = np.linalg.eigh(np.cov(near.T))
        normal, height = axes[:, 0], float(near.mean(axis=0) @ axes[:, 0])
    # Points spread evenly over a disc of radius R have the standard deviation R/2 along each of its axes.
    narrow, wide = 2 * np.sqrt(values[1:])
    if narrow < FLOOR_RADIUS or narrow < FLOOR_ROUNDNESS * wide:
        return None
    # k neighbours within a distance d share the area πd²: their sum is the area of what lies on the plane.
    spacing = np.asarray(cKDTree(samples).query(near, k=_NEIGHBOURS + 1)[0])[:, -1]
    if np.sum(spacing**2) / _NEIGHBOURS < FLOOR_FILLED * narrow * wide:
        return None
    distance = samples @ normal - height
    above, below = np.count_nonzero(distance > FLOOR_NOISE), np.count_nonzero(distance < -FLOOR_NOISE)
    side = 1.0 if above >= below else -1.0
    return Plane(side * normal, float(side * height + side * normal @ middle))


def _inlier_shares(normals: Floats, heights: Floats, samples: Floats) -> Floats:
    """Share of the samples on each plane; 0 where too many lie beyond it."""
    distance = normals @ samples.T - heights[:, None]
    share = np.count_nonzero(np.abs(distance) < FLOOR_NOISE, axis=1) / len(samples)
    above = np.count_nonzero(distance >= FLOOR_NOISE, axis=1) / len(samples)
    beyond = np.minimum(above, 1 - share - above)
    return np.where(beyond <= BEYOND_SHARE, share, 0.0)


def _trial_planes(samples: Floats) -> tuple[Floats, Floats]:
    rng = np.random.default_rng(0)
    chosen = samples[rng.integers(len(samples), size=(_TRIALS, 3))]
    normals = np.cross(chosen[:, 1] - chosen[:, 0], chosen[:, 2] - chosen[:, 0])
    lengths = np.linalg.norm(normals, axis=1)
    # A small triangle says little about its plane.
    wide = lengths > FLOOR_RADIUS**2 / 4
    normals = normals[wide] / lengths[wide, None]
    return normals, np.einsum("ij,ij->i", normals, chosen[wide, 0])


def even_samples(vertices: Floats, faces: Ints) -> Floats:
    """Points (N,3) spread evenly over the surface by area, the same for the same triangles in any pose."""
    rng = np.random.default_rng(0)
    if not len(faces):
        return vertices[rng.permutation(len(vertices))[:_SAMPLES]]
    summed = np.cumsum(doubled_areas(vertices, faces))
    chosen = faces[np.searchsorted(summed, (np.arange(_SAMPLES) + 0.5) / _SAMPLES * summed[-1])]
    # Even over a triangle: Osada et al. 2002, Shape Distributions, eq. 1.
    root, along = np.sqrt(rng.random(_SAMPLES)), rng.random(_SAMPLES)
    weights = np.stack([1 - root, root * (1 - along), root * along], axis=1)
    return np.einsum("ij,ijk->ik", weights, vertices[chosen])


def drop_floor(vertices: Floats, faces: Ints) -> tuple[Ints, list[Finding]]:
    """Faces without those that lie on the floor or beyond it (a fused sole goes with it)."""
    kept = faces
    for _ in range(_SHEETS):
        plane = find_floor(even_samples(vertices, kept)) if len(kept) else None
        if plane is None:
            break
        low = vertices @ plane.normal - plane.height < FLOOR_NOISE
        kept = kept[~low[kept].all(axis=1)]
    lost = len(faces) - len(kept)
    return kept, [finding("scan.floor", "note", count=lost, of="faces")] if lost else []


def drop_floor_points(points: Floats) -> tuple[Floats, list[Finding]]:
    """Points of a cloud without those that lie on the floor or beyond it."""
    plane = find_floor(even_samples(points, np.empty((0, 3), np.int64)))
    if plane is None:
        return points, []
    low = points @ plane.normal - plane.height < FLOOR_NOISE
    lost = int(np.count_nonzero(low))
    return points[~low], [finding("scan.floor", "note", count=lost, of="points")]
