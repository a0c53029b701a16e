"""Where strands cross, and where they meet in a way that no interlace can have."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

import numpy as np
import shapely
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import KDTree

from flatten.mesh.surface import Flags, Floats, Ints
from flatten.ornament.model import OrnamentError, Region, Strand, Visit
from flatten.ornament.orientation import turns
from flatten.ornament.trouble import Trouble

MEETING = 0.01
"""mm. Strands nearer than this meet: a tenth of a fine pen's line, and far above the rounding of any drawing."""

RUN = 0.5
"""mm. Strands that stay within MEETING of each other for longer lie on each other: lines cross within less from 2.3
degrees on."""

NEIGHBOURS = 0.1
"""mm. Places of one strand that are this near along it do not meet each other: they are the same bend."""

RIM = 0.05
"""mm. An end this near to the field's rim is on it: as exactly as a drawn line can be placed."""


class Meeting(NamedTuple):
    """Two strands, or one twice, cross at (x, y) mm, at these visits."""

    x: float
    y: float
    first: Visit
    second: Visit


@dataclass(frozen=True)
class Found:
    """The crossings of a drawing, by strand and place along it, and what is wrong with the drawing."""

    crossings: tuple[Meeting, ...]
    troubles: tuple[Trouble, ...]


@dataclass(frozen=True, eq=False)
class _Segments:
    """All strands' segments: corners `points` (N,2); by segment (M,) its two corners' numbers, its strand, where along
    it begins and how long it is; by strand its whole length, and whether it is closed."""

    points: Floats
    start: Ints
    end: Ints
    strand: Ints
    begin: Floats
    length: Floats
    total: Floats
    closed: Flags


def crossings_of(strands: Sequence[Strand], *, field: Region | None = None) -> Found:
    """The crossings of strands, and the troubles: triple points, touches, overlaps, open ends inside the `field`.

    Without a field open ends are no trouble. A crossing exactly at a corner or at a closing point counts once.
    Raises OrnamentError where a strand is no line of finite points.
    """
    pieces = _segments(strands)
    contacts = _contacts(pieces)
    crossings: list[Meeting] = []
    troubles = [] if field is None else open_ends(strands, field)
    groups = contacts.groups(pieces)
    for members in groups:
        kind, extent = contacts.kind(members, pieces)
        if kind == "crossing":
            crossings.append(contacts.meeting(members, pieces))
        else:
            x, y = contacts.places[members].mean(axis=0).tolist()
            touching = tuple(sorted(set(pieces.strand[contacts.pairs[members]].ravel().tolist())))
            troubles.append(Trouble(kind, x, y, touching, extent if kind == "overlap" else 0.0))
    crossings, triples = _without_triples(crossings)
    order = sorted(crossings, key=lambda each: (each.first.strand, each.first.along, each.second))
    return Found(tuple(order), (*troubles, *triples))


def lengths_along(strand: Strand) -> Floats:
    """Length from the first point to each of the strand's points, mm; a closed one's is told once more at its end."""
    points = strand.points if not strand.closed else np.concatenate([strand.points, strand.points[:1]])
    return np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])


def _segments(strands: Sequence[Strand]) -> _Segments:
    points, start, end, owner, begin, length, total = [], [], [], [], [], [], []
    first = 0
    for number, strand in enumerate(strands):
        corners = strand.points
        if corners.ndim != 2 or corners.shape[1:] != (2,) or len(corners) < 2 + strand.closed:
            raise OrnamentError(
                f"strand {number} has {len(corners)} points; draw an open strand through 2 or more, a closed one 3"
            )
        if not np.isfinite(corners).all():
            raise OrnamentError(f"strand {number} has points that are no numbers; draw it through finite points")
        along = lengths_along(strand)
        numbers = np.arange(len(corners))
        # A point that is drawn twice in a row makes a segment without a direction: the next segment starts from the
        # first of the two.
        kept = numbers[np.diff(along[: len(corners)], prepend=-1.0) > 0.0]
        if strand.closed and len(kept) > 1 and along[-1] == along[kept[-1]]:
            kept = kept[:-1]
        if len(kept) < 2 + strand.closed:
            raise OrnamentError(f"strand {number} has no length; draw it, or leave it out")
        after = np.roll(kept, -1) if strand.closed else kept[1:]
        before = kept if strand.closed else kept[:-1]
        points.append(corners)
        start.append(before + first)
        end.append(after + first)
        owner.append(np.full(len(before), number))
        begin.append(along[before])
        length.append(np.hypot(*(corners[after] - corners[before]).T))
        total.append(along[-1])
        first += len(corners)
    if not points:
        none = np.zeros(0, dtype=np.int64)
        return _Segments(np.zeros((0, 2)), none, none, none, np.zeros(0), np.zeros(0), np.zeros(0), none.astype(bool))
    return _Segments(
        np.concatenate(points),
        np.concatenate(start),
        np.concatenate(end),
        np.concatenate(owner),
        np.concatenate(begin),
        np.concatenate(length),
        np.array(total),
        np.array([strand.closed for strand in strands]),
    )


