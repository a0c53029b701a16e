"""What is told about wearing a piece: its range of girths, putting it on, what holds it up, bending in it."""

from __future__ import annotations

from typing import Any

import numpy as np

from flatten.findings import Finding, Message, finding, message
from flatten.limb.kind import LimbKind
from flatten.worn.motion import Touch
from flatten.worn.putting_on import PuttingOn
from flatten.worn.wearing import FitRange, Wearing


def wearing_messages(wearing: Wearing, *, kind: LimbKind) -> list[Message]:
    """All that is told about wearing the pieces of one limb."""
    fit = [] if wearing.fit is None else [fit_message(wearing.fit), doubt_message(wearing.fit)]
    touches = [touch_message(touch, kind=kind) for touch in wearing.touches]
    return [*fit, putting_on_message(wearing.on, kind=kind), holding_message(wearing.catch, kind=kind), *touches]


def wearing_short(wearing: Wearing, *, kind: LimbKind) -> list[Message]:
    """The little about wearing that closes a run: the range of girths, and how it goes on."""
    fit = [] if wearing.fit is None else [fit_message(wearing.fit)]
    return [*fit, putting_on_message(wearing.on, kind=kind)]


def wearing_findings(wearing: Wearing, *, kind: LimbKind) -> list[Finding]:
    """What must be heard before cutting: edges on tender places, joints that hardly bend, pieces that do not go on."""
    touches = [touch_message(touch, kind=kind) for touch in wearing.touches]
    fit = [] if wearing.fit is None else [doubt_message(wearing.fit)]
    messages = [putting_on_message(wearing.on, kind=kind), *touches, *fit]
    return [*(_near(tender, kind) for tender in wearing.near), *(one for one in messages if isinstance(one, Finding))]


def _near(tender: str, kind: LimbKind) -> Finding:
    """An edge on a tender place of the limb."""
    edge = next(f"{place.edge} edge" for place in kind.tender if place.name == tender)
    return finding("wearing.near", "stop", place=kind.place(part=edge), tender=tender)


def fit_message(fit: FitRange) -> Message:
    """The range of girths: "The laces close from 15 to 40 mm: it fits 378 to 403 mm at the widest"."""
    low, high = fit.closes
    return message(
        "wearing.fits",
        laced=fit.laced,
        strapped=fit.strapped,
        low=low,
        high=high,
        least=fit.least,
        most=fit.most,
    )


def doubt_message(fit: FitRange) -> Message:
    """What the girth may be out by against the room that the closings have; a finding where they have too little."""
    if fit.room >= fit.doubt:
        return message(
            "wearing.fit doubt", scan=fit.scan, swelling=fit.swelling, thickness=fit.thickness, doubt=fit.doubt
        )
    return finding(
        "wearing.no room",
        "look",
        scan=fit.scan,
        swelling=fit.swelling,
        thickness=fit.thickness,
        doubt=fit.doubt,
        room=fit.room,
    )


def putting_on_message(on: PuttingOn, *, kind: LimbKind) -> Message:
    """How the pieces go on; a finding where they do not."""
    where, place = kind.at_height(on.height), kind.place(height=on.height)
    if on.way == "apart":
        return message("wearing.comes apart")
    if on.way == "bends":
        return message("wearing.bends open")
    if on.way == "springs":
        return message("wearing.springs open", where=where, opens=on.opens, needs=on.needs)
    if on.way == "too stiff":
        return finding(
            "wearing.too stiff", "stop", place=place, where=where, opens=on.opens, needs=on.needs, gap=on.gap
        )
    return finding("wearing.closed", "stop", far_end=kind.far_end)


def holding_message(catch: float, *, kind: LimbKind) -> Message:
    """What keeps the piece from sliding towards foot or hand."""
    if catch > 0.0:
        return message("wearing.holds", catch=catch)
    return message("wearing.slides", held_by=kind.held_by)


def touch_message(touch: Touch, *, kind: LimbKind) -> Message:
    """How far a joint bends before the limb meets the edge; a finding where it hardly bends."""
    motion = touch.motion
    if touch.angle is None:
        return message("wearing.joint free", motion=motion.name, reach=motion.reach)
    side, edge = kind.side_at(touch.bearing), motion.edge
    sentence = message(
        "wearing.joint meets", motion=motion.name, edge=edge, side=side, angle=touch.angle, reach=motion.reach
    )
    if np.degrees(touch.angle) >= _enough(touch, kind):
        return sentence
    return Finding(sentence.code, sentence.filled, "look", kind.place(bearing=touch.bearing, part=f"{edge} edge"))


def _enough(touch: Touch, kind: LimbKind) -> float:
    """Degrees of a bend below which it is worth a caution."""
    known = {motion.name: motion.enough for motion in kind.motions}
    return known.get(touch.motion.name) or float(np.degrees(touch.motion.reach)) / 2


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
