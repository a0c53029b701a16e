"""What a hand tells of its forearm: where its back and its thumb are, whether it is open, and how long it is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import connected_components, dijkstra
from scipy.spatial import cKDTree

from flatten.limb.anatomy.midline import STEP, Midline
from flatten.limb.anatomy.narrow import Extreme, smooth_girths
from flatten.limb.model import FrontError
from flatten.mesh.surface import Floats, Ints, frozen

SWELLS = 1.05
"""Girth over the wrist's least at which the hand begins, at the crease of the wrist. Some forearms are as thin 60 mm
higher up as at the wrist, so that the place of the least girth alone does not tell where the hand is."""

CARPUS = 0.65
"""Wrist radii from where the hand begins up to where wrists are thinnest."""

ROOT = (0.3, 1.6)
"""Wrist radii below the thinnest place between which the plane of the hand is taken: bones that fingers do not move.
Farther down it leans towards the thumb, by 20° at 1 to 3.6 radii."""

PALM = (1.0, 3.6)
"""Wrist radii below the thinnest place between which the palm's own direction and breadth are taken."""

CUFF = 1.1
"""Wrist radii above the thinnest place over which the long axis of the wrist's section is taken."""

CUFF_WEIGHT = 1 / 3
"""Weight of that long axis beside the breadth of the hand's root: its standard deviation is 8°, the root's 4.5°, and
their biases have opposite signs."""

ROUND = 0.1
"""Length over width of the wrist's section, less 1, below which its long axis loses weight: in a round section its
direction is chance."""

SLANT = np.radians(19.0)
"""Slant of the line of the knuckles in the hand: the index's lies farther from the wrist than the little finger's
(standard deviation 2° on posed bodies). The back is square to that line, so that a hand bent at the wrist turns its
back by a third of a degree a degree."""

GRAPH = 4000
"""Points that the ways along the skin are found by: 3 mm apart."""

NEIGHBOURS = 9
"""Neighbours that each of them has an edge to."""

FARTHEST = 4.0
"""Spacings that an edge is long at most, or it would lead from finger to finger."""

SPLIT = (0.25, 0.57)
"""Shares of the way to the finger tips between which the thumb parts from the fingers: 0.37 to 0.52 on open and curled
hands; a fist parts at 0.61 and later, and from another finger."""

LEVEL = 0.03
"""Share of the way from one level to the next at which the hand is looked at for parts."""

THUMB_LONG = 0.7
"""Wrist radii that a thumb goes on beyond where it parts, at least: skin's own roughness is a tenth of it."""

FEWEST = 15
"""Points that a thumb, fingers or palm must have each."""

ZIGZAG = 1.09
"""Way over the graph's edges over the hand's length, crease to tip (standard deviation 0.03 on posed hands)."""

CLOSED = 0.76
"""Straight line over the way from wrist to finger tip below which a hand is a fist: 0.78 and more with curled fingers,
0.71 and less of fists."""

OPEN = 0.84
"""Straight line over way from which the fingers are stretched enough for the way to be the hand's length."""

STRETCHED = 6.3
"""Wrist radii that the way to the finger tips is long at least where an open hand shows no thumb that parts from it: a
round fist, whose way is straight, has 5.8; hands of adults 7.5 (ANSUR II's means)."""

BESIDE = 0.25
"""Wrist radii by which a thumb that lies beside the hand must move the middle of its breadth to be seen (0.3 to 0.9 on
the bodies at hand)."""

BASE = (0.3, 0.75)
"""Share of the hand's reach in which a thumb laid beside it widens it."""

FINGERS = 0.78
"""Share of its reach from which on there are fingers only."""

FAR_HALF = 0.6
"""Share of its reach from which on curled fingers lie to the palm's side."""

LEANS = 0.15
"""Wrist radii by which a thumb or curled fingers must lie off the hand's plane to tell the palm's side: 0.4 to 1.5 for
thumbs, 0.1 to 1.8 for fists, of which those at hyperextended wrists are the least."""

SHORTEST = 2.2
"""Wrist radii that a hand reaches below the wrist at least: fists reach 2.6."""

BACK_SIGMA = np.radians(5.0)
"""Standard deviation of the back's direction on posed hands, fists among them, at wrists bent by up to 20°."""


