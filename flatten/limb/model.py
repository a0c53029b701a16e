"""The limb's frame and landmarks: what stands between scan coordinates and limb coordinates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.errors import CalfskinError
from flatten.findings import Finding, Message
from flatten.limb.kind import LimbKind
from flatten.mesh.surface import Floats, frozen


class LimbError(CalfskinError, ValueError):
    """The limb cannot be found or followed in the scan."""


@dataclass(frozen=True, eq=False)
class SeenLimb:
    """One of several limbs of a scan: what to call it, a `place` (3,) mm on it, and its `points` (N,3) mm."""

    name: Message
    place: Floats
    points: Floats


class SeveralLimbsError(LimbError):
    """The scan shows several limbs, and nobody picked one, or the pick lies on none of them.

    `seen` says that alone: without what they are called, and without what is to be done. `limbs` are they; `view` (2,3)
    are the unit vectors across and up in which who faces the person sees them.
    """

    def __init__(self, seen: str, *, way: str, limbs: tuple[SeenLimb, ...], view: Floats) -> None:
        """`way` says what is to be done about what is `seen`."""
        super().__init__(f"{seen}; {way}")
        self.seen, self.limbs, self.view = seen, limbs, view


class FrontError(LimbError):
    """The scan does not show where the front is, and nobody said; `asked` is that alone, without ways to say it."""

    def __init__(self, asked: str, *, ways: str = "") -> None:
        """`ways` goes on from what is `asked` with how it can be said."""
        super().__init__(asked + ways)
        self.asked = asked


class KindError(FrontError):
    """The scan shows another limb's foot or hand than that of the limb that was named, and nobody said the front; or
    nobody named the limb, it shows neither, and is not the usual one."""


@dataclass(frozen=True)
class FrontDirection:
    """The front as a direction (x, y, z) in the scan's own axes, of any length.

    For a forearm the front is the back-of-hand side.
    """

    direction: tuple[float, float, float]


@dataclass(frozen=True)
class FrontPoint:
    """The front as a place (x, y, z) mm on the scan, in the scan's own axes, such as a point on the shin."""

    place: tuple[float, float, float]


Front = FrontDirection | FrontPoint


@dataclass(frozen=True)
class JointHeight:
    """Where a lower leg's knee or a forearm's elbow is, as a tape tells it: so many mm above height 0."""

    above: float


@dataclass(frozen=True)
class JointPoint:
    """Where a joint is, as a place (x, y, z) mm on the scan, in the scan's own axes: on the kneecap, on the elbow."""

    place: tuple[float, float, float]


GivenJoint = JointHeight | JointPoint


@dataclass(frozen=True, eq=False)
class Frame:
    """Scan coordinates to limb coordinates: `origin` (3,) mm, and `axes` (3,3), orthonormal rows.

    The rows are front, lateral (the bearing's direction of growth) and axis (towards the body); so the
    rows are left-handed for one side of the body, and left and right limbs get the same numbers. A left leg or
    upper arm is right-handed: facing north, front is north, outside is west, the axis is up, and north × west = up.
    A right forearm is right-handed: palm down and fingers pointing north, the back of the hand (front) is up, the
    thumb (lateral) west, the elbow (axis) south, and up × west = south.
    Limb coordinates are (front, lateral, height) mm; bearing = atan2(lateral, front) about the centre.
    """

    origin: Floats
    axes: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "origin", frozen(self.origin))
        object.__setattr__(self, "axes", frozen(self.axes))

    @property
    def mirrored(self) -> bool:
        """True where limb coordinates are the mirror image of scan coordinates."""
        return bool(np.linalg.det(self.axes) < 0)

    def to_limb(self, points: Floats) -> Floats:
        """Limb coordinates (N,3) of scan points (N,3)."""
        return (points - self.origin) @ self.axes.T

    def to_scan(self, points: Floats) -> Floats:
        """Scan coordinates (N,3) of limb points (N,3)."""
        return points @ self.axes + self.origin


@dataclass(frozen=True)
class Landmark:
    """A named height on the limb, mm along the axis: "ankle", "widest", "knee", "wrist", "elbow".

    `sigma` mm is the standard deviation of the body's own place from it, 0 where the place is a girth's by definition.
    """

    name: str
    height: float
    sigma: float = 0.0


@dataclass(frozen=True, eq=False)
class Limb:
    """A limb found in a scan; `front_from` is "foot", "hand" or "given".

    `findings` are what does not agree or is not sure, such as a foot that looks like the other side's. `cloth_edges`
    are the heights, mm, of the edges of cloth that were found, of which findings tell. `bone` is that below height 0,
    where the scan tells its place.
    """

    kind: LimbKind
    side: str
    frame: Frame
    landmarks: tuple[Landmark, ...]
    front_from: str
    findings: tuple[Finding, ...] = ()
    cloth_edges: tuple[float, ...] = ()
    bone: Landmark | None = None

    @property
    def asked(self) -> Finding | None:
        """That the joint has to be asked for, as its place is not sure; None where it is known well enough."""
        return next((each for each in self.findings if each.code == "limb.joint unsure"), None)

    def height_of(self, name: str) -> float:
        """Height of the landmark `name`, mm. Raises LimbError where this limb has none of that name."""
        for mark in self.landmarks:
            if mark.name == name:
                return mark.height
        known = ", ".join(mark.name for mark in self.landmarks)
        raise LimbError(f"this {self.kind} has no landmark '{name}'; it has {known}")
