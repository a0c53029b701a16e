"""The knee of a thigh's scan, at the kneecap's top: by the bend, the girth, and the hollows before and behind."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from flatten.limb.anatomy.bends import Peak, hinges, hollows, median_radius, turns
from flatten.limb.anatomy.joint import Hint, Joint, Sign, joined
from flatten.limb.anatomy.knee import across, knee_of_leg
from flatten.limb.anatomy.midline import Midline
from flatten.limb.anatomy.narrow import FOOT_RADII, ankle_of, dips, widest_between
from flatten.limb.anatomy.signs import by_dips, by_peaks, by_thinness, weight
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats

TOP = 0.43
"""Knee radii from the kneecap's middle to its top: 22 mm on a knee of 320 mm, from memory."""

FROM_END = 1.5
"""Median radii below the end of the trusted line above which no knee is looked for: trunk and rim bend it there."""

CALF = 1.2
"""Ratio of the greatest girth above a dip to the dip's from which, where girth dips once more above it, the dip is an
ankle: knees have dips of at most 1.15 below the calf."""

SHIN = 6.5
"""Radii of an ankle from its dip up to the knee's at the least: 8 to 12 on the bodies at hand."""

LID = 1.3
"""Median radii above a closed lower end within which a line's turn is the lid's by which an app closed the scan."""

THIN_SHARE = 0.045
"""Share of girth by which the kneecap's section exceeds the thigh's least, as a standard deviation from none: the
median is 0.015, one body in twenty has more than 0.15, whose shins are thinner than their knees."""

ABOVE_DIP = (0.8, 0.0)
"""Knee radii from the least girth up to the kneecap's middle, along the thigh: of a straight knee and of a bent one.
These and all figures below were told from 100 posed bodies, twice each, so that the doubt that results is true."""

DIP_SIGMA = (0.34, 0.6)
"""Knee radii, standard deviation of that."""

BENT = (np.radians(6.0), np.radians(20.0))
"""Turns of the line from which a knee counts as less than straight, and as bent."""

BELOW_TURN = 0.43
"""Knee radii from the centre of the line's turn down to the kneecap's middle, where the turn is CLEAR."""

CLEAR = np.radians(13.0)
"""Turn from which that holds."""

TURN_DRIFT = 1.0 / np.radians(1.0)
"""mm per radian by which lesser turns are centred farther up: the thigh's own course is part of them."""

TURN_SIGMA = 12.0
"""mm, the least sigma of that."""

TURN_BLUR = np.radians(150.0)
"""mm · radians. Its sigma times the turn: 19 mm at 8°."""

NEAR_END = 0.5
"""mm of sigma per mm by which less than a median radius of trusted line lies below a turn."""

TURN_SIZE = np.radians(5.0)
"""radians of turn that count as much as nothing; weight grows by the third power."""

HINGE_HALF = 0.9
"""Median radii of each of the two straight lines that girth's kink is told by."""

ABOVE_HINGE = 0.3
"""Knee radii from the kink up to the kneecap's middle."""

HINGE_SIGMA = 0.4
"""Knee radii, standard deviation of that."""

HINGE_SIZE = 0.17
"""Change of slope per radius at which a kink counts as much as nothing: those of thighs have 0.1 at the most."""

BEHIND = 0.1
"""Knee radii from the deepest of the hollow of the knee up to the kneecap's middle."""

BEHIND_SIGMA = 0.4
"""Knee radii, standard deviation of that."""

BEHIND_SIZE = 0.7
"""Curvature times radius of that hollow that counts as much as nothing: there is another above it, as deep."""

BEFORE = 0.62
"""Knee radii from the hollow below the kneecap up to its middle."""

BEFORE_SIGMA = 0.3
"""Knee radii, standard deviation of that."""

BEFORE_SIZE = 0.4
"""Curvature times radius of that hollow that counts as much as nothing."""

LEAST_SIGMA = 12.0
"""mm, the floor of sigma."""


