"""What a change makes worse about putting a piece on and wearing it."""

from __future__ import annotations

from flatten.worn.wearing import Wearing

_EASE = {"apart": 0, "bends": 0, "springs": 0, "too stiff": 1, "closed": 2}
"""How hard a way of putting on is; the first three all go on."""

_NEAR = {
    "fibula": "An edge then lies on the outer side just below the knee, where a nerve runs under the skin.",
    "knee hollow": "An edge then lies in the hollow of the knee.",
    "crook of the elbow": "An edge then lies in the crook of the elbow.",
}


def worse_to_wear(before: Wearing, after: Wearing) -> list[str]:
    """What is worse after a change, a sentence each: how it goes on, what holds it up, where edges lie."""
    told = []
    if _EASE[after.on.way] > _EASE[before.on.way]:
        told.append("But then it cannot be put on: no seam opens far enough.")
    if before.catch > 0.0 >= after.catch:
        told.append("But then nothing on the limb holds it up by itself.")
    return told + [_NEAR[place] for place in after.near if place not in before.near]
