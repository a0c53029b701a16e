"""What a change makes worse about putting a piece on and wearing it."""

from __future__ import annotations

import numpy as np

from flatten.findings import Message, message
from flatten.worn.motion import Touch
from flatten.worn.wearing import Wearing

SOONER = np.radians(5.0)
"""rad. A joint that stops so much sooner is told: what a maker sees without measuring."""

_EASE = {"apart": 0, "bends": 0, "springs": 0, "too stiff": 1, "closed": 2}
"""How hard a way of putting on is; the first three all go on."""


def worse_to_wear(before: Wearing, after: Wearing) -> list[Message]:
    """What is worse after a change: how it goes on, what holds it up, how joints bend, where edges
    lie."""
    messages = []
    if _EASE[after.on.way] > _EASE[before.on.way]:
        messages.append(message("advice.not put on"))
    if before.catch > 0.0 >= after.catch:
        messages.append(message("advice.slides"))
    bends = {touch.motion.name: _angle(touch) for touch in before.touches}
    for touch in after.touches:
        free = bends.get(touch.motion.name, touch.motion.reach)
        if free - _angle(touch) >= SOONER:
            messages.append(message("advice.bends less", motion=touch.motion.name, angle=_angle(touch), before=free))
    return messages + [message("advice.near", tender=place) for place in after.near if place not in before.near]


def _angle(touch: Touch) -> float:
    """rad that a joint bends before skin and edge meet: all its reach where they never do."""
    return touch.motion.reach if touch.angle is None else touch.angle
