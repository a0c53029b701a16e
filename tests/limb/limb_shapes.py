"""Limbs with a formula, as even point sets: r(h, b) about a centre c(h)."""

from collections.abc import Callable

import numpy as np

from flatten.mesh.surface import Floats

GOLDEN = (np.sqrt(5) - 1) / 2
Shape = Callable[[Floats, Floats], Floats]


def points_of(radius: Shape, *, length: float = 300.0, count: int = 20_000, centre: Callable | None = None) -> Floats:
    """Points (count, 3) on the limb, evenly spread over height and bearing, heights 0 to `length`."""
    index = np.arange(count)
    heights = (index + 0.5) / count * length
    bearings = 2 * np.pi * np.mod(index * GOLDEN, 1.0)
    return placed(radius, heights, bearings, centre=centre)


def placed(radius: Shape, heights: Floats, bearings: Floats, *, centre: Callable | None = None) -> Floats:
    r = radius(heights, bearings)
    middle = np.zeros((len(heights), 2)) if centre is None else centre(heights)
    return np.column_stack([middle + np.column_stack([r * np.cos(bearings), r * np.sin(bearings)]), heights])


def cylinder(heights: Floats, bearings: Floats) -> Floats:
    return np.full_like(heights, 50.0)


def cone(heights: Floats, bearings: Floats) -> Floats:
    return 30.0 + 0.1 * heights


def calf(heights: Floats, bearings: Floats) -> Floats:
    """A calf-like bulge with the second and third harmonics of a limb's section."""
    bulge = 15 * np.sin(heights / 300 * np.pi * 1.3)
    return 45 + bulge + 3 * np.cos(2 * bearings) + 1.5 * np.cos(3 * bearings + heights / 80)


def arc(heights: Floats) -> Floats:
    """A centre line bent with a radius of about 500 mm, and a slighter bend aside."""
    return np.column_stack([heights**2 / 1000, 4 * np.sin(heights / 100)])