@dataclass(frozen=True, eq=False)
class Hand:
    """A hand below a wrist, whichever hand it is.

    `down` (3,) is the unit vector from wrist to palm, `breadth` (3,) the one across the hand, towards the thumb where
    that is told. `thumb` is by how many
    wrist radii the thumb lies to that side, 0 where none is seen. `palm` (3,) is the unit vector out of the palm, and
    `leans` by how many radii thumb or curled fingers lie to that side. `length` mm is the hand's from wrist crease to
    middle finger's tip along the skin, good where it is `open`. `begins` is where it begins along the forearm's line,
    mm: near the crease of the wrist.
    """

    down: Floats
    breadth: Floats
    thumb: float
    palm: Floats
    leans: float
    length: float
    open: bool
    begins: float

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("down", "breadth", "palm"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    @property
    def sure(self) -> bool:
        """Whether the back's side can be told: a thumb is seen, or the fingers curl to the palm's side."""
        return self.thumb > 0 or self.leans > LEANS

    def back(self, axis: Floats, *, handed: float) -> Floats:
        """The unit vector (3,) out of the back of the hand, square to the forearm's `axis` (3,) towards the elbow.

        `handed` is 1 where back of hand, thumb side and axis are right-handed on the side that was named, -1 where
        they are left-handed. The thumb tells the side, or, where none is seen, the curl of the fingers.
        """
        thumb = self.breadth
        if self.thumb <= 0 and handed * np.cross(thumb, axis) @ self.palm > 0:
            thumb = -thumb
        knuckles = np.cos(SLANT) * thumb + np.sin(SLANT) * self.down
        back = handed * np.cross(knuckles, axis)
        return np.asarray(back / np.linalg.norm(back))

    def handed(self, axis: Floats) -> float:
        """1 or -1 as back of hand, thumb side and `axis` (3,) are right-handed or not by the scan itself.

        A thumb lies to the palm's side of the hand. 0 where thumb or palm are not seen clearly enough.
        """
        if self.thumb <= 0 or self.leans <= LEANS:
            return 0.0
        return float(-np.sign(np.cross(self.breadth, axis) @ self.palm))


def hand_of(points: Floats, line: Midline, wrist: Extreme) -> Hand:
    """The hand beyond a forearm's wrist in points (N,3) mm, evenly dense, whose middle line and wrist are given.

    Its breadth is the mean of that of the hand's root and of the long axis of the wrist's section, whose errors have
    opposite signs. The thumb is the part of the skin that parts from the fingers first, seen from the wrist along the
    skin; where none does, what widens an open hand beside its fingers. Raises FrontError where the scan shows no hand.
    """
    radius = wrist.girth / (2 * np.pi)
    begins = hand_begins(line, wrist)
    at = min(wrist.along, begins + CARPUS * radius)
    place, axis = line.place(at), line.direction(at, at + 3 * radius)
    along = line.nearest(points)
    below = points[along < at]
    down = -axis
    for _ in range(3):
        deep = (below - place) @ down
        palm = below[(deep > PALM[0] * radius) & (deep < PALM[1] * radius)]
        if len(palm) < FEWEST:
            raise _no_hand()
        down = palm.mean(axis=0) - place
        down = down / np.linalg.norm(down)
    deep = (below - place) @ down
    reach = float(np.quantile(deep, 0.999))
    root = below[(deep > ROOT[0] * radius) & (deep < ROOT[1] * radius)]
    far = below[deep > FAR_HALF * reach]
    if reach < SHORTEST * radius or min(len(root), len(far)) < FEWEST:
        raise _no_hand()

    broad = _long_axis(palm, down)[0]
    breadth = _breadth(root, down, line, at=at, radius=radius)
    skin = _Skin.of(points[along < begins + 2 * STEP], line, begins)
    straight, parted = skin.straightness(), skin.thumb(THUMB_LONG * radius)
    opened = straight > OPEN
    normal = np.cross(breadth, down)
    normal = normal / np.linalg.norm(normal)
    if parted is not None and straight > CLOSED:
        thumb, leans = float(parted @ broad) / radius, float(parted @ normal) / radius
    else:
        opened = opened and skin.way() > STRETCHED * radius
        thumb = _beside(below, deep, broad, reach=reach, radius=radius) if opened else 0.0
        leans = float((far.mean(axis=0) - palm.mean(axis=0)) @ normal) / radius
    if breadth @ broad * thumb < 0:
        breadth = -breadth
    return Hand(
        down=down,
        breadth=breadth,
        thumb=abs(thumb),
        palm=normal * (1.0 if leans >= 0 else -1.0),
        leans=abs(leans),
        length=skin.way() / ZIGZAG,
        open=opened,
        begins=begins,
    )


def hand_begins(line: Midline, wrist: Extreme) -> float:
    """Where along a forearm's line the hand begins below its wrist: the girth has grown by SWELLS from the least."""
    girths = smooth_girths(line)
    grown = np.flatnonzero((line.along < wrist.along) & (girths > SWELLS * wrist.girth))
    return float(line.along[grown[-1]]) if grown.size else float(line.along[0])


def _no_hand() -> FrontError:
    return FrontError(
        "the scan shows no hand, so that the back-of-hand side is not known; give the front as a direction in the "
        "scan's axes from palm to back of hand, or as a point on that side"
    )


def _long_axis(points: Floats, square_to: Floats) -> tuple[Floats, float]:
    """The direction (3,) in which points (N,3) lie broadest, square to a unit vector, and length over width there."""
    offset = points - points.mean(axis=0)
    offset = offset - np.outer(offset @ square_to, square_to)
    sizes, ways = np.linalg.eigh(offset.T @ offset)
    return ways[:, 2], float(np.sqrt(sizes[2] / sizes[1]))


def _breadth(root: Floats, down: Floats, line: Midline, *, at: float, radius: float) -> Floats:
    """The unit direction (3,) across the hand, by its root (N,3) and by the wrist's outlines."""
    breadth = _long_axis(root, down)[0]
    cuff = line.within(at, at + CUFF * radius)
    if len(cuff) == 0:
        return breadth
    outlines = (line.outlines()[cuff] - line.places[cuff][:, None]).reshape(-1, 3)
    long, ratio = _long_axis(outlines, line.direction(at, at + 3 * radius))
    weight = CUFF_WEIGHT * min(1.0, (ratio - 1.0) / ROUND)
    both = breadth + weight * np.sign(long @ breadth) * long
    return np.asarray(both / np.linalg.norm(both))


def _beside(below: Floats, deep: Floats, broad: Floats, *, reach: float, radius: float) -> float:
    """By how many wrist radii a thumb laid beside the hand moves its middle aside of its fingers'; 0 for none."""
    base = below[(deep > BASE[0] * reach) & (deep < BASE[1] * reach)] @ broad
    fingers = below[deep > FINGERS * reach] @ broad
    if min(len(base), len(fingers)) < FEWEST:
        return 0.0
    offset = float(np.quantile(base, (0.01, 0.99)).mean() - fingers.mean()) / radius
    return offset if abs(offset) > BESIDE else 0.0


@dataclass(frozen=True, eq=False)
class _Skin:
    """The skin of a hand as a graph: its points (N,3), edges, way (N,) from the wrist and where each way began (N,)."""

    points: Floats
    edges: csr_array
    ways: Floats
    starts: Floats

    @classmethod
    def of(cls, points: Floats, line: Midline, begins: float) -> _Skin:
        few = points[:: max(1, len(points) // GRAPH)]
        tree = cKDTree(few)
        apart, beside = (np.asarray(each) for each in tree.query(few, k=NEIGHBOURS + 1))
        longest = FARTHEST * float(np.median(apart[:, 1]))
        rows = np.repeat(np.arange(len(few)), NEIGHBOURS)
        lengths, columns = apart[:, 1:].ravel(), beside[:, 1:].ravel()
        near = lengths < longest
        edges = coo_array((lengths[near], (rows[near], columns[near])), shape=(len(few), len(few))).tocsr()
        first = np.flatnonzero(line.nearest(few) > begins - STEP / 2)
        ways, _, starts = dijkstra(edges, directed=False, indices=first, min_only=True, return_predecessors=True)
        return cls(few, edges, ways, few[np.where(np.isfinite(ways), starts, 0)])

    def way(self) -> float:
        """The way in mm to the point that is farthest along the skin."""
        return float(self.ways[self._tip()])

    def straightness(self) -> float:
        """The straight line to that point over the way."""
        tip = self._tip()
        return float(np.linalg.norm(self.points[tip] - self.starts[tip])) / self.way()

    def thumb(self, longest: float) -> Floats | None:
        """The vector (3,) from the fingers to the thumb where it parts from them; None where no part does."""
        way = self.way()
        for level in np.arange(*SPLIT, LEVEL) * way:
            beyond = np.flatnonzero(np.isfinite(self.ways) & (self.ways > level))
            _, part = connected_components(self.edges[beyond][:, beyond], directed=False)
            parts = [beyond[part == number] for number in np.flatnonzero(np.bincount(part) >= FEWEST)]
            parts = sorted((p for p in parts if self.ways[p].max() > level + longest), key=len)
            if len(parts) > 1:
                fingers, thumb = (self._root(p, level + longest) for p in (parts[-1], parts[-2]))
                return np.asarray(thumb - fingers)
        return None

    def _root(self, part: Ints, up_to: float) -> Floats:
        return np.asarray(self.points[part][self.ways[part] < up_to].mean(axis=0))

    def _tip(self) -> int:
        return int(np.argmax(np.where(np.isfinite(self.ways), self.ways, -1.0)))
