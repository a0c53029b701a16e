"""The places without scan points that a fitted surface bridges, and how far it may be off there."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy import ndimage
from scipy.spatial import cKDTree

from flatten.limb.surface.coverage import Coverage, Mask, wrapped
from flatten.limb.surface.model import Bridge, LimbSurface
from flatten.mesh.graph import components
from flatten.mesh.surface import Floats, Ints

ROUND = ((1.5, 12), (2.25, 16), (3.0, 20))
"""Half-widths from a bridge's middle, and places on that circle, at which the limb is asked how it bends: the nearest
whose discs lie mostly on skin that is seen, up to where a limb is still like itself."""

RIM_PLACES = 16
"""Places on the rim of a disc: exact for the eight harmonics that a limb has across 60 mm."""

ELSEWHERE = 0.1
"""Weight of the whole limb's bend beside that round a bridge: where a limb is smooth all round, it may yet not be so in
the hole itself."""

OVER = 12
"""Bearings at which the whole limb is asked, at heights half a bridge apart."""

COVERING = 2.4
"""Standard deviations that cover the error of 95 in 100 holes: 1.96 of a normal error, more because a limb bends
unevenly. Of 276 holes of 20 to 60 mm on two legs and a forearm (seeds 1000 to 1199 and 2000 to 2079 of the generator in
tests/limb/test_limb_bridges.py) 2.03 covered 95 %, and 97.5 % lay within 2.4: the upper end of what that count tells of
the 95 in 100."""

Sigmas = Callable[[float, float], tuple[float, float]]


def bridges_in(
    surface: LimbSurface, coverage: Coverage, points: Floats, *, between: tuple[float, float], sigmas: Sigmas
) -> tuple[Bridge, ...]:
    """The places without any of the `points` (N,3) within a height range, largest first.

    A bridge's place is its deepest cell, where it is least sure, its `width` the lesser diameter of the ellipse with
    the same second moments. `sigmas` gives the standard deviations of the radius at (height, bearing) by noise, and by
    a limb of unit bend.
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
        place = float(coverage.heights[at_row]), float(turn[at_column])
        half = float(depth[at_row, at_column])
        noise, unit = sigmas(*place)
        likely = float(np.hypot(noise, unit * bend_round(surface, *place, half=half)))
        found.append(Bridge(*place, _width(surface, coverage, labels == label, *place), COVERING * likely, likely))
    return tuple(sorted(found, key=lambda bridge: (-bridge.width, bridge.height)))


def _width(surface: LimbSurface, coverage: Coverage, hole: Mask, height: float, bearing: float) -> float:
    """Lesser diameter, mm, of the ellipse with the second moments of a hole's cells: of those of `hole`, and of their
    neighbours, that hold no point. Cells that its rim cuts hold some: half a cell is missing on each side.
    """
    row, column = np.nonzero(wrapped(ndimage.binary_dilation, hole, structure=np.ones((3, 3))) & ~coverage.filled)
    columns = hole.shape[1]
    turn = np.mod((column + 0.5) * (2 * np.pi / columns) - np.pi - bearing + np.pi, 2 * np.pi) - np.pi
    radius = float(surface.radius(np.array([height]), np.array([bearing]))[0])
    spread = np.cov(np.stack([coverage.heights[row], radius * turn])) + np.eye(2) * coverage.cell**2 / 12
    return float(4 * np.sqrt(np.linalg.eigvalsh(spread)[0])) + coverage.cell


def bend_round(surface: LimbSurface, height: float, bearing: float, *, half: float) -> float:
    """How much a limb bends round a place, 1/mm times mm: the prior of a bridge `half` mm from its middle to its rim.

    The rms, there and with a little weight all over the limb, of how far a plate held by a disc's rim would miss it,
    over that of a Gaussian field of unit bend: half/√(16π), the deflection of a clamped disc under a unit force
    (Timoshenko & Woinowsky-Krieger, Theory of Plates and Shells, art. 19).
    """
    radius = float(surface.radius(np.array([height]), np.array([bearing]))[0])
    ways = [(far * half * np.cos(turn), far * half * np.sin(turn)) for far, count in ROUND for turn in _turns(count)]
    up, aside = np.array(ways).T
    low, high = surface.trusted
    all_over = np.arange(low + half, max(high - half, low + 1.5 * half), half)
    everywhere = np.repeat(all_over, OVER), np.tile(_turns(OVER), len(all_over))
    kept = (height + up - half > low) & (height + up + half < high)
    near = (height + up[kept], bearing + aside[kept] / radius) if kept.any() else everywhere
    here, there = (np.mean(_missed(surface, *places, half=half) ** 2) for places in (near, everywhere))
    return float(np.sqrt(((1 - ELSEWHERE) * here + ELSEWHERE * there) * 16 * np.pi)) / half


def _missed(surface: LimbSurface, heights: Floats, bearings: Floats, *, half: float) -> Floats:
    """How far (N,) the surface lies at the middle of discs from the plates that their rims alone would hold there.

    A plate's middle is the mean over its rim of S − half/2 · ∂S/∂n: the mean value of a biharmonic function (Pizzetti
    1909).
    """
    rim = _turns(RIM_PLACES)
    radius = surface.radius(heights, bearings)[:, None]
    at = np.clip(heights[:, None] + half * np.cos(rim), surface.height_knots[0], surface.height_knots[-1])
    around = bearings[:, None] + half * np.sin(rim) / radius
    rise = surface.radius(at, around, nu=(1, 0)) * np.cos(rim)
    rise = rise + surface.radius(at, around, nu=(0, 1)) * np.sin(rim) / radius
    return radius[:, 0] - np.mean(surface.radius(at, around) - half / 2 * rise, axis=1)


def _turns(count: int) -> Floats:
    return np.arange(count, dtype=np.float64) * (2 * np.pi / count)


def _periodic_labels(mask: Mask) -> tuple[Ints, int]:
    """Labels of the connected parts of a mask whose columns run round, and their number."""
    labels, count = ndimage.label(mask, structure=np.ones((3, 3)))
    ends = np.pad(labels[:, -1], 1)
    pairs = np.concatenate([np.stack([labels[:, 0], ends[1 + up : 1 + up + len(labels)]], axis=1) for up in (-1, 0, 1)])
    pairs = pairs[(pairs > 0).all(axis=1)]
    group = components(pairs, count + 1)
    # Label 0, the background, has no pair and so is the first group alone.
    return group[labels], int(group.max())
