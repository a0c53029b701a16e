"""How near two points of a panel can come to one another in a flat map: cables and struts.

Setting. S is a disk of flat triangles with its own inner distances d, "the panel as meshed". f is a map of S onto its
image in the plane, one to one, and flat / worn length of every short arc lies in [m, M] with M = e^s m; s is the
spread of the map. Piecewise linear maps whose faces have singular values in [m, M] and do not overlap are of this
kind, on this mesh or any finer one of the same surface. Everything is stated for m = 1, M = E = e^s; scaling the flat
piece changes nothing. ρ(x) is the distance from x to the boundary's edges, B(q, r) an open flat disc.

Cable. |f(x) − f(y)| ≤ E d(x,y): the image of a shortest path has at most that length.

Rays. B(f(x), ρ(x)) lies in f(S), and so does every flat segment that discs of this kind cover. *Proof.* Lift a ray
from f(x) to a path in S that starts in x: f is a local homeomorphism inside S, and a lifted path is at most as long as
its image, as m = 1; so it cannot reach the boundary before the ray is ρ(x) long.

Lift. If the flat segment from f(x) to f(y) lies in f(S), then |f(x) − f(y)| ≥ d(x,y). *Proof.* f is one to one, so
the segment lifts to one path from x to y, at most as long as the segment.

Strut. |f(x) − f(y)| ≥ min(d(x,y), ρ(x) + ρ(y)). *Proof.* Were it less than ρ(x) + ρ(y), the two discs would cover
the segment; then Lift.

Room. If some z has E d(z,x) < ρ(z) and E d(z,y) < ρ(z), then |f(x) − f(y)| ≥ d(x,y). *Proof.* By Cable f(x) and f(y)
lie in B(f(z), ρ(z)), and with them the segment; then Lift.

Tube. Let γ be a path in S of length T from x to y, δ > T − d(x,y), and at each t in (0, T), the length from x, let
    ρ(γ(t)) > E min(t, T − t)   or   ρ(γ(t))² > (E² − 1) t (T − t) + 2 δ t (T − t) / T.
Then |f(x) − f(y)| ≥ d(x,y). *Proof.* For u < v on γ put L = v − u and claim |f(γ(u)) − f(γ(v))| ≥ L − δ. Always
d(γ(u), γ(v)) > L − δ, or a path from x to y would be shorter than d(x,y). Suppose that some pairs break the claim, and
let L be the infimum of their lengths. By compactness and continuity there is a pair u, v of that length with
|f(γ(u)) − f(γ(v))| = c = L − δ and pairs as near to it as one likes that break the claim; and c > 0, as f is one to
one and the two points differ. Put f(γ(u)) at 0 and f(γ(v)) at (c, 0). For t between them, a = t − u and b = v − t,
f(γ(t)) lies in the lens of the discs about 0 of radius E a and about (c, 0) of radius E b. Let p be the foot, on the
axis, of the two circles' meeting points: p = c/2 + E² L (a − b) / 2c is linear in t and runs from below 0 to above c,
so each axis point q in [0, c] is the foot for some t. There the point of the lens farthest from q is a meeting point:
on the arc about 0 the distance from q falls with the abscissa, which is at least p, and on the other arc it grows with
the abscissa, which is at most p. So f(γ(t)) is within h of q, where
    h² = E² a² − p² = (E² L² − c²)/4 · (1 − E² (a − b)²/c²) ≤ (E² L² − c²) a b / L² ≤ (E² − 1) a b + 2 δ a b / L,
as c ≤ L and 1 − c²/L² ≤ 2δ/L; and h ≤ E min(a, b), a leg. Both estimates grow with a and with b, so with a ≤ t and
b ≤ T − t the condition gives h < ρ(γ(t)): by Rays the discs about the f(γ(t)) cover the segment with room to spare,
and so they do for those nearby pairs that break the claim. By Lift these are at least d > L − δ apart: a
contradiction. So the claim holds, and for u = 0, v = T it says |f(x) − f(y)| ≥ T − δ. Were c = |f(x) − f(y)| in
[T − δ, d(x,y)), the same discs would cover the segment, as (E² L² − c²) a b / L² falls with c; then Lift.

In arithmetic d is exact up to ROUNDING, taken on the safe side: cables are longer by it and struts shorter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Flags, Floats, Ints, frozen, frozen_ints
from flatten.unwrap.certificate.distances import ROUNDING
from flatten.unwrap.certificate.paths import Paths


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pairs (P) of sample points: `first`, `second`, their `distances` (P,) mm; `to_boundary` (N,) is ρ at the
    points."""

    points: Ints
    to_boundary: Floats
    first: Ints
    second: Ints
    distances: Floats
    paths: Paths

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("points", "first", "second"):
            object.__setattr__(self, name, frozen_ints(getattr(self, name)))
        for name in ("to_boundary", "distances"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    @property
    def cables(self) -> Floats:
        """The greatest flat distance (P,) of each pair over E, mm."""
        return self.distances * (1 + ROUNDING)


def pair_table(first: Ints, second: Ints, count: int) -> Ints:
    """Index of the pair (P) of any two of `count` points (N,N), −1 where they make none."""
    table = np.full((count, count), -1)
    table[first, second] = table[second, first] = np.arange(len(first))
    return table


def strut_lengths(pairs: Pairs, spread: float) -> Floats:
    """The least flat distance (P,) of each pair in a map of at most this spread and m = 1, mm."""
    ends = pairs.to_boundary[pairs.first] + pairs.to_boundary[pairs.second]
    whole = _in_tube(pairs, spread) | _in_room(pairs, spread)
    return np.where(whole, pairs.distances, np.minimum(pairs.distances, ends)) * (1 - ROUNDING)


def _in_room(pairs: Pairs, spread: float) -> Flags:
    """Which pairs (P,) meet the condition of Room for some sample point z."""
    count = len(pairs.points)
    far = pairs.cables * np.exp(spread)
    near = np.eye(count, dtype=bool)
    near[pairs.first, pairs.second] = far < pairs.to_boundary[pairs.first]
    near[pairs.second, pairs.first] = far < pairs.to_boundary[pairs.second]
    shared = near.T.astype(np.float32) @ near.astype(np.float32)
    return shared[pairs.first, pairs.second] > 0.0


def _in_tube(pairs: Pairs, spread: float) -> Flags:
    """Which pairs (P,) meet the condition of Tube, on each whole segment of their traced path."""
    paths = pairs.paths
    total = paths.lengths[-1]
    # What the path is longer than the distance, and what rounding may hide of it.
    detour = np.maximum(total - pairs.distances, 0.0) + 2 * ROUNDING * pairs.distances
    begin, end = paths.lengths[:-1], paths.lengths[1:]
    near, far = paths.to_boundary[:-1], paths.to_boundary[1:]
    clear = np.maximum(0.5 * (near + far - (end - begin)), 0.0)
    product = np.maximum(begin * (total - begin), end * (total - end))
    product = np.where((begin < 0.5 * total) & (end > 0.5 * total), 0.25 * total**2, product)
    stretch = np.exp(2 * spread)
    need = (stretch - 1 + 2 * detour / np.where(total > 0.0, total, 1.0)) * product
    leg = np.minimum(end, total - begin)
    need = np.minimum(need, stretch * leg**2)
    return paths.arrived & np.all((clear**2 > need) | (end <= begin), axis=0)