@dataclass(frozen=True, eq=False)
class _Contacts:
    """Witnesses of segments that meet: `pairs` (W,2) of segments, the lower number first; where along their strands
    (W,2); where in the plane (W,2); whether the segments cross there (W,)."""

    pairs: Ints
    along: Floats
    places: Floats
    crossing: Flags

    def groups(self, pieces: _Segments) -> list[Ints]:
        """Witnesses of one meeting of two branches, for each meeting."""
        if not len(self.pairs):
            return []
        # Between two witnesses of one pair of segments the distance is convex, so that they stay within MEETING.
        same = np.lexsort(self.pairs.T)
        equal = (self.pairs[same][1:] == self.pairs[same][:-1]).all(axis=1)
        one, other = [same[:-1][equal]], [same[1:][equal]]
        i, j = KDTree(self.places).query_pairs(2 * MEETING, output_type="ndarray").T
        owners = pieces.strand[self.pairs]
        straight = self._beside(i, j, owners, pieces, slice(None))
        swapped = self._beside(i, j, owners, pieces, slice(None, None, -1))
        one.append(i[straight | swapped])
        other.append(j[straight | swapped])
        links = (np.concatenate(one), np.concatenate(other))
        label = _labels(len(self.pairs), *links)
        order = np.argsort(label, kind="stable")
        return np.split(order, np.flatnonzero(np.diff(label[order])) + 1)

    def _beside(self, i: Ints, j: Ints, owners: Ints, pieces: _Segments, way: slice) -> Flags:
        """Whether witnesses i and j lie on the same branches, the second's taken in this order."""
        apart = _apart(self.along[i], self.along[j][:, way], owners[i], pieces)
        return ((owners[i] == owners[j][:, way]) & (apart <= NEIGHBOURS)).all(axis=1)

    def kind(self, members: Ints, pieces: _Segments) -> tuple[Literal["crossing", "touch", "overlap"], float]:
        """What a meeting is, and how long it is, mm."""
        # The diagonal of the box about it, which does not hang on the order of its witnesses.
        extent = float(np.hypot(*np.ptp(self.places[members], axis=0)))
        if extent > RUN:
            return "overlap", extent
        owners = pieces.strand[self.pairs[members]]
        ends = np.minimum(self.along[members], pieces.total[owners] - self.along[members])
        ending = (~pieces.closed[owners] & (ends <= MEETING)).any()
        return ("touch" if ending or self.crossing[members].sum() % 2 == 0 else "crossing"), extent

    def meeting(self, members: Ints, pieces: _Segments) -> Meeting:
        """The crossing at a meeting."""
        at = members[self.crossing[members]][0]
        first, second = sorted(zip(pieces.strand[self.pairs[at]].tolist(), self.along[at].tolist(), strict=True))
        x, y = self.places[at].tolist()
        return Meeting(x, y, Visit(*first), Visit(*second))


def _labels(count: int, i: Ints, j: Ints) -> Ints:
    """The connected component (count,) of each of so many that links i to j join."""
    links = coo_array((np.ones(len(i)), (i, j)), shape=(count, count))
    return connected_components(links, directed=False)[1].astype(np.int64)


def _apart(one: Floats, other: Floats, owners: Ints, pieces: _Segments) -> Floats:
    """How far places along strands are from each other, mm, round a closed one the shorter way."""
    apart = np.abs(one - other)
    return np.where(pieces.closed[owners], np.minimum(apart, pieces.total[owners] - apart), apart)


