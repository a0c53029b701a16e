"""Where scan points carry the fitted surface, and how far it may be trusted."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy import ndimage

from flatten.limb.model import LimbError
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats, Ints
from flatten.units import share_text

CELL = 4.0
"""mm. Coverage is told on a grid of about this size: half a knot spacing, with a few points of any scan."""

MIN_COVER = 0.5
"""Share of a section that must be seen: the penalty bridges a third of a limb, not its other half."""

RING = 80.0
"""mm. A ring of the limb that is not seen is bridged up to this height, as a hole of that width is, with the error that
is told of it: a cuff of 40 mm takes that much with its margins, where triangles of 20 mm draw its rims out."""

MAX_REJECTED = 0.2
"""Share of a section's points that may be off the surface: loose cloth is below, a second wall is above."""

MAX_SLOPE = 1.0
"""|dr/dh| up to which a limb is a radius over its height: beyond 45° it is a foot, a hand or a cut end."""

SLOPE_SHARE = 0.02
"""Share of a section that may be steeper: less than one bearing column of thirty, so a fold or a scar."""

RAGGED = 12.0
"""mm. A ragged rim up to this deep is left out of the trusted range; what is deeper is a bite, and told as a hole."""

WHOLE_RIM = 0.99
"""Share of a section that must be seen where a ragged rim is over."""

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Coverage:
    """Sections at `heights` (m,): the share of each that is seen, rejected, too steep; and the seen cells (m, k).

    `filled` cells hold a point, `covered` ones too or a neighbour does. Cell k is centred on bearing
    2π(k + ½)/columns − π.
    """

    heights: Floats
    seen: Floats
    rejected: Floats
    steep: Floats
    filled: Mask
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
            return f"the scan shows only {share_text(self.seen[at])} of the limb there"
        if self.rejected[at] > MAX_REJECTED:
            return (
                f"{share_text(self.rejected[at])} of the points there lie off one outline round the limb's centre, as "
                "cloth leaves them, or a limb that moved between two turns of the phone"
            )
        return "the surface there leans more than 45° from the limb's axis"


def coverage_of(surface: LimbSurface, heights: Floats, bearings: Floats, *, kept: Mask) -> Coverage:
    """How points at (heights, bearings) (N,), of which some are `kept`, cover the surface."""
    low, high = surface.height_knots[0], surface.height_knots[-1]
    radius = float(np.mean(surface.radii))
    spread = np.sqrt(2 * np.pi * radius * (high - low) / max(1, len(heights)))
    cell = max(CELL, 1.5 * spread)
    rows = max(2, round((high - low) / cell))
    columns = max(8, round(2 * np.pi * radius / cell))
    row = np.clip(((heights - low) / (high - low) * rows).astype(np.int64), 0, rows - 1)
    column = ((bearings / (2 * np.pi) + 0.5) * columns).astype(np.int64) % columns
    filled = np.bincount((row * columns + column)[kept], minlength=rows * columns).reshape(rows, columns) > 0
    covered = wrapped(ndimage.binary_dilation, filled, structure=np.ones((3, 3)))
    total = np.bincount(row, minlength=rows)
    lost = np.bincount(row[~kept], minlength=rows)
    middles = low + (np.arange(rows) + 0.5) * (high - low) / rows
    turn = (np.arange(columns) + 0.5) * (2 * np.pi / columns) - np.pi
    slope = surface.radius(middles[:, None], turn, nu=(1, 0))
    return Coverage(
        heights=middles,
        seen=covered.mean(axis=1),
        rejected=np.divide(lost, total, out=np.zeros(rows), where=total > 0),
        steep=((np.abs(slope) > MAX_SLOPE) & covered).mean(axis=1),
        filled=filled,
        covered=covered,
        cell=cell,
    )


def trusted_range(surface: LimbSurface, coverage: Coverage, *, needed: tuple[float, float]) -> tuple[float, float]:
    """The heights between which the scan carries the surface.

    Raises LimbError where that leaves out a part of `needed`, with the height and what is wrong there.
    """
    good: Mask = coverage.good()
    low, high = float(surface.height_knots[0]), float(surface.height_knots[-1])
    wanted = (coverage.heights >= needed[0]) & (coverage.heights <= needed[1])
    bad = np.flatnonzero(wanted & ~good)
    if bad.size:
        raise LimbError(
            f"the limb cannot be followed at height {coverage.heights[bad[0]]:.0f} mm: {coverage.complaint(bad[0])}; "
            f"it is needed from {needed[0]:.0f} to {needed[1]:.0f} mm; check which limb the scan shows and its unit, "
            "or scan that part again"
        )
    middle = int(np.argmin(np.abs(coverage.heights - (needed[0] + needed[1]) / 2)))
    first, last = _longest_run(good, middle) or (middle, middle)
    inner = np.flatnonzero(wanted) if wanted.any() else np.array([middle])
    first += _ragged(coverage, np.arange(first, max(first, int(inner[0])) + 1))
    last -= _ragged(coverage, np.arange(last, min(last, int(inner[-1])) - 1, -1))
    half = (coverage.heights[1] - coverage.heights[0]) / 2
    return (
        low if first == 0 else float(coverage.heights[first] - half),
        high if last == len(good) - 1 else float(coverage.heights[last] + half),
    )


def _ragged(coverage: Coverage, rows: Ints) -> int:
    """How many of the sections `rows`, from an end inwards, are a ragged rim: 0 where it is deeper than RAGGED."""
    step = float(coverage.heights[1] - coverage.heights[0])
    whole = np.flatnonzero(coverage.seen[rows[: int(RAGGED / step) + 1]] >= WHOLE_RIM)
    return int(whole[0]) if whole.size else 0


def _longest_run(good: Mask, around: int) -> tuple[int, int] | None:
    """First and last index of the run of good sections that holds `around`, or of the longest; None without one."""
    labels, count = ndimage.label(good)
    if count == 0:
        return None
    label = labels[around] or 1 + int(np.argmax(np.bincount(labels[labels > 0] - 1)))
    inside = np.flatnonzero(labels == label)
    return int(inside[0]), int(inside[-1])


def wrapped(operation: Callable[..., Mask], mask: Mask, **arguments: object) -> Mask:
    """What an operation of scipy.ndimage makes of a mask whose columns run round."""
    columns = mask.shape[1]
    return operation(np.tile(mask, (1, 3)), **arguments)[:, columns : 2 * columns]
