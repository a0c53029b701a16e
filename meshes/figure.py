"""A whole invented watchman, standing: two legs and two arms that are limbs with a formula, on a trunk with a head.

Figure coordinates are mm: front, the figure's left, up from the floor. Up to 150 mm below the groin and 60 mm below the
armpit a limb is its own tube exactly, so that its girths are in closed form. From there up it is rounded into the trunk
and the other leg: by 0.5 mm where it is 50 mm below the groin, by 3 mm at it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from bodies import LEFT_FOREARM, LEFT_SHIN
from parametric import Ball, Blend, Body, Bump, Floats, Ints, Rod, field, soft_least, solid_field, triangulated

LEFT_LEG = Body(
    name="watchman_left_leg",
    kind="thigh",
    side="left",
    outline=(
        *LEFT_SHIN.outline[:8],
        (428, 54.5, -58, 55, -54.5),
        (478, 57, -50.5, 52.5, -52.5),
        (508, 60, -53, 56, -57),
        (536, 63.5, -60, 59.5, -61.5),
        (570, 68, -67, 62, -66),
        (630, 76, -76, 68, -72),
        (700, 83, -83, 74, -78),
        (770, 88, -90, 79, -82),
        (830, 91, -95, 82, -84),
        (890, 91, -99, 84, -85),
        (920, 84, -92, 79, -80),
        (950, 62, -70, 60, -60),
    ),
    bumps=(
        *LEFT_SHIN.bumps,
        Bump(3.0, 690, 10, 70, 26),
        Bump(2.5, 720, 190, 70, 24),
        Bump(-2.0, 700, 95, 90, 16),
    ),
    extremity=LEFT_SHIN.extremity,
    blend=LEFT_SHIN.blend,
    tube=(24.0, 950.0),
    top=950.0,
    floor=True,
    marks={**LEFT_SHIN.marks, "kneecap": LEFT_SHIN.marks["kneecap top"], "groin": 833.0},
    search={**LEFT_SHIN.search, "below the knee": (430.0, 490.0)},
)
"""Like the demo's shin, but narrowest 20 mm below the middle of its kneecap, as knees are, and not 70 mm. Height 0 of
the thigh, the kneecap's top, is the mark "kneecap". From the "groin" up a section across it runs into the other leg or
the trunk (on a walk outwards from its middle the field stays below 0)."""


def _hand(blend: Blend) -> Blend:
    """The forearm's hand in the upper arm's coordinates, whose front is the palm's side."""

    def turned(solid: Ball | Rod | Blend) -> Ball | Rod | Blend:
        if isinstance(solid, Blend):
            return Blend(solid.width, tuple(turned(part) for part in solid.solids))
        if isinstance(solid, Ball):
            return Ball((-solid.middle[0], *solid.middle[1:]), solid.axes)
        start, end = (-solid.start[0], *solid.start[1:]), (-solid.end[0], *solid.end[1:])
        return Rod(start, solid.start_radius, end, solid.end_radius)

    return Blend(blend.width, tuple(turned(solid) for solid in blend.solids))


LEFT_ARM = Body(
    name="watchman_left_arm",
    kind="upper arm",
    side="left",
    outline=(
        *((h, -back, -front, out, inner) for h, front, back, out, inner in LEFT_FOREARM.outline if h <= 225),
        (262, 38, -42, 43, -43),
        (300, 41, -43, 42, -42),
        (350, 48, -46, 43, -45),
        (400, 54, -49, 46, -48),
        (450, 54, -52, 50, -50),
        (500, 54, -55, 55, -52),
        (545, 54, -55, 55, -53),
        (570, 46, -47, 46, -45),
        (590, 28, -29, 26, -26),
    ),
    bumps=(
        *(
            Bump(b.rise, b.height, 180 - b.bearing_deg, b.tall, b.wide_deg)
            for b in LEFT_FOREARM.bumps
            if b.height < 250
        ),
        Bump(4.0, 268, 180, 15, 22),
        Bump(-5.0, 266, 0, 16, 34),
        Bump(4.5, 255, -85, 14, 20),
        Bump(3.0, 400, 0, 50, 30),
        Bump(3.0, 430, 195, 60, 28),
        Bump(-2.0, 410, 95, 60, 16),
    ),
    extremity=_hand(LEFT_FOREARM.extremity),
    blend=LEFT_FOREARM.blend,
    tube=(-36.0, 590.0),
    top=590.0,
    floor=False,
    marks={"elbow": 266.0, "armpit": 447.0},
    search={"wrist": (2.0, 60.0), "least at the elbow": (245.0, 310.0)},
)
"""Height 0 of the upper arm, the elbow's crease, is the mark "elbow"; from the "armpit" up it runs into the trunk."""

