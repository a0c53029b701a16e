"""Where scan points carry the fitted surface, where it only bridges, and how far it may be trusted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from flatten.limb.surface import Bridge, LimbSurface
from flatten.mesh.surface import Floats, Ints

CELL = 4.0
"""mm. Coverage is told on a grid of about this size: half a knot spacing, with a few points of any scan."""

MIN_COVER = 0.5
"""Share of a section that must be seen: the penalty bridges a third of a limb, not its other half."""

RIM = 0.6
"""Widths of a bridge from its middle at which the limb's curvature is taken: just outside, where it is seen."""

DOUBTED = 5.6
"""Times the sagitta that covers the error of 95 in 100 holes of 20 to 60 mm, on two legs and a forearm."""

RING = 50.0
"""mm. A ring of the limb that is not seen is bridged up to this height, as a hole of that width is: the penalty's
sagitta at a calf's curvature along its height stays about 1 mm. A cuff with its margins takes that much."""

MAX_REJECTED = 0.2
"""Share of a section's points that may be off the surface: loose cloth is below, a second wall is above."""

MAX_SLOPE = 1.0
"""|dr/dh| up to which a limb is a radius over its height: beyond 45° it is a foot, a hand or a cut end."""

SLOPE_SHARE = 0.02
"""Share of a section that may be steeper: less than one bearing column of thirty, so a fold or a scar."""

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Coverage:
    """Sections at `heights` (m,): the share of each that is seen, rejected, too steep; and the seen cells (m, k).

    Cell k is centred on bearing 2π(k + ½)/columns − π.
    """

    heights: Floats
    seen: Floats
    rejected: Floats
    steep: Floats
    covered: Mask
    cell: float

    def good(self) -> Mask:
        """True (m,) where a section carries the surface, or lies in a short ring that it bridges."""
        sound = (self.rejected <= MAX_REJECTED) & (self.steep <= SLOPE_SHARE)
        carried = sound & (self.seen >= MIN_COVER)
        labels, count = ndimage.label(~carried)
        for label in range(1, count + 1):
            rows = np.flatnonzero(labels == label)
            inner = rows[0] > 0 and rows[-1] < len(carried) - 1
            unseen = sound[rows] & (self.seen[rows] < MIN_COVER)
            if inner and unseen.all() and len(rows) * (self.heights[1] - self.heights[0]) <= RING:
                carried[rows] = True
        return carried

    def complaint(self, at: int) -> str:
        """What is wrong with section `at`, as the second half of a sentence."""
        if self.seen[at] < MIN_COVER:
            return f"the scan shows only {self.seen[at]:.0%} of the limb there"
        if self.rejected[at] > MAX_REJECTED:
            return f"{self.rejected[at]:.0%} of the points there lie off one outline round the limb's centre"
        return "the surface there leans more than 45° from the limb's axis"


def coverage_of(surface: LimbSurface, heights: Floats, bearings: Floats, *, counts: Floats, kept: Mask) -> Coverage:
    """How points at (heights, bearings) (N,), each standing for `counts` points, of which some are `kept`, cover it."""
    low, high = surface.height_knots[0], surface.height_knots[-1]
    radius = float(np.mean(surface.radii))
    spread = np.sqrt(2 * np.pi * radius * (high - low) / max(1, len(heights)))
    cell = max(CELL, 1.5 * spread)
    rows = max(2, round((high - low) / cell))
    columns = max(8, round(2 * np.pi * radius / cell))
    row = np.clip(((heights - low) / (high - low) * rows).astype(np.int64), 0, rows - 1)
    column = ((bearings / (2 * np.pi) + 0.5) * columns).astype(np.int64) % columns
    filled = np.bincount((row * columns + column)[kept], minlength=rows * columns).reshape(rows, columns) > 0
    covered = _wrapped(ndimage.binary_dilation, filled, structure=np.ones((3, 3)))
    total = np.bincount(row, counts, rows)
    lost = np.bincount(row[~kept], counts[~kept], rows)
    middles = low + (np.arange(rows) + 0.5) * (high - low) / rows
    turn = (np.arange(columns) + 0.5) * (2 * np.pi / columns) - np.pi
    slope = surface.radius(middles[:, None], turn, nu=(1, 0))
    return Coverage(
        heights=middles,
        seen=covered.mean(axis=1),
        rejected=np.divide(lost, total, out=np.zeros(rows), where=total > 0),
        steep=((np.abs(slope) > MAX_SLOPE) & covered).mean(axis=1),
        covered=covered,
        cell=cell,
    )


