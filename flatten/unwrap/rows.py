"""Lines of panels along which leather is joined to leather, and how much longer one side of each seam is when flat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from scipy.sparse import csr_array, vstack

from flatten.mesh.gradient import Complexes
from flatten.mesh.surface import Floats, Ints, frozen, frozen_ints
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Boundary

STRETCH = 30.0
"""mm. Both sides of a seam are to be equally long over each stretch of about this length: rivets' usual pitch."""

CHORDS = 3
"""Chords by which each stretch is measured: of 10 mm, so that a mesh's edges do not lengthen a line by their zigzag. On
a bend of 100 mm radius they fall short by 0.04 %, on both sides of a seam alike."""

TANGENT = 5.0
"""mm on either side of a place of a boundary over which its direction is taken, so that a mesh's edges do not show."""


@dataclass(frozen=True, eq=False)
class Chain:
    """Parts of one flat panel's lines: which stretch each lengthens, and with which sign.

    `points` is the matrix (n,V) by which the flat vertices give the lines' n points; part p runs from point
    `ends[p, 0]` to `ends[p, 1]` and counts `signs[p]` times in stretch `stretches[p]`.
    """

    points: csr_array
    ends: Ints
    signs: Floats
    stretches: Ints

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "ends", frozen_ints(self.ends))
        object.__setattr__(self, "signs", frozen(self.signs))
        object.__setattr__(self, "stretches", frozen_ints(self.stretches))


@dataclass(frozen=True, eq=False)
class Seams:
    """The seams of P panels in K stretches; `chains` (P) holds each panel's part."""

    chains: tuple[Chain, ...]
    count: int

    def residuals(self, flats: Sequence[Complexes]) -> Floats:
        """By how much (K,) the side after each stretch of seam is longer in flat maps (V,) than the one before, mm."""
        total = np.zeros(self.count)
        for chain, flat in zip(self.chains, flats, strict=True):
            lengths = np.abs(_spans(chain, flat))
            total += np.bincount(chain.stretches, weights=chain.signs * lengths, minlength=self.count)
        return total

    def jacobians(self, flats: Sequence[Complexes]) -> tuple[csr_array, ...]:
        """Gradients (V,K) of the residuals by each flat map: a length's is the unit vector along it, at its ends."""
        found = []
        for chain, flat in zip(self.chains, flats, strict=True):
            spans = _spans(chain, flat)
            pull = chain.signs * spans / np.abs(spans)
            at = np.concatenate([chain.ends[:, 1], chain.ends[:, 0]]), np.tile(chain.stretches, 2)
            shape = (chain.points.shape[0], self.count)
            found.append(csr_array(chain.points.T @ csr_array((np.concatenate([pull, -pull]), at), shape=shape)))
        return tuple(found)


def _spans(chain: Chain, flat: Complexes) -> Complexes:
    points = np.asarray(chain.points @ flat)
    return points[chain.ends[:, 1]] - points[chain.ends[:, 0]]


@dataclass(frozen=True, eq=False)
class _Line:
    """A side's line, going up: weights (n,V) of its points and their chart heights (n,), rising.

    Holes lie between the heights `low` and `high`. `sign` as in Chain.
    """

    panel: int
    points: csr_array
    heights: Floats
    low: float
    high: float
    sign: float


def mated_seams(flats: Sequence[FlatPanel], insets: Mapping[str, float]) -> Seams:
    """The seams and darts named in `insets` that have both their sides on the panels.

    `insets` is how far inside a boundary its holes run, mm, and how far from its ends they begin; where leather runs
    past the seam they run on the seam itself. Stretches are cut at equal chart heights: these are the same place of the
    limb on both sides.
    """
    parts: list[list[tuple[_Line, Floats, int]]] = [[] for _ in flats]
    count = 0
    for name, inset in insets.items():
        lines = [
            _line(i, flat, boundary, inset)
            for i, flat in enumerate(flats)
            for boundary in flat.panel.boundaries
            if boundary.name == name and boundary.kind != "edge"
        ]
        if len(lines) != 2:
            continue
        cuts = _cuts(lines, flats)
        for line in lines:
            parts[line.panel].append((line, cuts, count))
        count += len(cuts) - 1
    return Seams(tuple(_chain(own, flat) for own, flat in zip(parts, flats, strict=True)), count)


def _cuts(lines: list[_Line], flats: Sequence[FlatPanel]) -> Floats:
    """Heights that part the run that two lines have in common into stretches of about STRETCH."""
    low, high = max(line.low for line in lines), min(line.high for line in lines)
    runs = [np.asarray(line.points @ map_of(flats[line.panel])) for line in lines]
    longest = max(float(np.abs(np.diff(run)).sum()) for run in runs)
    return np.linspace(low, high, max(round(longest / STRETCH), 1) + 1)