def knee_of_thigh(line: Midline, front: Floats) -> Joint:
    """The kneecap's top along the line of a scan of a thigh, whose kneecap's side is `front` (3,).

    Where the scan shows a foot, knee and all, it is the leg's kneecap. Raises LimbError where so little is shown that
    no knee can be on it.
    """
    if shows_foot(line):
        return _top(line, knee_of_leg(line, ankle_of(line), front))
    own = median_radius(line)
    high = line.trusted[1] - FROM_END * own
    low = _above_ankle(line, high)
    if high - low < own:
        raise LimbError(
            f"the scan shows {line.trusted[1] - line.trusted[0]:.0f} mm of thigh, too little to hold a knee and the "
            "thigh above it; scan from a hand below the kneecap up to the crotch"
        )
    knee = float(line.mean_radii[line.within(low, high)].min())
    side = across(line, front, low + 2 * own)
    # An app that closes a scan bends line and outline at its lid.
    clear = low if line.opened[0] else low + LID * own
    bends = turns(line, low=clear, high=high, towards=-side)
    bent = max((turn.size for turn in bends), default=0.0)
    above, sigma = (float(np.interp(bent, BENT, pair)) * knee for pair in (ABOVE_DIP, DIP_SIGMA))
    signs = (
        Sign(tuple(_by_turn(turn, knee, blur=NEAR_END * max(0.0, low + own - turn.at)) for turn in bends), 1.0),
        by_thinness(line, low=low, high=high, share=THIN_SHARE),
        by_dips(dips(line, low, high), above=above, sigma=sigma),
        by_peaks(
            hinges(line, low=low, high=high, half=HINGE_HALF * own),
            above=ABOVE_HINGE * knee,
            sigma=HINGE_SIGMA * knee,
            size=HINGE_SIZE,
        ),
        by_peaks(
            hollows(line, -side, low=clear, high=high),
            above=BEHIND * knee,
            sigma=BEHIND_SIGMA * knee,
            size=BEHIND_SIZE,
        ),
        by_peaks(
            hollows(line, side, low=clear, high=high),
            above=BEFORE * knee,
            sigma=BEFORE_SIGMA * knee,
            size=BEFORE_SIZE,
        ),
    )
    return _top(line, joined(signs, low=max(0.0, low - own), high=high, least=LEAST_SIGMA))


def top_above_middle(line: Midline, knee: Joint) -> float:
    """mm from a kneecap's middle up to its top."""
    return TOP * line.radius(knee.along)


def shows_foot(line: Midline) -> bool:
    """Whether a leg's line begins in a foot, which closes the scan and from which the line turns into the shin."""
    first, last = line.trusted
    if line.opened[0] or last - first < 2 * FOOT_RADII * median_radius(line):
        return False
    middle = line.direction((first + last) / 2, last)
    return bool(line.direction(0.0, first + median_radius(line)) @ middle < np.cos(np.radians(45.0)))


def _top(line: Midline, middle: Joint) -> Joint:
    up = top_above_middle(line, middle)
    return Joint(middle.along + up, middle.sigma, tuple(other + up for other in middle.others))


def _above_ankle(line: Midline, high: float) -> float:
    """Where the knee is looked for from: the calf's widest, where an ankle is seen below it."""
    low = line.trusted[0]
    found = dips(line, low, high)
    for lower, upper in pairwise(found):
        calf = widest_between(line, lower.along, upper.along)
        shin = upper.along - lower.along > SHIN * lower.girth / (2 * np.pi)
        if shin and calf.girth > CALF * lower.girth and calf.girth > upper.girth:
            low = calf.along
    return low


def _by_turn(turn: Peak, knee: float, *, blur: float) -> Hint:
    down = BELOW_TURN * knee + TURN_DRIFT * max(0.0, CLEAR - turn.size)
    sigma = float(np.hypot(max(TURN_SIGMA, TURN_BLUR / turn.size), blur))
    return Hint(turn.at - down, sigma, weight(turn, TURN_SIZE, 3.0))
