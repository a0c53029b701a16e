"""Where seams and darts run round the limb, and on which side of them a quarter lies."""

from __future__ import annotations

import numpy as np

from flatten.limb.kind import Quarter, quarter_bearing

BESIDE = 0.1
"""Sine of the least angle between a seam and the quarter that leather beside it is named by: about 6°."""


def bearing_of(along: Quarter | float | tuple[tuple[float, float], ...]) -> float:
    """Degrees from the front of a quarter's name, of a bearing, or of a line's lowest point."""
    if isinstance(along, tuple):
        return min(along, key=lambda point: point[1])[0]
    return float(np.degrees(quarter_bearing(along))) if isinstance(along, str) else along


def aside(quarter: Quarter, bearing: float) -> float:
    """Sine of the way from a bearing (rad) to a quarter's middle: above 0 the quarter lies after it, below 0 before."""
    return float(np.sin(quarter_bearing(quarter) - bearing))
