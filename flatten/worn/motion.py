"""Bending in a piece: the limb's next part turned about the joint, and the angle at which it meets an edge."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.limb.anatomy.landmarks import section_centres
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats, frozen
from flatten.worn.curves import Edge
from flatten.worn.far import Far, far_of

STEP = np.radians(1.0)
"""rad. Step of the turn in which a touch is looked for, before it is refined."""

_REFINEMENTS = 40
_AROUND = 360


@dataclass(frozen=True)
class Motion:
    """A movement of a joint: the part beyond it turns towards `bearing` (rad) by up to `reach` rad.

    `edge` is the edge beside the joint ("top" or "bottom"), `joint` the height of the axis, which is level and square
    to the bearing. Of a `far` one the part that turns is the foot or the hand, which no trusted surface reaches.
    """

    name: str
    edge: str
    joint: float
    bearing: float
    reach: float
    far: bool = False


@dataclass(frozen=True, eq=False)
class Touch:
    """What a motion does: `angle` (rad) at which the moving part first meets the edge, None where it never does.

    `bearing` is where on the edge. `angles` (n,) are those for all `bearings` (n,), inf where never.
    """

    motion: Motion
    angle: float | None
    bearing: float
    bearings: Floats
    angles: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "bearings", frozen(self.bearings))
        object.__setattr__(self, "angles", frozen(self.angles))


def motions_of(limb: Limb, *, top: float | None = None) -> tuple[Motion, ...]:
    """The bends of the joints beside a limb that the scan shows.

    `top` is the height up to which the limb can be followed: a thigh's hip and an upper arm's shoulder are placed by
    it, and left out without it.
    """
    marks = {mark.name: mark.height for mark in limb.landmarks}
    found = []
    for motion in limb.kind.motions:
        base = top if motion.landmark is None else marks.get(motion.landmark)
        if base is not None:
            reach = float(np.radians(motion.degrees))
            found.append(Motion(motion.name, motion.edge, base + motion.offset, motion.bearing, reach, motion.far))
    return tuple(found)


def touch_of(
    skin: LimbSurface, worn: LimbSurface, *, edge: Edge, motion: Motion, points: Floats | None = None
) -> Touch:
    """When the skin of the moving part meets the edge of the leather, whose middle lies on `worn`.

    The moving part is the foot or hand as the scan's `points` (N,3), limb coordinates mm, show it beyond the joint (see
    `Far`). Where they show none, and without points, it is the skin beyond the joint, carried straight on (with the
    slope and the centre line that it has there) beyond the heights that the scan is trusted in. It turns about the
    level line through the section's centre at the joint, square to the motion's bearing; flesh is taken as firm, so a
    real limb bends further. Turning it by an angle towards the edge or the edge by the same angle towards it comes to
    the same, so the edge's points are turned back and looked for inside the resting part.
    """
    bearings = np.linspace(0.0, 2 * np.pi, _AROUND, endpoint=False)
    rim = worn.points(edge.height(bearings), bearings)
    low, high = skin.trusted
    at = float(np.clip(motion.joint, low, high))
    pivot = np.append(section_centres(skin, np.array([at]))[0], motion.joint)
    beyond = 1.0 if motion.edge == "top" else -1.0
    far = None if points is None else far_of(*_about(points, pivot, motion, beyond))

    def inside(angle: Floats) -> np.ndarray:
        found = _inside(skin, rim, pivot, motion, beyond, angle, carried=far is None)
        return found if far is None else found | _in_far(far, rim, pivot, motion, beyond, angle)

    steps = np.arange(1, int(np.ceil(motion.reach / STEP)) + 1) * STEP
    met_at = np.array([inside(np.full(_AROUND, step)) for step in steps])
    met = met_at.any(axis=0)
    first = np.argmax(met_at, axis=0)
    over = steps[first]
    under = over - STEP
    for _ in range(_REFINEMENTS):
        middle = 0.5 * (under + over)
        found = inside(middle)
        under, over = np.where(found, under, middle), np.where(found, middle, over)
    angles = np.where(met & (over <= motion.reach), over, np.inf)
    soonest = int(np.argmin(angles))
    angle = float(angles[soonest])
    return Touch(motion, angle if np.isfinite(angle) else None, float(bearings[soonest]), bearings, angles)


def _about(points: Floats, pivot: Floats, motion: Motion, beyond: float) -> tuple[Floats, Floats, Floats]:
    """Points (N,3) as mm ahead, aside and beyond (N,) of a joint's axis."""
    arm = points - pivot
    cos, sin = np.cos(motion.bearing), np.sin(motion.bearing)
    return arm[:, 0] * cos + arm[:, 1] * sin, arm[:, 1] * cos - arm[:, 0] * sin, beyond * arm[:, 2]


def _in_far(far: Far, rim: Floats, pivot: Floats, motion: Motion, beyond: float, angle: Floats) -> np.ndarray:
    """Whether the rim's points (n,3), turned back by angles (n,), lie inside a foot or hand."""
    ahead, aside, over = _about(rim, pivot, motion, beyond)
    return np.asarray(np.hypot(ahead, over) < far.distance(aside, np.arctan2(-over, ahead) - angle))


def _inside(
    skin: LimbSurface, rim: Floats, pivot: Floats, motion: Motion, beyond: float, angle: Floats, *, carried: bool
) -> np.ndarray:
    """Whether the rim's points (n,3), turned back by angles (n,), lie inside the moving skin at rest.

    Beyond the trusted heights it is `carried` straight on, or ends.
    """
    arm = rim - pivot
    cos, sin = np.cos(motion.bearing), np.sin(motion.bearing)
    ahead, aside, _ = _about(rim, pivot, motion, beyond)
    # The part beyond the joint leans ahead by the angle; the rim is turned by as much the other way.
    back = ahead * np.cos(angle) - beyond * arm[:, 2] * np.sin(angle)
    up = arm[:, 2] * np.cos(angle) + beyond * ahead * np.sin(angle)
    x = pivot[0] + back * cos - aside * sin
    y = pivot[1] + back * sin + aside * cos
    height = pivot[2] + up
    trusted = np.clip(height, *skin.trusted)
    more = height - trusted
    centre = skin.centre_line(trusted) + skin.centre_line(trusted, nu=1) * more[:, None]
    x, y = x - centre[:, 0], y - centre[:, 1]
    bearing = np.arctan2(y, x)
    radius = skin.radius(trusted, bearing) + skin.radius(trusted, bearing, nu=(1, 0)) * more
    return np.asarray((beyond * up > 0.0) & (np.hypot(x, y) < radius) & (carried | (more == 0.0)))
