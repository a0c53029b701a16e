"""How a flat piece takes its shape on the limb: by itself, under a wrap, only by force, or not at all."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from flatten.forming.errors import FormingError
from flatten.forming.free import Formed, free_state, held_edges, state_with_friction
from flatten.leather.model import LeatherLimits, StretchReport
from flatten.leather.stretch import stretch_report
from flatten.leather.tensors import flat_areas
from flatten.limb.kind import LimbKind
from flatten.limb.surface.model import LimbSurface
from flatten.unwrap.model import FlatPanel

Way = Literal["itself", "wrap", "force", "not"]

WRAP = 3e-4
"""1/mm. Pressure of a firm, even wrap as a share of E·t: of wet leather of 5 N/mm² and 3.2 mm that is 0.005 N/mm²,
36 mmHg, about what a medical stocking of the third class has at the ankle (34 to 46 mmHg, RAL-GZ 387; from memory, as
is the leather's stiffness, of which a third to three times that is possible)."""


@dataclass(frozen=True, eq=False)
class Forming:
    """What a panel does when it is laid on the limb and let go, its seams held at their gap.

    `told` is its stretch where the pattern puts it, `free` where it comes to rest without friction, which is `formed`;
    `held` with friction, and `wrapped` with a wrap besides: None where the leather is within its limits without.
    `pushed` is the share of its held sides that would have to be pushed, which laces cannot, and `off` the share of its
    area that presses on nothing and stands off unless it is pressed on.
    """

    way: Way
    told: StretchReport
    free: StretchReport
    formed: Formed
    pushed: float
    off: float
    held: StretchReport | None = None
    wrapped: StretchReport | None = None

    @property
    def slip(self) -> float:
        """How far, mm, a place of it slips at most."""
        return float(self.formed.slip.max())


def forming_of(flat: FlatPanel, surface: LimbSurface, *, kind: LimbKind, limits: LeatherLimits) -> Forming | None:
    """What a panel does on the surface that it was cut from; None where no side of it is held, or nothing is found at
    which it comes to rest.

    Raises StretchError where a flat face has no area.
    """
    if not held_edges(flat).any():
        return None
    told = stretch_report(flat, kind=kind, limits=limits)
    try:
        formed = free_state(flat, surface)
        free = stretch_report(formed.flat, kind=kind, limits=limits)
        way: Way = "itself"
        held = wrapped = None
        if not free.fits:
            held, wrapped = (
                stretch_report(state_with_friction(flat, surface, wrap=wrap).flat, kind=kind, limits=limits)
                for wrap in (0.0, WRAP)
            )
            way = "wrap" if wrapped.fits else "force" if told.fits else "not"
    except FormingError:
        return None
    return Forming(way, told, free, formed, pushed_share(formed), _off_share(formed), held, wrapped)


def pushed_share(formed: Formed) -> float:
    """The share (by length) of a panel's held sides that would have to be pushed to stay where they are."""
    panel, pushed, whole = formed.flat.panel, 0.0, 0.0
    held = held_edges(formed.flat)
    for boundary in panel.boundaries:
        if held[boundary.vertices].all():
            steps = np.linalg.norm(np.diff(panel.mesh.vertices[boundary.vertices], axis=0), axis=1)
            sizes = 0.5 * (np.append(steps, 0.0) + np.append(0.0, steps))
            pushed += float(sizes[formed.pull[boundary.vertices] < 0.0].sum())
            whole += float(sizes.sum())
    return pushed / whole if whole else 0.0


def _off_share(formed: Formed) -> float:
    """The share of the flat area over which the leather does not press on the limb."""
    areas, faces = flat_areas(formed.flat), formed.flat.panel.mesh.faces
    return float(areas[formed.pressure[faces].mean(axis=1) < 0.0].sum() / areas.sum())
