"""Tubes along a line that bends in a plane, with a formula for line and radius, as even point sets."""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats

GOLDEN = (np.sqrt(5) - 1) / 2
Radius = Callable[[Floats, Floats], Floats]


def bump(at: Floats, middle: float, width: float) -> Floats:
    """A bell of height 1."""
    return np.exp(-0.5 * ((at - middle) / width) ** 2)


@dataclass(frozen=True)
class Tube:
    """r(along, bearing) about a line from the origin up the z axis; it turns by `bend` towards +x about `at`.

    The turn is spread over about `over` mm to each side (a logistic curve). Bearing 0 is +x, and 90° is +y.
    """

    radius: Radius
    length: float = 450.0
    bend: float = 0.0
    at: float = 300.0
    over: float = 20.0
    closed: bool = True

    def line(self, along: Floats) -> tuple[Floats, Floats]:
        """Places (N,3) of the line and units (N,3) square to it, of bearing 0."""
        fine = np.linspace(-50.0, self.length + 50.0, 10_001)
        turn = self.bend / (1 + np.exp(-(fine - self.at) / (self.over / 2)))
        step = fine[1] - fine[0]
        x, z = (np.cumsum(way) * step for way in (np.sin(turn), np.cos(turn)))
        x, z = x - np.interp(0.0, fine, x), z - np.interp(0.0, fine, z)
        theta = np.interp(along, fine, turn)
        zero = np.zeros_like(along)
        places = np.column_stack([np.interp(along, fine, x), zero, np.interp(along, fine, z)])
        return places, np.column_stack([np.cos(theta), zero, -np.sin(theta)])

    def skin(self, along: Floats, bearings: Floats) -> Floats:
        """Points (N,3) of the skin."""
        places, front = self.line(along)
        aside = np.broadcast_to([0.0, 1.0, 0.0], front.shape)
        radius = self.radius(along, bearings)[:, None]
        return places + radius * (np.cos(bearings)[:, None] * front + np.sin(bearings)[:, None] * aside)

    def points(self, count: int = 20_000) -> Floats:
        """About `count` points (N,3), even over the skin; a closed end is a half ball."""
        fine = np.linspace(0.0, self.length, 2001)
        girths = np.cumsum(self.radius(fine, np.zeros_like(fine)))
        index = np.arange(count)
        along = np.interp((index + 0.5) / count, girths / girths[-1], fine)
        skin = self.skin(along, 2 * np.pi * np.mod(index * GOLDEN, 1.0))
        if not self.closed:
            return skin
        tip = float(self.radius(np.zeros(1), np.zeros(1))[0])
        index = np.arange(int(count * tip**2 / (girths[-1] * (fine[1] - fine[0]))))
        down, bearings = (index + 0.5) / len(index), 2 * np.pi * np.mod(index * GOLDEN, 1.0)
        out = np.sqrt(1 - down**2)
        return np.concatenate([skin, tip * np.column_stack([out * np.cos(bearings), out * np.sin(bearings), -down])])


def turned(points: Floats, seed: int) -> Floats:
    """The points turned by some rotation and moved."""
    draw = np.random.default_rng(seed)
    turn = np.linalg.qr(draw.normal(size=(3, 3)))[0]
    turn[0] *= np.linalg.det(turn)
    return points @ turn.T + draw.normal(scale=200.0, size=3)
