"""Flat panels given shapes that come to rest within the leather's limits, where there are such."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

import numpy as np

from flatten.forming.asked import Asker
from flatten.forming.fields import Ground, fields_over, ground_of, mirrored, narrower
from flatten.forming.free import held_edges
from flatten.forming.law import Hencky
from flatten.forming.settling import Settled, settled
from flatten.forming.shaping import Member, shaped
from flatten.forming.sheet import Sheet
from flatten.leather.aims import limit_aims
from flatten.leather.tensors import grain_places
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.gradient import face_gradients, singular_values, spread
from flatten.mesh.surface import Floats, Mesh
from flatten.unwrap.dirichlet import distortion
from flatten.unwrap.model import FlatPanel, Limits
from flatten.unwrap.overlap import count_overlaps
from flatten.unwrap.place import front_line, upright

NARROWER = (0.005, 0.01, 0.015, 0.02)
"""Shares of its width by which a piece is cut narrower, the first that does it: the simplest change, and it presses the
leather on."""

ENOUGH, WITH_ROOM = 0.002, 0.002
"""Log-excess within the limits that is sought: what finer meshes ask more, and besides it times the job's `room`."""

REFINING = 3
"""Rounds at most on the mesh that files are made from, where what was found on a coarser one is not enough there."""

JUST = 2e-3
"""Log-excess within the limits that is sought there: what the report's own lines ask more than those sighted here."""


@dataclass(frozen=True, eq=False)
class Change:
    """A change of the flat shapes of panels: its amounts (K,) over their common ground, and the worst (log-excess) that
    they are asked at rest with it, and `before` without."""

    amounts: Floats
    ground: Ground
    even: bool
    excess: float
    before: float
    rounds: int

    @property
    def found(self) -> bool:
        """Whether the panels are within their limits with it."""
        return self.excess <= 0.0

    @property
    def needed(self) -> bool:
        """Whether they are not without."""
        return self.before > 0.0


def change_for(
    flats: Sequence[FlatPanel],
    surface: LimbSurface,
    *,
    limits: Limits,
    room: float,
    even: bool,
    joined: Collection[str],
) -> Change:
    """The change that lets panels come to rest within their limits, or as near as it is found.

    What is sought lies within the limits by ENOUGH and by WITH_ROOM times the job's `room` (log-excess).
    `flats` is one panel, which stays `even` about x = 0 where it is, or two that are mirror images of each other.
    `joined` are the names of seams and darts whose sides keep their lengths.

    Raises FormingError where a panel does not come to rest as it is, StretchError where a flat face has no area.
    """
    ground = ground_of(flats[0].uv, even=even)
    members = [_member(flat, surface, n, limits, ground, even=even, joined=joined) for n, flat in enumerate(flats)]
    none = np.zeros(len(members[0].fields))
    before = shaped(members, enough=np.inf)
    if before.excess <= 0.0:
        return Change(none, ground, even, before.excess, before.excess, 0)
    first = [narrower(ground, share, even=even) for share in NARROWER]
    shape = shaped(members, enough=-(ENOUGH + WITH_ROOM * room), first=first)
    return Change(shape.amounts, ground, even, shape.excess, before.excess, shape.rounds)


def refined(
    flats: Sequence[FlatPanel], surface: LimbSurface, change: Change, *, limits: Limits, joined: Collection[str]
) -> Change:
    """A change that was found on coarser meshes, brought within the limits on the panels' own in a few rounds.

    Raises FormingError where a panel does not come to rest as it is.
    """
    ground, even = change.ground, change.even
    members = [_member(flat, surface, n, limits, ground, even=even, joined=joined) for n, flat in enumerate(flats)]
    shape = shaped(members, enough=-JUST, first=[change.amounts], rounds=REFINING)
    return replace(change, amounts=shape.amounts, excess=shape.excess, rounds=change.rounds + shape.rounds)


def changed(
    flats: Sequence[FlatPanel],
    surface: LimbSurface,
    change: Change,
    *,
    limits: Limits,
    joined: Collection[str],
) -> tuple[FlatPanel, ...]:
    """Panels with a change, laid on the limb as they come to rest there; on other meshes than it was found on, too.

    Raises FormingError where one does not come to rest.
    """
    found = []
    for n, flat in enumerate(flats):
        one = _member(flat, surface, n, limits, change.ground, even=change.even, joined=joined)
        places = one.changed(change.amounts)
        sheet = one.sheet.reshaped(places)
        rest = settled(sheet, sheet.start, held=one.held)
        found.append(_relaid(flat, places, sheet, rest, alone=len(flats) == 1 and not change.even))
    return tuple(found)


def _member(
    flat: FlatPanel,
    surface: LimbSurface,
    number: int,
    limits: Limits,
    ground: Ground,
    *,
    even: bool,
    joined: Collection[str],
) -> Member:
    uv = flat.uv if number == 0 else flat.uv * np.array([-1.0, 1.0])
    fields = fields_over(uv, ground, even=even)
    cos, sin = np.cos(flat.grain_angle), np.sin(flat.grain_angle)
    own = (fields if number == 0 else mirrored(fields)) @ np.array([[cos, -sin], [sin, cos]])
    panel, places = flat.panel, grain_places(flat)
    rims = [one.vertices for one in panel.boundaries if one.kind == "edge"]
    sides = tuple(one.vertices for one in panel.boundaries if one.name in joined)
    return Member(
        Sheet(flat, surface, law=Hencky()),
        held_edges(flat),
        places,
        own,
        np.unique(np.concatenate(rims)) if rims else np.zeros(0, dtype=np.int64),
        sides,
        Asker(panel.mesh, places, limit_aims(limits)),
    )


def _relaid(flat: FlatPanel, places: Floats, sheet: Sheet, rest: Settled, *, alone: bool) -> FlatPanel:
    """The panel with flat places (V,2) in the grain's frame, on the limb where it came to rest."""
    panel = flat.panel
    mesh = Mesh(sheet.points(rest.places), panel.mesh.faces)
    cos, sin = np.cos(flat.grain_angle), np.sin(flat.grain_angle)
    uv = places @ np.array([[cos, sin], [-sin, cos]])
    laid = replace(panel, mesh=mesh, heights=rest.places[:, 0], bearings=rest.places[:, 1] / sheet.scale)
    z = uv[:, 0] + 1j * uv[:, 1]
    if alone:
        z = upright(z, front_line(laid))
        uv = np.stack([z.real, z.imag], axis=1)
    gradients = face_gradients(mesh)
    return replace(
        flat,
        panel=laid,
        uv=uv,
        energy=4 + distortion(gradients, z),
        spread=spread(*singular_values(gradients, z)),
        overlaps=count_overlaps(z, np.concatenate([one.vertices[:-1] for one in panel.boundaries])),
    )