def map_of(flat: FlatPanel) -> Complexes:
    """The flat map (V,) of a panel as it lies, mm."""
    return flat.uv[:, 0] + 1j * flat.uv[:, 1]


def _line(panel: int, flat: FlatPanel, boundary: Boundary, inset: float) -> _Line:
    """The line of a boundary's holes as points of the leather."""
    chain = boundary.line if boundary.line.size else boundary.vertices
    heights = flat.panel.heights[chain]
    inward = 1j
    if heights[-1] < heights[0]:
        chain, heights, inward = chain[::-1], heights[::-1], -1j
    after = boundary.side == ("high" if boundary.kind in ("dart", "slash") else "low")
    sign = 1.0 if after else -1.0
    heights = np.maximum.accumulate(heights)
    line = map_of(flat)[chain]
    arcs = np.concatenate([[0.0], np.cumsum(np.abs(np.diff(line)))])
    ends = inset, arcs[-1] - inset
    low, high = np.interp(ends, arcs, heights).tolist()
    if boundary.line.size:
        points = csr_array((np.ones(len(chain)), (np.arange(len(chain)), chain)), shape=(len(chain), len(flat.uv)))
        return _Line(panel, points, heights, low, high, sign)
    at = np.concatenate([ends[:1], arcs[(arcs > ends[0]) & (arcs < ends[1])], ends[1:]])
    return _Line(panel, _beside(flat, line, arcs, at, inset * inward), np.interp(at, arcs, heights), low, high, sign)


def _beside(flat: FlatPanel, boundary: Complexes, arcs: Floats, at: Floats, inset: complex) -> csr_array:
    """Weights (n,V) of the points beside the places `at` (n,) of a boundary, |inset| mm inside it in the flat piece.

    `arcs` (m,) are the boundary's (m,) arc lengths; `inset` is a length inside, times the quarter turn that leads
    there. As points of the leather, they stay what the holes' line is while the map moves by less than the inset.
    """

    def on(places: Floats) -> Complexes:
        return np.asarray(np.interp(places, arcs, boundary.real) + 1j * np.interp(places, arcs, boundary.imag))

    ahead = on(np.minimum(at + TANGENT, arcs[-1])) - on(np.maximum(at - TANGENT, 0.0))
    return _weights(flat, on(at) + inset * ahead / np.abs(ahead))


def _weights(flat: FlatPanel, places: Complexes) -> csr_array:
    """Barycentric weights (n,V) of places (n,) in the flat piece, each in the face that it lies in or next to."""
    faces = flat.panel.mesh.faces
    tree = shapely.STRtree(np.asarray(shapely.polygons(flat.uv[faces])))
    found = faces[tree.nearest(shapely.points(places.real, places.imag))]
    a, b, c = (map_of(flat)[found[:, i]] for i in range(3))

    def double_area(u: Complexes, v: Complexes) -> Floats:
        return np.asarray((u.conj() * v).imag)

    whole = double_area(b - a, c - a)
    second, third = double_area(places - a, c - a) / whole, double_area(b - a, places - a) / whole
    weights = np.stack([1.0 - second - third, second, third], axis=1)
    rows = np.repeat(np.arange(len(places)), 3)
    return csr_array((weights.ravel(), (rows, found.ravel())), shape=(len(places), len(flat.uv)))


def _chain(parts: list[tuple[_Line, Floats, int]], flat: FlatPanel) -> Chain:
    """One panel's lines, cut where stretches end."""
    blocks, ends, signs, stretches, used = [], [], [], [], 0
    for line, cuts, first in parts:
        heights = np.interp(np.arange((len(cuts) - 1) * CHORDS + 1) / CHORDS, np.arange(len(cuts)), cuts)
        upper = np.clip(np.searchsorted(line.heights, heights, side="left"), 1, len(line.heights) - 1)
        rise = line.heights[upper] - line.heights[upper - 1]
        share = np.divide(heights - line.heights[upper - 1], rise, out=np.zeros_like(rise), where=rise > 0)
        number, shape = np.arange(len(heights)), (len(heights), len(line.heights))
        between = csr_array(
            (np.concatenate([1 - share, share]), (np.tile(number, 2), np.concatenate([upper - 1, upper]))), shape=shape
        )
        blocks.append(between @ line.points)
        ends.append(used + np.stack([number[:-1], number[1:]], axis=1))
        signs.append(np.full(len(heights) - 1, line.sign))
        stretches.append(first + np.repeat(np.arange(len(cuts) - 1), CHORDS))
        used += len(heights)
    if not blocks:
        none = np.zeros(0, dtype=np.int64)
        return Chain(csr_array((0, len(flat.uv))), none.reshape(0, 2), np.zeros(0), none)
    points = csr_array(vstack(blocks))
    return Chain(points, np.concatenate(ends), np.concatenate(signs), np.concatenate(stretches))
