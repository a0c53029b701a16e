"""Analytic limbs for tests: limb surfaces given by a formula for the radius."""

import numpy as np

from flatten.limb.surface.model import LimbSurface
from flatten.worn.neutral import through_radii


def straight_line(low, high):
    """A bare cylinder that only lends its straight centre line and height range."""
    knots = np.r_[[low] * 3, np.linspace(low, high, 10), [high] * 3]
    return LimbSurface(knots, np.full((12, 30), 50.0), np.zeros((12, 2)), (low, high), 0.0, 0.0, 0.0, ())


def limb_of(radius, *, low=-20.0, high=400.0, nodes=85, around=60):
    """The limb surface whose radius is radius(height, bearing)."""
    heights = np.linspace(low, high, nodes)
    bearings = 2 * np.pi * np.arange(around) / around
    grid = np.meshgrid(heights, bearings, indexing="ij")
    return through_radii(heights, radius(*grid), straight_line(low, high))


def cylinder(radius=60.0, **size):
    return limb_of(lambda h, b: radius + 0.0 * h, **size)


def cone(bottom=40.0, slope=0.1, **size):
    return limb_of(lambda h, b: bottom + slope * h + 0.0 * b, **size)


def calf(h, b):
    """Radius of an invented lower leg: ankle, calf behind, knee; mm."""
    girth = 220 + 165 * np.exp(-(((h - 240) / 95.0) ** 2)) + 40 / (1 + np.exp(-(h - 330) / 25))
    girth = girth + 25 * np.exp(-(((h + 30) / 35.0) ** 2))
    bulge = 9 * np.exp(-(((h - 235) / 85.0) ** 2))
    return girth / (2 * np.pi) - bulge * np.cos(b) + 2.5 * np.cos(2 * b) + np.cos(3 * b)
