"""A flat panel laid where its pattern puts it and let go: where friction leaves it, and where it would slip without."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from flatten.forming.friction import Friction
from flatten.forming.law import Hencky, Law
from flatten.forming.pressing import pressure_of, pull_of, vertex_areas
from flatten.forming.settling import settled
from flatten.forming.sheet import Sheet, Stiffness
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Flags, Floats, Mesh, frozen
from flatten.unwrap.model import FlatPanel

FRICTION = 0.3
"""Coefficient between leather and what is worn beneath it; from memory, handbooks give 0.2 to 0.6 for leather."""

ROUNDS = 8
"""Times at which what presses the leather on is taken anew; it changes by less than SAME of its mean after 2 or 3."""

SAME = 0.1
"""Share of the pressing force, on average, that may still change."""


@dataclass(frozen=True, eq=False)
class Formed:
    """A panel at rest on the limb.

    `flat` is the flat panel with its worn vertices where they came to rest, `slip` (V,) how far each has slipped from
    where its pattern puts it, mm, and `pressure` (V,) what it presses on the limb with, as a share of E·t, 1/mm, by
    flat area; below 0 it would stand off. `pull` (V,) is the force along the limb that each held vertex needs, in
    E·t·mm, across its side of the panel: above 0 it is pulled outwards, as laces do, below 0 it would have to be
    pushed; 0 where nothing is held. `energy` is mm² times E·t, `steps` Newton's.
    """

    flat: FlatPanel
    slip: Floats
    pressure: Floats
    pull: Floats
    energy: float
    steps: int

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("slip", "pressure", "pull"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


def held_edges(flat: FlatPanel) -> Flags:
    """The vertices (V,) of a panel that stay where the pattern puts them: all its sides that are no edge of the limb.

    A laced edge without friction is held by nothing along its way: let go as well, a piece turns round the limb by
    centimetres in a valley that is nearly flat, which no real one does.
    """
    held = np.zeros(len(flat.uv), dtype=bool)
    for boundary in flat.panel.boundaries:
        if boundary.kind not in ("edge", "slash"):
            held[boundary.vertices] = True
            held[boundary.line] = True
    return held


def free_state(flat: FlatPanel, surface: LimbSurface, *, law: Law | None = None) -> Formed:
    """The panel let go on the limb without friction, its seams held at their gap.

    Raises FormingError where it does not come to rest, StretchError where a flat face has no area.
    """
    sheet, held = Sheet(flat, surface, law=law or Hencky()), held_edges(flat)
    found = settled(sheet, sheet.start, held=held)
    return formed(flat, sheet, found.places, held=held, steps=found.steps)


def state_with_friction(
    flat: FlatPanel, surface: LimbSurface, *, coefficient: float = FRICTION, wrap: float = 0.0, law: Law | None = None
) -> Formed:
    """The same where friction holds it, pressed on besides by an even wrap of that pressure, 1/mm of E·t.

    Raises FormingError where it does not come to rest, StretchError where a flat face has no area.
    """
    sheet, held = Sheet(flat, surface, law=law or Hencky()), held_edges(flat)
    laid, areas = sheet.points(sheet.start), vertex_areas(sheet)
    places, steps, pressing = sheet.start, 0, None
    for _ in range(ROUNDS):
        now = np.maximum(pressure_of(sheet, places), 0.0) * areas + wrap * areas
        change = np.inf if pressing is None else float(np.abs(now - pressing).sum() / max(now.sum(), 1e-300))
        if change <= SAME:
            break
        pressing = now if pressing is None else 0.5 * (pressing + now)
        found = settled(sheet, places, held=held, holding=Friction(laid, coefficient * pressing))
        places, steps = found.places, steps + found.steps
    return formed(flat, sheet, places, held=held, steps=steps)


def formed(flat: FlatPanel, sheet: Sheet, places: Floats, *, held: Flags, steps: int) -> Formed:
    """The panel at rest at places (V,2)."""
    points = sheet.points(places)
    panel = flat.panel
    moved = replace(
        panel, mesh=Mesh(points, panel.mesh.faces), heights=places[:, 0], bearings=places[:, 1] / sheet.scale
    )
    now = Stiffness(sheet, places)
    return Formed(
        flat=replace(flat, panel=moved),
        slip=np.linalg.norm(points - panel.mesh.vertices, axis=1),
        pressure=pressure_of(sheet, places),
        pull=pull_of(panel, points, now.forces, held=held),
        energy=now.energy,
        steps=steps,
    )
