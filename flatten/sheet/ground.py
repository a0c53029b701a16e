"""What pieces are laid on: a hide with its backbone, flaws and stretchy belly, or a bed; its outline and what of it is
used."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely

from flatten.errors import CalfskinError
from flatten.mesh.surface import Floats, frozen

LIKE = 50.0
"""mm. Two places of a hide are of like leather where their distances from the backbone differ by no more: a hide's
thickness and give change over hands, not fingers. From memory."""


STEP = math.radians(5.0)
"""rad. Turns that are tried are no further apart: an edge 400 mm long comes within 9 mm of its best way."""


class HideError(CalfskinError, ValueError):
    """A hide's outline cannot be read, or pieces cannot be laid on it."""


@dataclass(frozen=True, eq=False)
class Ground:
    """A leather or a bed that pieces are laid on, in its own frame, mm.

    `outline` (n,2) is its closed edge, counter-clockwise, its last point not its first. On a "hide" y = 0 is the
    backbone and x grows along it from the tail; on a "bed" the corner at the origin is its lower left one. Nothing lies
    nearer to the edge than `margin`, nor to a flaw or another piece than `space`. `flaws` are closed lines (n,2) that
    nothing lies over, `soft` those of stretchy leather, on which lies what `belly` tells: "none", "small pieces" or
    "all". Grain lies along x, or with `upright` along y, within `turn` rad, with `both_ways` either end ahead. Leather
    of `thickness` mm.
    """

    kind: Literal["hide", "bed"]
    name: str
    thickness: float
    outline: Floats
    margin: float
    space: float
    flaws: tuple[Floats, ...] = ()
    soft: tuple[Floats, ...] = ()
    belly: str = "none"
    turn: float = 0.0
    both_ways: bool = True
    upright: bool = False

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "outline", frozen(self.outline))
        object.__setattr__(self, "flaws", tuple(frozen(flaw) for flaw in self.flaws))
        object.__setattr__(self, "soft", tuple(frozen(belly) for belly in self.soft))

    @property
    def area(self) -> float:
        """Area inside its edge, mm², flaws and belly with it: they are bought too."""
        return float(shapely.Polygon(self.outline).area)

    @property
    def size(self) -> tuple[float, float]:
        """Its greatest extent along the backbone (a bed's width) and across it (its height), mm."""
        along, across = np.ptp(self.outline, axis=0)
        return float(along), float(across)

    @property
    def two_sided(self) -> bool:
        """Whether it reaches LIKE mm and more to both sides of its backbone, so that mirrored places can be had."""
        across = self.outline[:, 1]
        return self.kind == "hide" and bool(across.min() < -LIKE and across.max() > LIKE)

    def turns(self, grain: float) -> tuple[float, ...]:
        """The turns (rad) by which a piece whose grain has the angle `grain` may be laid, steps of STEP apart."""
        straight = (0.5 * np.pi if self.upright else 0.0) - grain
        steps = math.ceil(self.turn / STEP - 1e-9)
        aside = self.turn * np.arange(-steps, steps + 1) / max(steps, 1)
        # Straight first: of places that reach equally far the first is taken.
        aside = aside[np.argsort(np.abs(aside), kind="stable")]
        turned = [straight + angle + half for half in ((0.0, np.pi) if self.both_ways else (0.0,)) for angle in aside]
        return tuple(math.remainder(float(angle), 2.0 * np.pi) for angle in turned)

    def usable(self, *, soft: bool) -> shapely.Geometry:
        """Where a piece may lie: inside the margin, off flaws, and off stretchy leather unless it may be `soft`."""
        inner = shapely.buffer(shapely.Polygon(self.outline), -self.margin, join_style="mitre")
        away = [shapely.buffer(shapely.Polygon(flaw), self.space) for flaw in self.flaws]
        away += [] if soft else [shapely.Polygon(belly) for belly in self.soft]
        return shapely.difference(inner, shapely.union_all(away)) if away else inner


def bed_outline(width: float, height: float) -> Floats:
    """The outline (4,2) of a bed of `width` by `height` mm, its lower left corner at the origin."""
    return np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
