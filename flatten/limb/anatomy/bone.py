"""How far height 0 lies above the bone that a maker feels below it, as far as the scan tells."""

from __future__ import annotations

import numpy as np

from flatten.limb.kind import DistalLimb
from flatten.limb.model import Landmark, Limb
from flatten.mesh.surface import Floats

STRAYS = 0.002
"""Share of the heel's points that may lie below its sole: noise."""

FAR = (0.2, 0.6)
"""Shares of the way from height 0 to the joint that a sole lies below height 0: 0.31 to 0.41 on the bodies at hand.
Outside, the sole is not shown, or a floor is."""


def bone_below(limb: Limb, points: Floats) -> Landmark | None:
    """The bone below height 0 as a landmark with its sigma, by points (N,3) of the scan in limb coordinates.

    Two signs, joined by their variances: the bone's height over the sole, which people's soles tell, and its share of
    the way from height 0 to the joint. None where the kind has no such bone, or the scan shows no sole or no joint.
    """
    kind = limb.kind
    if not isinstance(kind, DistalLimb) or kind.bone is None or limb.front_from != kind.far_end:
        return None
    marks = {mark.name: mark.height for mark in limb.landmarks}
    if kind.joint_mark not in marks or limb.asked is not None:
        return None
    bone, way = kind.bone, marks[kind.joint_mark]
    # The heel lies behind the leg's own front.
    radius = float(np.median(np.linalg.norm(points[np.abs(points[:, 2]) < 0.02 * way, :2], axis=1)))
    heel = points[(points[:, 0] < radius) & (points[:, 2] < 0.0), 2]
    if not len(heel):
        return None
    sole = -float(np.quantile(heel, STRAYS))
    if not FAR[0] * way < sole < FAR[1] * way:
        return None
    below = np.array([sole - bone.over_sole, bone.of_way * way])
    weights = 1.0 / np.array([bone.over_sole_sigma, bone.of_way_sigma]) ** 2
    return Landmark(bone.name, -float(below @ weights / weights.sum()), float(weights.sum() ** -0.5))
