"""The elbow of an upper arm's scan, at the crease: by the bend, the hollows before and behind it, and the girth."""

from __future__ import annotations

import numpy as np
from scipy.ndimage import gaussian_filter1d

from flatten.limb.anatomy.bends import Peak, hinges, hollows, median_radius, turns
from flatten.limb.anatomy.joint import Hint, Joint, Sign, joined, proportion
from flatten.limb.anatomy.midline import STEP, Midline
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats

SPREADS = 0.24
"""Slope of the mean radius, smoothed over a third of a radius, from which an arm spreads into shoulder or trunk: 0.17
at the most from elbow to biceps on the bodies at hand."""

FROM_TRUNK = 2.3
"""Median radii below that place above which no elbow is: 90 mm, short of the armpit."""

FROM_END = 1.5
"""The same from the scan's end where it is cut below shoulder and armpit."""

FROM_CUT = 0.3
"""Median radii above the lower end of the trusted line below which nothing is looked for: its smoothing ends there."""

ARM = (4.5, 2.5)
"""Median radii from where the arm spreads down to the crease, and their standard deviation on posed bodies, doubled."""

ABOVE_TURN = 12.0
"""mm from the centre of the line's turn up to the crease, along the upper arm (standard deviation 6, 17 bodies)."""

TURN_SIGMA = 7.0
"""mm, the least sigma of that centre."""

TURN_BLUR = np.radians(150.0)
"""mm · radians. Its sigma times the turn: 15 mm at 10°."""

TURN_WEIGHT = np.radians(10.0) * 2**0.25
"""radians of turn at which an elbow is as likely as anything else; it grows by the fourth power."""

BENT = np.radians(20.0)
"""Turn from which an elbow counts as bent: the crease is then a fold that lies below the turn."""

FOLD = (-7.0, 14.0)
"""mm from the deepest of the front's hollow up to the crease, at a straight elbow and at a bent one."""

FOLD_SIGMA = 10.0
"""mm, standard deviation of that (8 at bent elbows, 11 at straight ones)."""

FOLD_SIZE = 0.3
"""Curvature times radius of the front's hollow at which it is as likely the elbow's as not: creases have 0.1 to 1.4."""

BEHIND = -12.0
"""mm from the deepest of the hollow above the olecranon, behind, down to the crease."""

BEHIND_SIGMA = 11.0
"""mm, standard deviation of that."""

BEHIND_SIZE = 0.2
"""The same for the hollow behind: 0.2 to 0.5 at elbows of up to 25°, none at bent ones."""

HINGE_HALF = 0.8
"""Median radii of each of the two straight lines that girth's kink is told by."""

HINGE_SIGMA = 15.0
"""mm, standard deviation of the kink's place about the crease."""

HINGE_SIZE = 0.1
"""Change of slope per radius at which a kink is as likely the elbow's as not."""

LEAST_SIGMA = (12.0, 10.0)
"""mm, the floor at a straight elbow and at a bent one."""


def elbow_of_arm(line: Midline, front: Floats) -> Joint:
    """The elbow's crease along the line of a scan of an upper arm, whose biceps side is `front` (3,).

    Raises LimbError where so little is shown that no elbow can be on it.
    """
    own = median_radius(line)
    shoulder = arm_spreads(line)
    end = line.trusted[1] - FROM_END * own if shoulder is None else shoulder - FROM_TRUNK * own
    low, high = line.trusted[0] + FROM_CUT * own, end
    if high - low < own:
        raise LimbError(
            f"the scan shows {line.trusted[1] - line.trusted[0]:.0f} mm of arm all round, too little to hold an elbow "
            f"and the upper arm above it; scan from the middle of the forearm up to the armpit"
        )
    axis = line.direction(high, line.trusted[1])
    across = front - (front @ axis) * axis
    across = across / np.linalg.norm(across)
    bends = turns(line, low=low, high=high, towards=across)
    bent = min(1.0, max((bend.size for bend in bends), default=0.0) / BENT)
    fold = FOLD[0] + bent * (FOLD[1] - FOLD[0])
    signs = (
        Sign(tuple(_by_turn(bend) for bend in bends), 1.0),
        _by_peaks(hollows(line, across, low=low, high=high), fold, FOLD_SIGMA, FOLD_SIZE),
        _by_peaks(hollows(line, -across, low=low, high=high), BEHIND, BEHIND_SIGMA, BEHIND_SIZE),
        _by_peaks(hinges(line, low=low, high=high, half=HINGE_HALF * own), 0.0, HINGE_SIGMA, HINGE_SIZE),
        *(() if shoulder is None else (proportion(shoulder - ARM[0] * own, ARM[1] * own),)),
    )
    return joined(signs, low=low, high=high, least=LEAST_SIGMA[0] + bent * (LEAST_SIGMA[1] - LEAST_SIGMA[0]))


def arm_spreads(line: Midline) -> float | None:
    """Where along an arm's line, mm, it spreads into shoulder or trunk; None where the scan does not show that."""
    own = median_radius(line)
    radii = gaussian_filter1d(line.mean_radii, own / 3 / STEP, mode="nearest")
    slope = np.gradient(radii, line.along)
    among = line.within(line.trusted[0] + 2 * FROM_TRUNK * own, np.inf)
    spread = among[slope[among] > SPREADS]
    return float(line.along[spread[0]]) if spread.size else None


def _by_turn(bend: Peak) -> Hint:
    return Hint(bend.at + ABOVE_TURN, max(TURN_SIGMA, TURN_BLUR / bend.size), (bend.size / TURN_WEIGHT) ** 4)


def _by_peaks(peaks: tuple[Peak, ...], above: float, sigma: float, size: float) -> Sign:
    """The sign of peaks that lie `above` mm below the joint and count as much as nothing at a `size`."""
    return Sign(tuple(Hint(peak.at + above, sigma, (peak.size / size) ** 2) for peak in peaks), 1.0)