TRUNK = Blend(
    70.0,
    (
        Ball((-6.0, 0.0, 950.0), (106.0, 170.0, 105.0)),
        Ball((0.0, 0.0, 1090.0), (96.0, 138.0, 160.0)),
        Ball((-4.0, 0.0, 1290.0), (108.0, 162.0, 170.0)),
        Rod((-8.0, 130.0, 1402.0), 54.0, (-8.0, -130.0, 1402.0), 54.0),
        Rod((-10.0, 0.0, 1440.0), 66.0, (4.0, 0.0, 1560.0), 56.0),
        Ball((14.0, 0.0, 1655.0), (98.0, 76.0, 118.0)),
    ),
)

GROIN, ARMPIT = 45.0, 40.0
"""mm over which a leg and an arm flow into the trunk."""

MARGIN = 60.0
"""mm round a limb's box beyond which its distance does not matter to the figure's skin: more than it flows over."""


@dataclass(frozen=True, eq=False)
class Place:
    """Where a limb is on the figure: its body, and the rows of front, lateral and axis; `origin` is its height 0."""

    body: Body
    side: str
    rows: Floats
    origin: Floats

    def to_limb(self, points: Floats) -> Floats:
        """Limb coordinates (N,3) of figure points (N,3)."""
        return (points - self.origin) @ self.rows.T

    def to_figure(self, points: Floats) -> Floats:
        """Figure coordinates (N,3) of limb points (N,3)."""
        return points @ self.rows + self.origin


def _place(body: Body, side: str, *, at: tuple[float, float, float], up: float, out: float) -> Place:
    """A limb whose height `up` is at a place of the figure's left side, its lower end leaning outwards by `out` deg."""
    mirror = 1.0 if side == "left" else -1.0
    lean = np.radians(out)
    axis = np.array([0.0, -mirror * np.sin(lean), np.cos(lean)])
    lateral = np.array([0.0, mirror * np.cos(lean), np.sin(lean)])
    joint = np.array([at[0], mirror * at[1], at[2]])
    return Place(body, side, np.stack([np.array([1.0, 0.0, 0.0]), lateral, axis]), joint - up * axis)


LEGS = tuple(_place(LEFT_LEG, side, at=(0.0, 92.0, 900.0), up=900.0, out=2.0) for side in ("left", "right"))
ARMS = tuple(_place(LEFT_ARM, side, at=(-8.0, 168.0, 1425.0), up=575.0, out=24.0) for side in ("left", "right"))
PLACES = {f"{place.side} {place.body.kind}": place for place in (*LEGS, *ARMS)}


def figure_field(points: Floats) -> Floats:
    """Signed distance (N,) mm, nearly, of points (N,3) from the figure; 0 on the skin."""
    result = solid_field(points, TRUNK)
    for places, width, reach in ((LEGS, GROIN, (230.0, 120.0)), (ARMS, ARMPIT, (100.0, 100.0))):
        for place in places:
            own = place.to_limb(points)
            near = (np.abs(own[:, :2]) < np.array(reach) + MARGIN).all(axis=1) & (own[:, 2] < place.body.top + MARGIN)
            away = np.full(len(points), 2 * MARGIN)
            away[near] = field(place.body, own[near])
            result = soft_least(result, away, width)
    return result


def figure(*, edge: float) -> tuple[Floats, Ints]:
    """Vertices (V,3) mm of the whole figure and faces (F,3), outward, open under the soles."""
    low, high = np.array([-150.0, -560.0, -2.6 * edge]), np.array([250.0, 560.0, 1810.0])
    vertices, faces = triangulated(figure_field, low, high, edge=edge)
    return vertices, faces[(vertices[faces, 2] > 0.5).any(axis=1)]
