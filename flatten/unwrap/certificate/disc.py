"""The disc: a dome's rim is too short for its radius.

Let B be the geodesic disc of radius r about p, r at most the distance from p to the boundary, and L the length of its
circle. In a flat map f with flat / worn in [1, E], f(B) holds the flat disc of radius r about f(p) (Rays, in
`struts`); the outer boundary of f(B) is part of the circle's image, so at least 2πr long, and at most E L. So
    spread ≥ log(2πr / L).

L is bounded without measuring it. The circle of radius t consists of arcs about p or about saddle vertices, and meets
itself at corners where its front has met itself. While t grows, each arc grows at the rate of its angle, and at a
corner where the front turns inward by θ two arcs lose tan(θ/2) each: dL/dt = Σ arc angles − Σ 2 tan(θ/2). By
Gauss–Bonnet on the disc so far, Σ arc angles − Σ θ = 2πχ − K(t), with K(t) the sum of the angle defects of the
vertices nearer than t and χ ≤ 1 (a disc with holes has less). As 2 tan(θ/2) ≥ θ, dL/dt ≤ 2π − K(t). L has no jump up:
a vertex that is passed begins arcs of length 0, a front that meets itself loses length. (Fiala 1941, for smooth
surfaces.) So, with D the distance from p,
    L ≤ 2πr − Σ defect(v) · (r − D(v))₊,   spread ≥ −log(1 − Σ defect(v) · (1 − D(v)/r)₊ / 2π).
On a spherical cap this tends to Milnor's log(a / sin a), which is exact (Milnor 1969, "A problem in cartography").
A saddle's sum is negative and gives nothing: there `wheel` and `pairs` take over.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats
from flatten.unwrap.certificate.distances import ROUNDING


@dataclass(frozen=True)
class Disc:
    """The bound of the best disc, its centre (a mesh vertex) and radius mm; bound 0, centre −1 where none binds."""

    bound: float
    centre: int
    radius: float


def best_disc(
    distances: Floats, *, centres: list[int], to_boundary: Floats, defects: Floats, least_radius: float
) -> Disc:
    """The disc of greatest bound about the `centres` (S).

    `distances` (S,V) from each centre, infinite where unknown; `to_boundary` (V,) the distance to the boundary;
    `defects` (V,) the angle defects, 0 on the boundary; radii from `least_radius` mm.
    """
    best = Disc(0.0, -1, 0.0)
    for centre, row in zip(centres, distances, strict=True):
        known = np.isfinite(row)
        # Only where the whole disc is known and off the boundary; short by what rounding may do. So are the distances
        # to saddle vertices, and those to others are longer by it.
        largest = min(float(to_boundary[centre]), float(row[known].max())) * (1 - ROUNDING)
        order = np.argsort(row)
        order = order[row[order] <= largest]
        defect = defects[order]
        near = row[order] * (1 + ROUNDING * np.sign(defect))
        radius = np.append(near[1:], largest)
        fits = radius >= least_radius
        if not fits.any():
            continue
        share = (np.cumsum(defect) - np.cumsum(defect * near) / np.where(fits, radius, 1.0)) / (2 * np.pi)
        share = np.where(fits, share, 0.0)
        k = int(np.argmax(share))
        bound = -float(np.log1p(-share[k])) - ROUNDING
        if bound > best.bound:
            best = Disc(bound, centre, float(radius[k]))
    return best
