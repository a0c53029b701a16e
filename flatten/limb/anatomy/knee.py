"""The knee of a lower leg's scan, at the kneecap's middle: by proportions, girth, bend and the hollow behind it."""

from __future__ import annotations

import numpy as np

from flatten.limb.anatomy.bends import Peak, hinges, hollows, median_radius, turns
from flatten.limb.anatomy.joint import Hint, Joint, Sign, joined, proportion
from flatten.limb.anatomy.midline import Midline
from flatten.limb.anatomy.narrow import Extreme, dips, widest_between
from flatten.limb.anatomy.signs import by_dips, by_peaks, weight
from flatten.mesh.surface import Floats

CALF_RADII = (3.0, 9.0)
"""Ankle radii above the ankle's least girth between which the calf is widest: 6 to 8.5 on 80 posed bodies."""

BY_ANKLE = 5.2
"""Ankle radii of the kneecap's height above the ankle's least girth, beside BY_CALF: least squares over posed bodies
give 4.8 and 0.87 (48 of them), 5.5 and 0.74 (32 others). Adults' means of ANSUR II fit within 10 mm, if the least
girth lies 130 mm above the floor (memory)."""

BY_CALF = 0.8
"""Part of the height of the calf's widest place that comes to that."""

PROPORTION_SIGMA = 18.0
"""mm, standard deviation of the two together: 15 on the bodies that they were told from."""

SMALL = (26.0, 10.0)
"""mm. Ankle radii below the first are children's, whose legs are shorter for their ankles: sigma grows by once itself
for each of the second."""

KNEE_RADII = (7.0, 16.0)
"""Ankle radii above the ankle between which the knee is: 9.4 to 12.9 on posed bodies, 9.9 by the means of ANSUR II."""

ABOVE_LEAST = 0.5
"""Knee radii from the least girth above the calf up to the kneecap's middle."""

LEAST_SIGMA = 0.38
"""Knee radii, standard deviation of that: 0.3, and a quarter more as the kink of girth tells nearly the same."""

HINGE_HALF = 0.9
"""Knee radii of each of the two straight lines that girth's kink is told by."""

ABOVE_HINGE = 0.52
"""Knee radii from where girth begins to grow again up to the kneecap's middle."""

HINGE_SIGMA = 0.38
"""Knee radii, standard deviation of that, by a quarter more than it is."""

HINGE_SURE = 0.1
"""Change of slope per radius at which a kink counts as much as nothing."""

STRAIGHT = np.radians(22.0)
"""Turn from which the line's turn is centred on the kneecap's middle."""

TURN_DRIFT = 1.3 / np.radians(1.0)
"""mm per radian by which it lies above the kneecap at lesser turns: the thigh's own course is then most of it."""

TURN_BLUR = np.radians(220.0)
"""mm · radians. Sigma of that centre times the turn: 18 mm at 12°."""

TURN_SIGMA = 9.0
"""mm, its least sigma."""

TURN_SIZE = np.radians(8.0)
"""radians of turn that count as much as nothing; weight grows by the third power."""

HOLLOW = 0.16
"""Knee radii from the deepest of the hollow behind the knee up to the kneecap's middle."""

HOLLOW_SIGMA = 0.4
"""Knee radii, standard deviation of that: 0.25 to 0.5."""

HOLLOW_SIZE = 0.3
"""Curvature times radius of a hollow that counts as much as nothing: knees have 0.2 to 0.7."""

REACH = 3.5
"""Sigmas of proportions to either side over which girth is asked: a slender leg swells at the knee alone, and then dips
far above it. A clear turn of the line may outdo proportions anywhere."""

LID = 1.5
"""Median radii below a closed upper end above which an app's lid bends line and outline."""

LEAST_JOINT_SIGMA = 12.0
"""mm, the floor of sigma."""

UNSEEN = 32.0
"""mm. Sigma of a knee that the scan ends below, by proportions alone: it is to be asked for."""


def knee_of_leg(line: Midline, ankle: Extreme, front: Floats) -> Joint:
    """The kneecap's middle along the line of a scan of a lower leg with its ankle.

    `front` (3,) is where the toes point. Signs are the ankle's girth and the calf's height, the least girth above the
    calf and where girth begins to grow again, the turn of the line away from the front, and the hollow behind the knee.
    """
    radius = ankle.girth / (2 * np.pi)
    calf = widest_between(line, *(ankle.along + part * radius for part in CALF_RADII)).along
    guess = ankle.along + BY_ANKLE * radius + BY_CALF * (calf - ankle.along)
    sigma = PROPORTION_SIGMA * (1 + max(0.0, SMALL[0] - radius) / SMALL[1])
    low, high = (ankle.along + part * radius for part in KNEE_RADII)
    signs = (
        proportion(guess, sigma),
        *_shape(
            line,
            across(line, front, guess),
            low=max(low, calf + radius),
            high=min(high, line.trusted[1]),
            girths=(guess - REACH * sigma, guess + REACH * sigma),
        ),
    )
    found = joined(signs, low=low, high=high, least=LEAST_JOINT_SIGMA)
    if found.along > line.trusted[1]:
        return Joint(found.along, max(found.sigma, UNSEEN), found.others)
    return found


def across(line: Midline, front: Floats, along: float) -> Floats:
    """The unit vector (3,) of a front square to the line's course, over a trusted radius to both sides of a place."""
    about = min(max(along, line.trusted[0]), line.trusted[1])
    axis = line.direction(about - 2 * line.radius(about), about + 2 * line.radius(about))
    square = front - (front @ axis) * axis
    return np.asarray(square / np.linalg.norm(square))


def _shape(line: Midline, front: Floats, *, low: float, high: float, girths: tuple[float, float]) -> tuple[Sign, ...]:
    """What girth, turn and outline say of the kneecap's middle; `front` (3,) is square to the line.

    Between `low` and `high` all are asked, girth only where it puts the kneecap between its two own places.
    """
    radius = line.radius((low + high) / 2)
    thin, thick = (min(max(place - ABOVE_LEAST * radius, low), high) for place in girths)
    clear = high if line.opened[1] else min(high, float(line.along[-1]) - LID * median_radius(line))
    return (
        by_dips(dips(line, thin, thick), above=ABOVE_LEAST * radius, sigma=LEAST_SIGMA * radius),
        by_peaks(
            hinges(line, low=thin, high=thick, half=HINGE_HALF * radius),
            above=ABOVE_HINGE * radius,
            sigma=HINGE_SIGMA * radius,
            size=HINGE_SURE,
        ),
        Sign(tuple(_by_turn(turn) for turn in turns(line, low=low, high=clear, towards=-front)), 1.0),
        by_peaks(
            hollows(line, -front, low=low, high=clear),
            above=HOLLOW * radius,
            sigma=HOLLOW_SIGMA * radius,
            size=HOLLOW_SIZE,
        ),
    )


def _by_turn(turn: Peak) -> Hint:
    drift = TURN_DRIFT * max(0.0, STRAIGHT - turn.size)
    return Hint(turn.at - drift, max(TURN_SIGMA, TURN_BLUR / turn.size), weight(turn, TURN_SIZE, 3.0))
