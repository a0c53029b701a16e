"""Sentences about wearing a piece: its range of girths, putting it on, what holds it up, bending in it."""

from __future__ import annotations

from typing import Any

import numpy as np

from flatten.limb.kind import LimbKind
from flatten.limb.words import height_words
from flatten.words.say import name
from flatten.worn.motion import Touch
from flatten.worn.putting_on import PuttingOn
from flatten.worn.wearing import FitRange, Wearing

ENOUGH = {"bending the knee": 90.0, "bending the elbow": 90.0, "bending the hip": 90.0}
"""Degrees below which a bend is worth a caution: a chair, or a hand to the face. Other bends: half of their reach."""

_NEAR = {
    "fibula": (
        "The top edge lies on the outer side just below the knee, where a nerve runs under the skin round the head of "
        "the fibula. Lower the edge there, or see that it stands well off the leg."
    ),
    "knee hollow": "An edge lies in the hollow of the knee. Move it out of there, so that the leg can bend.",
    "crook of the elbow": "The top edge lies in the crook of the elbow. Lower it on the palm side.",
}


def wearing_sentences(wearing: Wearing, *, kind: LimbKind) -> list[str]:
    """All that is told about wearing the pieces of one limb, a sentence or two each."""
    sentences = [] if wearing.fit is None else fit_range_sentences(wearing.fit)
    sentences.append(putting_on_sentence(wearing.on, kind=kind))
    sentences.append(holding_sentence(wearing.catch, kind=kind))
    return sentences + [touch_sentence(touch, kind=kind) for touch in wearing.touches]


def wearing_lines(wearing: Wearing, *, kind: LimbKind) -> list[str]:
    """The few lines about wearing that close a run: the range of girths, and how it goes on."""
    fit = [] if wearing.fit is None else fit_range_sentences(wearing.fit)[:1]
    return [*fit, putting_on_sentence(wearing.on, kind=kind)]


def wearing_cautions(wearing: Wearing, *, kind: LimbKind) -> list[str]:
    """What must be heard before cutting: edges on tender places, joints that hardly bend, pieces that do not go on."""
    cautions = [_NEAR[place] for place in wearing.near]
    if wearing.on.way in ("closed", "too stiff"):
        cautions.append(putting_on_sentence(wearing.on, kind=kind))
    for touch in wearing.touches:
        reach = np.degrees(touch.motion.reach)
        if touch.angle is not None and np.degrees(touch.angle) < ENOUGH.get(touch.motion.name, reach / 2):
            cautions.append(touch_sentence(touch, kind=kind))
    if wearing.fit is not None and wearing.fit.room < wearing.fit.doubt:
        cautions.append(fit_range_sentences(wearing.fit)[1])
    return cautions


def fit_range_sentences(fit: FitRange) -> list[str]:
    """The range of girths: "The laces close from 15 to 40 mm: it fits 378 to 403 mm at the widest", and its doubt."""
    several = fit.laced + fit.strapped > 1
    what = "laces" if not fit.strapped else "straps" if not fit.laced else "laces and straps"
    low, high = fit.closes
    doubts = [f"even a scan that a tape made true may be out by {fit.scan:.0f} mm of girth"]
    if fit.swelling:
        doubts.append(f"a leg swells by up to {fit.swelling:.0f} mm in standing")
    doubts.append(f"uneven leather takes or gives {fit.thickness:.0f} mm")
    enough = (
        "which they take up"
        if fit.room >= fit.doubt
        else f"and they have only {fit.room:.0f} mm to give one way: measure the girth by tape, or draw a wider gap"
    )
    return [
        f"The {what} close from {low:.0f} to {high:.0f} mm{' together' if several else ''}: it fits {fit.least:.0f} to "
        f"{fit.most:.0f} mm at the widest.",
        f"Against that, {', '.join(doubts[:-1])}, and {doubts[-1]}: about {fit.doubt:.0f} mm in all, {enough}. "
        "They seldom all lean one way, so they are not simply added up.",
    ]


def putting_on_sentence(on: PuttingOn, *, kind: LimbKind) -> str:
    """How the pieces go on."""
    where = height_words(kind, on.height)
    if on.way == "apart":
        return "It goes on: it comes apart at its seams and is closed round the limb."
    if on.way == "bends":
        return "It goes on: leather that was not hardened bends open at the seam."
    if on.way == "springs":
        return (
            f"It goes on: even hardened it springs open to {on.opens:.0f} mm where that is hardest, {where}, and the "
            f"limb in its padding is {on.needs:.0f} mm wide there."
        )
    if on.way == "too stiff":
        remedy = (
            "split it into two halves with a second laced seam"
            if on.gap is None
            else f"widen the lacing gap to {on.gap:.0f} mm, or split it into two halves with a second laced seam"
        )
        return (
            f"Hardened, it does not go on: {where} it springs open to {on.opens:.0f} mm only, and the limb in its "
            f"padding is {on.needs:.0f} mm wide; {remedy}."
        )
    far = kind.far_end
    return (
        f"It cannot be put on: no seam of it opens, and the {far} is wider than its narrow end. Lace or strap one of "
        f"its seams."
    )


def holding_sentence(catch: float, *, kind: LimbKind) -> str:
    """What keeps the piece from sliding towards foot or hand."""
    if catch > 0.0:
        return (
            f"It stays up by itself: above the widest place its girth is {catch:.0f} mm less than there, even with the "
            f"ease taken off, which keeps it from sliding down."
        )
    where = name(kind.held_by)
    return f"Nothing on the limb holds it up, for it grows wider up to its top: give it {where}."


def touch_sentence(touch: Touch, *, kind: LimbKind) -> str:
    """How far a joint bends before the limb meets the edge."""
    motion = touch.motion
    name, reach = motion.name[:1].upper() + motion.name[1:], np.degrees(motion.reach)
    if touch.angle is None:
        return f"{name}: free through all {reach:.0f}°."
    side = kind.side_at(touch.bearing)
    way = "lower" if motion.edge == "top" else "raise"
    return (
        f"{name}: the skin meets the {motion.edge} edge at the {side} at about {np.degrees(touch.angle):.0f}° of "
        f"{reach:.0f}°, flesh taken as firm; {way} the edge there to bend further."
    )


def wearing_numbers(wearing: Wearing) -> dict[str, Any]:
    """report.json's `wearing` of one limb's pieces; mm and rad, null where nothing closes or touches."""
    on, fit = wearing.on, wearing.fit
    return {
        "putting_on": {"way": on.way, "height": on.height, "opens": on.opens, "needs": on.needs, "gap": on.gap},
        "closes": None if fit is None else {"min": fit.closes[0], "max": fit.closes[1], "drawn": fit.drawn},
        "girth_doubt": None if fit is None else fit.doubt,
        "catch": wearing.catch,
        "motions": [
            {"name": touch.motion.name, "edge": touch.motion.edge, "reach": touch.motion.reach, "touches": touch.angle}
            for touch in wearing.touches
        ],
    }
