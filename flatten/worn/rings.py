"""The rings at which a finished piece can be measured, and the girths that it is drawn for there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy.spatial import ConvexHull

from flatten.limb.girths.girth import EVERY
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.curves import GAP_KINDS
from flatten.worn.cuts import Cuts
from flatten.worn.neutral import Wear

FROM_EDGE = 10.0
"""mm that the highest and the lowest ring lie inside the edges: a tape is 10 to 20 mm wide, and goes all round."""

APART = 25.0
"""mm that named rings lie apart at least: nearer ones tell the same."""

_AROUND = np.linspace(0.0, 2 * np.pi, 720, endpoint=False)

Offset = Callable[[Floats, Floats], Floats]
"""mm (N,) outwards along the true normal at heights (N,) and bearings (N,)."""


@dataclass(frozen=True)
class Ring:
    """A ring that goes round the whole piece at one height, mm; `name` is "" for one that nothing but its height names.

    `drawn` is the girth of the piece's inside that the pattern is drawn for, its lacing gaps included, and `outside`
    the girth by tape over it; `corrected` is how much of both the maker's own correction added.
    """

    name: str
    height: float
    drawn: float
    outside: float
    corrected: float

    @property
    def foretold(self) -> float:
        """The girth that the finished piece's inside is to have."""
        return self.drawn - self.corrected


def rings_of(limb: Limb, worn: LimbSurface, *, wear: Wear, cuts: Cuts) -> tuple[Ring, ...]:
    """The rings of a piece on the neutral surface `worn`, from the bottom up; none where no ring goes all round.

    There is one at each multiple of EVERY mm, and those with names: the widest place and other landmarks between the
    edges, "top" and "bottom" FROM_EDGE inside the lowest place of the top edge and the highest of the bottom edge, and
    "middle" half-way between them, each where none before it is nearer than APART.
    """
    low = float(cuts.edges[0].height(_AROUND).max()) + FROM_EDGE
    high = float(cuts.edges[1].height(_AROUND).min()) - FROM_EDGE
    low, high = max(low, worn.trusted[0]), min(high, worn.trusted[1])
    if low >= high:
        return ()
    marks = sorted((mark.name != "widest", mark.name, mark.height) for mark in limb.landmarks)
    wanted = [(name, height) for _, name, height in marks if low <= height <= high]
    wanted += [("bottom", low), ("top", high), ("middle", 0.5 * (low + high))]
    named: list[tuple[str, float]] = []
    for name, height in wanted:
        if all(abs(height - other) >= APART for _, other in named):
            named.append((name, height))
    plain = [("", EVERY * step) for step in range(int(np.ceil(low / EVERY)), int(np.floor(high / EVERY)) + 1)]
    return tuple(_ring(name, h, worn, wear) for name, h in sorted(named + plain, key=lambda row: (row[1], row[0])))


def _ring(name: str, height: float, worn: LimbSurface, wear: Wear) -> Ring:
    inward, outward = wear.neutral * wear.thickness + wear.lining, (1.0 - wear.neutral) * wear.thickness
    drawn = girth_beside(worn, height, by=lambda h, b: np.full(b.shape, -inward))
    foretold = girth_beside(worn, height, by=lambda h, b: -inward - wear.finished.offset(h, b))
    outside = girth_beside(worn, height, by=lambda h, b: np.full(b.shape, outward), taut=True)
    return Ring(name, height, drawn, outside, drawn - foretold)


def gaps_of(cuts: Cuts) -> float:
    """mm of girth that no leather covers when all gaps are as they are drawn."""
    return sum(seam.gap for seam in cuts.seams if seam.kind in GAP_KINDS)


def girth_beside(surface: LimbSurface, height: float, *, by: Offset, taut: bool = False) -> float:
    """Girth (mm) at a height of what lies `by` mm outside a surface along its normals; `taut` spans hollows as a tape.

    Of a surface that is offset by d along its normals, the radius in a level section is longer by d over the cosine
    between normal and radius: exact for a parallel of a cone, and to second order in d times the bend along the limb.
    """
    heights = np.full(_AROUND.shape, height)
    outward = np.stack([np.cos(_AROUND), np.sin(_AROUND)], axis=-1)
    lean = (surface.normals(heights, _AROUND)[:, :2] * outward).sum(axis=-1)
    radii = surface.radius(heights, _AROUND) + by(heights, _AROUND) / lean
    points = radii[:, None] * outward
    if taut:
        points = points[ConvexHull(points).vertices]
    return float(np.linalg.norm(np.roll(points, -1, axis=0) - points, axis=1).sum())
