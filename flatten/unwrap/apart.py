"""Flat pieces that lie over themselves, pushed apart at their boundaries as far as the leather's limits let them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import csr_array, hstack

from flatten.mesh.disk import check_disk
from flatten.mesh.gradient import Complexes
from flatten.mesh.surface import Flags, Floats, Ints, frozen_ints
from flatten.unwrap.model import FlatPanel, Limits
from flatten.unwrap.rows import Seams, map_of, mated_seams
from flatten.unwrap.together import groups_of, solved_together, with_room_given_up

PARTED = 1.0
"""mm. Boundaries that were pushed apart stand this far from one another: both cut lines, each within 0.1 mm of its
boundary, and a knife go between them."""

DEEP = 0.2
"""Share of the boundary's vertices that may lie on other leather. More is no boundary that runs too far but a piece
that winds over itself, which stretch does not undo; trying would take minutes."""

ROUNDS = 6
"""How often contacts are looked for anew; a push uncovers others beside it. What then still overlaps stays so."""

ASTRAY = 0.5
"""Cosine of the angle, 60°, by which a boundary's outward normal may differ from the way that leather has to go
there."""

WORTH = 1e-3
"""Distortion energy above 4 that it is worth to part a piece: that of stretch and squeeze by 1.6 % everywhere."""


@dataclass(frozen=True, eq=False)
class Contacts:
    """Boundary vertices of one flat map out of P, each with a stretch of the boundary that it must keep clear of.

    `vertices` (K,), and `starts` and `ends` (K,) of the segments, counter-clockwise: their outside is on the right.
    """

    panel: int
    vertices: Ints
    starts: Ints
    ends: Ints

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("vertices", "starts", "ends"):
            object.__setattr__(self, name, frozen_ints(getattr(self, name)))

    @property
    def count(self) -> int:
        """How many there are."""
        return len(self.vertices)

    def residuals(self, flats: Sequence[Complexes]) -> Floats:
        """What (K,) each vertex lacks to PARTED outside its segment's line, mm; 0 where it lacks nothing."""
        return np.maximum(PARTED - self._outside(flats[self.panel])[0], 0.0)

    def jacobians(self, flats: Sequence[Complexes]) -> tuple[csr_array, ...]:
        """Gradients (V,K) by each map: a distance from a line grows along its normal, and its ends turn it."""
        flat = flats[self.panel]
        outside, normal, share = self._outside(flat)
        push = np.where(outside < PARTED, -normal, 0.0)
        values = np.concatenate([push, -(1 - share) * push, -share * push])
        rows = np.concatenate([self.vertices, self.starts, self.ends])
        own = csr_array((values, (rows, np.tile(np.arange(self.count), 3))), shape=(len(flat), self.count))
        none = [csr_array((len(other), self.count), dtype=np.complex128) for other in flats]
        return tuple(own if i == self.panel else other for i, other in enumerate(none))

    def _outside(self, flat: Complexes) -> tuple[Floats, Complexes, Floats]:
        """Distances (K,) outside the segments' lines, the lines' outward normals, and where along them, as shares."""
        along = flat[self.ends] - flat[self.starts]
        length = np.abs(along)
        normal = -1j * along / length
        away = flat[self.vertices] - flat[self.starts]
        return (away * normal.conj()).real, normal, (away * along.conj()).real / length**2


@dataclass(frozen=True, eq=False)
class _SeamsAndContacts:
    """Seams that are to stay equal, and contacts that are to come apart."""

    seams: Seams
    contacts: Contacts

    @property
    def count(self) -> int:
        return self.seams.count + self.contacts.count

    def residuals(self, flats: Sequence[Complexes]) -> Floats:
        return np.concatenate([self.seams.residuals(flats), self.contacts.residuals(flats)])

    def jacobians(self, flats: Sequence[Complexes]) -> tuple[csr_array, ...]:
        pairs = zip(self.seams.jacobians(flats), self.contacts.jacobians(flats), strict=True)
        return tuple(csr_array(hstack(pair)) for pair in pairs)