def longest_run(good: Mask, around: int) -> tuple[int, int] | None:
    """First and last index of the run of good sections that holds `around`, or of the longest; None without one."""
    labels, count = ndimage.label(good)
    if count == 0:
        return None
    label = labels[around] or 1 + int(np.argmax(np.bincount(labels[labels > 0] - 1)))
    inside = np.flatnonzero(labels == label)
    return int(inside[0]), int(inside[-1])


def bridges_in(
    surface: LimbSurface, coverage: Coverage, points: Floats, *, between: tuple[float, float]
) -> tuple[Bridge, ...]:
    """The places without any of the `points` (N,3) within a height range, largest first.

    `width` is twice the distance from the place's middle, its deepest cell, to the nearest point. `uncertainty` is
    the sagitta w²κ/32 that the limb's curvature along its height just round the place could hide in a clamped patch of
    that width, DOUBTED times, together with the fit's own residual.
    """
    rows = (coverage.heights >= between[0]) & (coverage.heights <= between[1])
    empty = ~coverage.covered & rows[:, None]
    if not empty.any():
        return ()
    columns = empty.shape[1]
    turn = (np.arange(columns) + 0.5) * (2 * np.pi / columns) - np.pi
    row, column = np.nonzero(empty)
    depth = np.zeros(empty.shape)
    depth[row, column] = cKDTree(points).query(surface.points(coverage.heights[row], turn[column]))[0]
    labels, count = _periodic_labels(empty)
    found = []
    for label in range(1, count + 1):
        deepest = np.argmax(np.where(labels == label, depth, 0.0))
        at_row, at_column = np.unravel_index(int(deepest), depth.shape)
        width = 2 * float(depth[at_row, at_column])
        bend = _bend_round(surface, float(coverage.heights[at_row]), float(turn[at_column]), RIM * width)
        doubt = float(np.hypot(surface.rms, DOUBTED * bend * width**2 / 32))
        found.append(Bridge(float(coverage.heights[at_row]), float(turn[at_column]), width, doubt))
    return tuple(sorted(found, key=lambda bridge: (-bridge.width, bridge.height)))


def _bend_round(surface: LimbSurface, height: float, bearing: float, reach: float) -> float:
    """Rms of d²r/dh² (1/mm) on a circle of radius `reach` mm about a place of the surface."""
    turn = np.arange(24) * (np.pi / 12)
    heights = np.clip(height + reach * np.cos(turn), surface.height_knots[0], surface.height_knots[-1])
    bearings = bearing + reach * np.sin(turn) / float(surface.radius(np.array([height]), np.array([bearing]))[0])
    return float(np.sqrt(np.mean(surface.radius(heights, bearings, nu=(2, 0)) ** 2)))


def _periodic_labels(mask: Mask) -> tuple[Ints, int]:
    """Labels of the connected parts of a mask whose columns run round, and their number."""
    labels, count = ndimage.label(mask, structure=np.ones((3, 3)))
    ends = np.pad(labels[:, -1], 1)
    pairs = np.concatenate([np.stack([labels[:, 0], ends[1 + up : 1 + up + len(labels)]], axis=1) for up in (-1, 0, 1)])
    pairs = pairs[(pairs > 0).all(axis=1)]
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(count + 1, count + 1))
    groups, group = connected_components(graph, directed=False)
    # Label 0, the background, has no pair and so is the first group alone.
    return group[labels].astype(np.int64), groups - 1


def _wrapped(operation: object, mask: Mask, **arguments: object) -> Mask:
    columns = mask.shape[1]
    return operation(np.tile(mask, (1, 3)), **arguments)[:, columns : 2 * columns]  # type: ignore[operator]
