"""Panels that are each other's mirror image about the limb's front, or their own, and which of their sides are."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatten.mesh.surface import Floats
from flatten.unwrap.model import UnwrapError
from flatten.worn.panel import Boundary, Panel

MIRRORED_SEAM = np.radians(20.0)
"""rad. A seam's mirror image may lie this far from the seam that it is made to match: 20 mm on a shin. Beyond it the
maker has surely meant the seams to differ."""


DART_MOVED = 12.0
"""mm. No dart is moved further than this to lie symmetrically: half the leather that is kept beside it."""


def mates_of(panels: Sequence[Panel]) -> list[tuple[int, int]]:
    """Numbers of panels that are each other's mirror image about the limb's front; of itself for a single panel.

    Raises UnwrapError where seams are no mirror images of one another.
    """
    ends = np.array([[side_bearing(panel, side) for side in ("low", "high")] for panel in panels])
    middles = ends.mean(axis=1)
    count = len(panels)
    turned = [[(start - i) % count for i in range(count)] for start in range(count)]
    misses = [float((_wrapped(middles + middles[order]) ** 2).sum()) for order in turned]
    order = turned[int(np.argmin(misses))]
    if count > 1:
        # A seam lies midway between the leather before it and the leather after it.
        seams = ends[:, 1] + 0.5 * _wrapped(np.roll(ends[:, 0], -1) - ends[:, 1])
        images = [mate - 1 for mate in order]
        apart = np.abs(_wrapped(seams + seams[images]))
        worst = int(np.argmax(apart))
        if apart[worst] > MIRRORED_SEAM:
            one, other = _seam(panels[worst], "high").name, _seam(panels[images[worst]], "high").name
            off = np.degrees(apart[worst])
            if one == other:
                raise UnwrapError(
                    f"the pieces cannot be made symmetrical: the seam '{one}' would have to lie on the middle of the "
                    f"front or of the back and is {0.5 * off:.0f}° off it; move it there, or leave the pieces the "
                    f"limb's own shape"
                )
            raise UnwrapError(
                f"the pieces cannot be made symmetrical: the seams '{one}' and '{other}' are {off:.0f}° off being each "
                f"other's mirror image about the front; move one, or leave the pieces the limb's own shape"
            )
    return [(i, mate) for i, mate in enumerate(order) if i <= mate]


def _wrapped(angle: Floats) -> Floats:
    return np.mod(angle + np.pi, 2 * np.pi) - np.pi


def _seam(panel: Panel, side: str) -> Boundary:
    return next(boundary for boundary in panel.boundaries if _is_seam(boundary) and boundary.side == side)


def _is_seam(boundary: Boundary) -> bool:
    return boundary.kind not in ("edge", "dart", "slash")


def side_bearing(panel: Panel, side: str) -> float:
    """Mean bearing of a panel's low or high seam boundary."""
    return float(panel.bearings[_seam(panel, side).vertices].mean())


def mated_boundaries(panel: Panel, mate: Panel) -> tuple[tuple[int, int], ...]:
    """Numbers of the boundaries of both panels that are mirror images. Raises UnwrapError where one has none."""
    high, low = _seam(panel, "high"), _seam(mate, "low")
    if high.kind != low.kind or bool(high.line.size) != bool(low.line.size):
        names = [f"'{seam.name}' ({seam.kind}{', overlapping' * bool(seam.line.size)})" for seam in (high, low)]
        raise UnwrapError(
            f"the pieces cannot be made symmetrical: the seams {' and '.join(names)} would be mirror images and are "
            f"closed in two ways; close both in one way, or leave the pieces the limb's own shape"
        )
    one, other = panel.boundaries, mate.boundaries
    start = one.index(high) + other.index(low)
    pairs = tuple((k, (start - k) % len(other)) for k in range(len(one)))
    if len(one) != len(other) or any(not _alike(one[k], other[m]) for k, m in pairs):
        dart = next(boundary.name for boundary in (*one, *other) if boundary.kind in ("dart", "slash"))
        raise UnwrapError(
            f"the piece '{panel.name}' cannot be made symmetrical with its darts: '{dart}' or another has no mirror "
            f"image of its kind on the other half; put it on the centre line, add its mirror image, or leave the piece "
            f"the limb's own shape"
        )
    return pairs


def _alike(one: Boundary, other: Boundary) -> bool:
    if one.kind == "edge" or other.kind == "edge":
        return one.name == other.name
    return one.kind == other.kind


def check_dart_moved(panel: Panel, boundary: Boundary, far: float) -> None:
    """Raises UnwrapError where a boundary is a dart's and moves too `far` (mm) to lie symmetrically."""
    if boundary.kind in ("dart", "slash") and far > DART_MOVED:
        raise UnwrapError(
            f"to make the piece '{panel.name}' symmetrical its {boundary.kind} '{boundary.name}' would have "
            f"to move by {far:.0f} mm; put it on the centre line or add its mirror image on the other half"
        )
