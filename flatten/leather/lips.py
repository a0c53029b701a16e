"""What a flared lip asks of its leather: growth along its rim, and a bend away from the limb."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats, Ints
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Boundary
from flatten.worn.rise import Lip


@dataclass(frozen=True)
class FlaredRim:
    """A flared lip as it is worn and as it is cut, all panels together; mm.

    `worn` and `flat` are the lengths of its rim, the edge called `edge`, on the limb and on the flat pieces. `radius`
    is the leather's inside radius where the lip leaves the limb.
    """

    edge: str
    flare: float
    depth: float
    worn: float
    flat: float
    radius: float

    @property
    def stretch(self) -> float:
        """Mean stretch along the rim, worn / flat."""
        return self.worn / self.flat


def flared_rims(
    flats: Sequence[FlatPanel], lips: Sequence[Lip], *, thickness: float, neutral: float
) -> tuple[FlaredRim, ...]:
    """What each lip asks of leather of a `thickness` (mm), its neutral surface at the share `neutral` from beneath.

    A lip is a parabola of the height, so it bends most where it leaves the limb; it turns outwards, so that the leather
    above the neutral surface lies inside that bend.
    """
    rims = []
    for lip in lips:
        along = [
            (flat, boundary.vertices) for flat in flats for boundary in flat.panel.boundaries if _is_rim(boundary, lip)
        ]
        worn = sum(_length(flat.panel.mesh.vertices, vertices) for flat, vertices in along)
        drawn = sum(_length(flat.uv, vertices) for flat, vertices in along)
        radius = lip.radius - (1.0 - neutral) * thickness
        rims.append(FlaredRim(lip.edge.name, lip.flare, lip.depth, worn, drawn, radius))
    return tuple(rims)


def _is_rim(boundary: Boundary, lip: Lip) -> bool:
    return boundary.kind == "edge" and boundary.name == lip.edge.name


def _length(points: Floats, vertices: Ints) -> float:
    return float(np.linalg.norm(np.diff(points[vertices], axis=0), axis=1).sum())