def overlaps_undone(
    flats: Sequence[FlatPanel], *, limits: Limits, insets: Mapping[str, float]
) -> tuple[FlatPanel, ...]:
    """The flat panels, those that lie over themselves pushed apart where the limits allow it.

    Boundary vertices that lie on other leather are pushed off it across the boundary that is nearest, by as much
    stretch as that takes; seams in `insets` stay equal, as `seams_made_equal` made them. A panel whose overlap cannot
    be undone so stays as it is, `overlaps` above 0. The sides of a dart are not parted: it says by itself when it does
    not open. A panel that cannot be parted with the room that it leaves to its limits gives it up.

    Raises UnwrapError where a panel does not keep to the limits that it was laid flat by, DiskError where its mesh is
    no disk.
    """
    found = list(flats)
    held = groups_of(flats, insets)
    for number, flat in enumerate(flats):
        if not flat.overlaps:
            continue
        group = next((group for group in held if number in group), [number])
        own, at = [found[i] for i in group], group.index(number)
        parted = _parted(own, at, limits, insets)
        if parted[at].overlaps and any(each.allowed < 0.0 for each in own):
            looser = _parted(list(with_room_given_up(own, 1.0)), at, limits, insets)
            parted = own if looser[at].overlaps else looser
        for i, other in zip(group, parted, strict=True):
            found[i] = other
    return tuple(found)


def _parted(flats: list[FlatPanel], panel: int, limits: Limits, insets: Mapping[str, float]) -> list[FlatPanel]:
    """The panels with the one numbered `panel` pushed apart; as they were where that cannot be."""
    seams = mated_seams(flats, insets)
    now, pairs = flats, np.zeros((0, 3), dtype=np.int64)
    for _ in range(ROUNDS):
        more = np.unique(np.concatenate([pairs, _contacts(now[panel])]), axis=0)
        if len(more) == len(pairs) or len(more) > DEEP * sum(len(b.vertices) for b in flats[panel].panel.boundaries):
            break
        pairs = more
        constraints = _SeamsAndContacts(seams, Contacts(panel, *pairs.T))
        now = list(solved_together(flats, limits=limits, constraints=constraints, least=WORTH))
        if not now[panel].overlaps:
            return now
        if not now[panel].converged:
            break
    return flats


def _contacts(flat: FlatPanel) -> Ints:
    """Boundary vertices that lie on other leather, and start and end of the segment to push each across (K,3).

    A run of them that lies over the other side of its own dart or slash is left out, whole.
    """
    mesh, z = flat.panel.mesh, map_of(flat)
    boundary = check_disk(mesh)
    after = np.roll(boundary, -1)
    faces = np.asarray(shapely.polygons(flat.uv[mesh.faces]))
    points = np.asarray(shapely.points(flat.uv[boundary]))
    at, face = shapely.STRtree(faces).query(points, predicate="within")
    on = np.zeros(len(boundary), dtype=bool)
    on[at[~(mesh.faces[face] == boundary[at][:, None]).any(axis=1)]] = True
    segments = np.asarray(shapely.linestrings(np.stack([flat.uv[boundary], flat.uv[after]], axis=1)))
    outwards = -1j * (z[after] - z[boundary])
    outwards /= np.abs(outwards)
    darts = _darts(flat, boundary)
    pairs = []
    for run in _runs(on):
        apart = np.array([shapely.distance(segments, points[place]) for place in run])
        apart[:, np.append(run, run[0] - 1)] = np.inf
        if not np.isfinite(apart).any(axis=1).all():
            continue
        if np.any((darts[run] >= 0) & (darts[run] == darts[apart.argmin(axis=1)])):
            continue
        # The deepest vertices show which way the run has to go; one beside a corner would take the wrong side of it.
        way = np.sum(apart.min(axis=1) * outwards[apart.argmin(axis=1)])
        apart[:, (outwards * np.conj(way)).real < ASTRAY * abs(way)] = np.inf
        nearest = apart.argmin(axis=1)
        pairs += [np.stack([boundary[run], boundary[nearest], after[nearest]], axis=1)]
    return np.concatenate(pairs) if pairs else np.zeros((0, 3), dtype=np.int64)


def _runs(on: Flags) -> list[Ints]:
    """The runs of neighbours round the boundary (n,) that lie on other leather, as places in it."""
    if on.all():
        return [np.arange(len(on))]
    first = int(np.argmin(on))
    places = (first + np.arange(len(on))) % len(on)
    inside = np.flatnonzero(on[places])
    if not len(inside):
        return []
    return [places[part] for part in np.split(inside, np.flatnonzero(np.diff(inside) > 1) + 1)]


def _darts(flat: FlatPanel, boundary: Ints) -> Ints:
    """Which dart's or slash's sides each boundary vertex (n,) lies on; −1: none."""
    number = np.full(len(flat.uv), -1, dtype=np.int64)
    names = sorted({side.name for side in flat.panel.boundaries if side.kind in ("dart", "slash")})
    for side in flat.panel.boundaries:
        if side.kind in ("dart", "slash"):
            number[side.vertices] = names.index(side.name)
    return number[boundary]