def _contacts(pieces: _Segments) -> _Contacts:
    a, b = pieces.points[pieces.start], pieces.points[pieces.end]
    low, high = np.minimum(a, b), np.maximum(a, b)
    tree = shapely.STRtree(np.asarray(shapely.box(*low.T, *high.T), dtype=object))
    i, j = tree.query(np.asarray(shapely.box(*(low - MEETING).T, *(high + MEETING).T), dtype=object))
    ahead = i < j
    i, j = i[ahead], j[ahead]
    ends = np.stack([pieces.start[i], pieces.end[i], pieces.start[j], pieces.end[j]])
    distinct = (ends[0] != ends[2]) & (ends[0] != ends[3]) & (ends[1] != ends[2]) & (ends[1] != ends[3])
    i, j, ends = i[distinct], j[distinct], ends[:, distinct]
    crossing = turns(pieces.points, ends[0], ends[1], ends[2]) != turns(pieces.points, ends[0], ends[1], ends[3])
    crossing &= turns(pieces.points, ends[2], ends[3], ends[0]) != turns(pieces.points, ends[2], ends[3], ends[1])
    pairs, along, places, crosses = [], [], [], []
    corners = pieces.points[ends]
    # The least distance of segments that do not cross lies at an end of one of them.
    for end, of, onto in ((0, i, j), (1, i, j), (2, j, i), (3, j, i)):
        here = corners[end]
        share = _foot(here, pieces, onto)
        near = np.hypot(*(here - _at(share, pieces, onto)).T) <= MEETING
        own = pieces.begin[of] + (end % 2) * pieces.length[of]
        its = pieces.begin[onto] + share * pieces.length[onto]
        pairs.append(np.stack([i, j], axis=1)[near])
        along.append((np.stack([own, its], axis=1) if end < 2 else np.stack([its, own], axis=1))[near])
        places.append(here[near])
        crosses.append(np.zeros(int(near.sum()), dtype=bool))
    i, j, corners = i[crossing], j[crossing], corners[:, crossing]
    share = _shares(corners)
    places.append(_at(share[:, 0], pieces, i))
    pairs.append(np.stack([i, j], axis=1))
    along.append(pieces.begin[pairs[-1]] + share * pieces.length[pairs[-1]])
    crosses.append(np.ones(len(i), dtype=bool))
    found = _Contacts(np.concatenate(pairs), np.concatenate(along), np.concatenate(places), np.concatenate(crosses))
    owners = pieces.strand[found.pairs]
    bend = _apart(found.along[:, 0], found.along[:, 1], owners[:, 0], pieces) <= NEIGHBOURS
    kept = found.crossing | ~((owners[:, 0] == owners[:, 1]) & bend)
    return _Contacts(found.pairs[kept], found.along[kept], found.places[kept], found.crossing[kept])


def _at(share: Floats, pieces: _Segments, segment: Ints) -> Floats:
    start = pieces.points[pieces.start[segment]]
    return start + share[:, None] * (pieces.points[pieces.end[segment]] - start)


def _foot(points: Floats, pieces: _Segments, segment: Ints) -> Floats:
    """Which share of each segment lies before its point that is nearest to each point (m,2)."""
    start = pieces.points[pieces.start[segment]]
    step = pieces.points[pieces.end[segment]] - start
    return np.clip(((points - start) * step).sum(axis=1) / (step * step).sum(axis=1), 0.0, 1.0)


def _shares(corners: Floats) -> Floats:
    """Which share (m,2) of each of two crossing segments, their four ends (4,m,2), lies before the crossing."""
    a, b, c, d = corners
    one, other, apart = b - a, d - c, c - a
    across = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    # Segments on one line cross only as moved by next to nothing: anywhere along what they share.
    lying = np.abs(across) <= 1e-12 * np.hypot(*one.T) * np.hypot(*other.T)
    safe = np.where(lying, 1.0, across)
    first = (apart[:, 0] * other[:, 1] - apart[:, 1] * other[:, 0]) / safe
    second = (apart[:, 0] * one[:, 1] - apart[:, 1] * one[:, 0]) / safe
    shares = np.where(lying[:, None], 0.5, np.stack([first, second], axis=1))
    return np.clip(shares, 0.0, 1.0)


def open_ends(strands: Sequence[Strand], field: Region) -> list[Trouble]:
    """A trouble for each open end inside the field and not on its rim."""
    numbers = [number for number, strand in enumerate(strands) if not strand.closed for _ in range(2)]
    if not numbers:
        return []
    ends = np.concatenate([strand.points[[0, -1]] for strand in strands if not strand.closed])
    points = shapely.points(ends)
    inside = shapely.contains_properly(field.shape, points)
    inside &= shapely.distance(shapely.boundary(field.shape), points) > RIM
    return [
        Trouble("end", float(ends[at, 0]), float(ends[at, 1]), (numbers[at],)) for at in np.flatnonzero(inside).tolist()
    ]


def _without_triples(crossings: list[Meeting]) -> tuple[list[Meeting], list[Trouble]]:
    """Crossings without those that lie in one point, and a trouble for each such point."""
    if len(crossings) < 2:
        return crossings, []
    places = np.array([(each.x, each.y) for each in crossings])
    i, j = KDTree(places).query_pairs(2 * MEETING, output_type="ndarray").T
    label = _labels(len(crossings), i, j)
    together: dict[int, list[Meeting]] = defaultdict(list)
    for each, group in zip(crossings, label.tolist(), strict=True):
        together[group].append(each)
    triples = [
        Trouble("triple", group[0].x, group[0].y, tuple(sorted({visit.strand for each in group for visit in each[2:]})))
        for group in together.values()
        if len(group) > 1
    ]
    return [group[0] for group in together.values() if len(group) == 1], triples
