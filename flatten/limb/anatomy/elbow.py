"""The elbow of a forearm's scan, at the olecranon: by the arm's proportions, its bend and its girth."""

from __future__ import annotations

import numpy as np

from flatten.limb.anatomy.bends import Peak, hinges, median_radius, turns
from flatten.limb.anatomy.hand import CARPUS, Hand, hand_begins
from flatten.limb.anatomy.joint import Hint, Joint, Sign, joined, proportion
from flatten.limb.anatomy.midline import Midline
from flatten.limb.anatomy.narrow import Extreme

WRIST = (80.0, 6.7)
"""mm, and mm per mm of the wrist's radius: olecranon above the thinnest place of the wrist (122 posed bodies; adults'
means of ANSUR II fit within 8 mm, with the least girth 15 mm above the crease, from memory)."""

WRIST_SIGMA = 23.0
"""mm, standard deviation of that: 20 in the bodies that it was told from, more in others."""

SLENDER = 22.0, 8.0
"""mm. Wrist radii below the first are children's, whose arms are shorter than that line says, or very slender: sigma
grows by once itself for each of the second."""

HAND = (24.1, 1.340)
"""mm, and mm per mm of the hand's length: back of the elbow above the wrist's crease, least squares over 6068 adults of
ANSUR II (residual's standard deviation 13.3 mm)."""

HAND_SIGMA = 20.0
"""mm, standard deviation of that where the hand's length is taken from a scan."""

SHARED = 1.2
"""By how much the sigmas of both grow where both speak: their errors go together by a correlation of 0.5 (118 posed
bodies), so that their mean is surer than either by less than a product of densities says: 18 mm and not 15."""

BEYOND_TURN = 7.0
"""mm from the centre of the line's turn up to the olecranon (6 with a standard deviation of 3 above 25° of bend, 10
below)."""

TURN_SIGMA = 6.0
"""mm, the least sigma of that centre."""

TURN_BLUR = np.radians(150.0)
"""mm · radians. Its sigma times the turn: 15 mm at 10°, where bellies turn the line as far."""

TURN_WEIGHT = np.radians(10.0) * 2**0.25
"""radians of turn at which an elbow is as likely as anything else that turns a line; it grows by the fourth power."""

RAGGED = 1.5
"""Median radii from the line's end within which its turns are the scan's edge's, or of the lid that closes it."""

END_BLUR = 0.3
"""mm of sigma per mm by which less than a radius of trusted line lies above a turn: its upper half is cut off."""

STRAIGHT = np.radians(20.0)
"""Turn below which an elbow counts, in part, as straight."""

HINGE_HALF = 0.8
"""Median radii of each of the two straight lines that girth's kink is told by: belly to elbow, elbow to upper arm."""

BELOW_HINGE = 10.0
"""mm from the kink down to the olecranon at a straight elbow; at a bent one they coincide."""

HINGE_SIGMA = 14.0
"""mm, standard deviation of that: 8 to 13 on straight elbows, 15 on bent ones."""

HINGE_SURE = 0.1
"""Change of slope per radius from which a kink is an elbow's as likely as HINGE_TRUST says: a smooth tube's is 0.02."""

HINGE_TRUST = 0.85
"""Probability that a clear kink is the elbow's."""

HINGE_WINDOW = 75.0
"""mm from what proportions say over which a kink is looked for."""

NEAREST = 3.2
"""Wrist radii above the wrist below which no elbow is (9.7 in adults)."""

FARTHEST = 24.0
"""Wrist radii above the wrist beyond which no elbow is."""

LEAST_SIGMA = (12.0, 10.0)
"""mm, the floor at a straight elbow and at a bent one."""

UNSEEN = 30.0
"""mm. Sigma of an elbow that the scan ends below, by proportions alone: it is to be asked for."""


def elbow_of_forearm(line: Midline, wrist: Extreme, *, hand: Hand | None = None) -> Joint:
    """The olecranon along the line of a scan of a forearm with its wrist, and the hand where it is shown.

    Signs are the wrist's girth and an open hand's length, each turn of the line, and the clearest kink of girth near
    where proportions put the elbow. A turn counts by how far it turns, so that the belly of a strong forearm does not
    pass for an elbow; where it contradicts the proportions, both places are told and sigma spans them.
    """
    radius, own = wrist.girth / (2 * np.pi), median_radius(line)
    begins = hand.begins if hand else hand_begins(line, wrist)
    thinnest = min(wrist.along, begins + CARPUS * radius)
    slender = 1 + max(0.0, SLENDER[0] - radius) / SLENDER[1]
    guesses = [(thinnest + WRIST[0] + WRIST[1] * radius, WRIST_SIGMA * slender)]
    if hand and hand.open:
        guesses.append((begins + HAND[0] + HAND[1] * hand.length, HAND_SIGMA))
    signs = [proportion(at, sigma * SHARED ** (len(guesses) - 1)) for at, sigma in guesses]
    guess = float(np.mean([at for at, _ in guesses]))

    low = thinnest + NEAREST * radius
    last = min(line.trusted[1], float(line.along[-1]) - RAGGED * own)
    bends = turns(line, low=low, high=last)
    most = max((bend.size for bend in bends), default=0.0)
    straight = max(0.0, 1 - most / STRAIGHT)
    signs.append(Sign(tuple(_by_turn(bend, line.trusted[1] - own) for bend in bends), 1.0))
    kinks = hinges(line, low=guess - HINGE_WINDOW, high=guess + HINGE_WINDOW, half=HINGE_HALF * own)
    if kinks:
        kink = max(kinks, key=lambda peak: peak.size)
        trust = HINGE_TRUST * min(1.0, kink.size / HINGE_SURE)
        signs.append(Sign((Hint(kink.at - BELOW_HINGE * straight, HINGE_SIGMA, trust),), 1 - trust))
    floor = LEAST_SIGMA[1] + straight * (LEAST_SIGMA[0] - LEAST_SIGMA[1])
    found = joined(tuple(signs), low=low, high=thinnest + FARTHEST * radius, least=floor)
    if found.along > line.trusted[1]:
        return Joint(found.along, max(found.sigma, UNSEEN), found.others)
    return found


def _by_turn(bend: Peak, whole: float) -> Hint:
    """The reading of one turn of the line; above `whole`, mm, its upper half is not all on trusted ground."""
    sigma = max(TURN_SIGMA, TURN_BLUR / bend.size) + END_BLUR * max(0.0, bend.at - whole)
    return Hint(bend.at + BEYOND_TURN, sigma, (bend.size / TURN_WEIGHT) ** 4)
