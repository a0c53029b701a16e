"""What a change makes worse about putting a piece on and wearing it."""

from __future__ import annotations

import numpy as np

from flatten.worn.motion import Touch
from flatten.worn.wearing import Wearing

SOONER = np.radians(5.0)
"""rad. A joint that stops so much sooner is told: what a maker sees without measuring."""

_EASE = {"apart": 0, "bends": 0, "springs": 0, "too stiff": 1, "closed": 2}
"""How hard a way of putting on is; the first three all go on."""

_NEAR = {
    "fibula": "An edge then lies on the outer side just below the knee, where a nerve runs under the skin.",
    "knee hollow": "An edge then lies in the hollow of the knee.",
    "crook of the elbow": "An edge then lies in the crook of the elbow.",
}


def worse_to_wear(before: Wearing, after: Wearing) -> list[str]:
    """What is worse after a change, a sentence each: how it goes on, what holds it up, how joints bend, where edges
    lie."""
    told = []
    if _EASE[after.on.way] > _EASE[before.on.way]:
        told.append("But then it cannot be put on: no seam opens far enough.")
    if before.catch > 0.0 >= after.catch:
        told.append("But then nothing on the limb holds it up by itself: give it a strap.")
    bends = {touch.motion.name: _angle(touch) for touch in before.touches}
    for touch in after.touches:
        free = bends.get(touch.motion.name, touch.motion.reach)
        if free - _angle(touch) >= SOONER:
            told.append(
                f"But then {touch.motion.name} ends at about {np.degrees(_angle(touch)):.0f}°, where it now goes to "
                f"{np.degrees(free):.0f}°."
            )
    return told + [_NEAR[place] for place in after.near if place not in before.near]


def _angle(touch: Touch) -> float:
    """rad that a joint bends before skin and edge meet: all its reach where they never do."""
    return touch.motion.reach if touch.angle is None else touch.angle
