"""Wearing a piece, in English: its range of girths, putting it on, what holds it up, bending in it."""

from __future__ import annotations

import math

from flatten.words.english.amounts import capital
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def fits(laced: int, strapped: int, low: float, high: float, least: float, most: float) -> str:
    """The range of girths that laces and straps leave."""
    what = "laces" if not strapped else "straps" if not laced else "laces and straps"
    together = " together" if laced + strapped > 1 else ""
    return (
        f"The {what} close from {low:.0f} to {high:.0f} mm{together}: it fits {least:.0f} to {most:.0f} mm at the "
        "widest."
    )


def fit_doubt(scan: float, swelling: float, thickness: float, doubt: float) -> str:
    """What a girth may be out by where laces and straps take it up."""
    return _fit_doubt(scan, swelling, thickness, doubt, "which the closings take up")


def no_room(scan: float, swelling: float, thickness: float, doubt: float, room: float) -> str:
    """What a girth may be out by where laces and straps have less room."""
    remedy = f"and they have only {room:.0f} mm to give one way. Measure the girth by tape, or draw a wider gap"
    return _fit_doubt(scan, swelling, thickness, doubt, remedy)


def _fit_doubt(scan: float, swelling: float, thickness: float, doubt: float, taken_up: str) -> str:
    doubts = [f"Even a scaled scan may be out by {scan:.0f} mm of girth"]
    if swelling:
        doubts.append(f"a leg swells by up to {swelling:.0f} mm in standing")
    doubts.append(f"uneven leather takes or gives {thickness:.0f} mm")
    return (
        f"{', '.join(doubts[:-1])}, and {doubts[-1]}. That is about {doubt:.0f} mm in all, as they seldom all lean one "
        f"way, {taken_up}."
    )


def springs(where: str, opens: float, needs: float) -> str:
    """It goes on although it was hardened."""
    return (
        f"It goes on: even hardened it springs open to {opens:.0f} mm where that is hardest, {where}, and the limb in "
        f"its padding is {needs:.0f} mm wide there."
    )


def too_stiff(where: str, opens: float, needs: float, gap: float | None) -> str:
    """Hardened, it does not go on; `gap` is the lacing gap with which it would."""
    remedy = "split it into two halves with a second laced seam"
    if gap is not None:
        remedy = f"widen the lacing gap to {gap:.0f} mm, or {remedy}"
    return (
        f"Hardened, it does not go on: {where} it springs open to {opens:.0f} mm only, and the limb in its "
        f"padding is {needs:.0f} mm wide. {capital(remedy)}."
    )


def closed(far_end: str) -> str:
    """It cannot be put on at all."""
    return (
        f"It cannot be put on: no seam of it opens, and the {named(far_end)} is wider than its narrow end. Lace or "
        "strap one of its seams."
    )


def holds(catch: float) -> str:
    """What keeps the piece from sliding towards foot or hand."""
    return f"It stays up by itself: even without ease it is {catch:.0f} mm narrower in girth above the widest place."


def slides(held_by: str) -> str:
    """What is to hold a piece up that nothing on the limb does."""
    return f"Nothing on the limb holds it up, for it grows wider up to its top. Give it {named(held_by)}."


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.0f}°"


def free(motion: str, reach: float) -> str:
    """A joint that bends all its way (rad)."""
    return f"{capital(named(motion))}: free through all {_degrees(reach)}."


def meets(motion: str, edge: str, side: str, angle: float, reach: float) -> str:
    """How far a joint bends (rad) before the limb meets the edge ("top", "bottom")."""
    return (
        f"{capital(named(motion))}: the {named(edge)} edge stops it at about {_degrees(angle)} of {_degrees(reach)}, "
        f"at the {named(side)} (flesh taken as firm); {'lower' if edge == 'top' else 'raise'} the edge there to bend "
        "further."
    )


_NEAR = {
    "fibula": (
        "The top edge lies on the outer side just below the knee, where a nerve runs under the skin round the head of "
        "the fibula. Lower the edge there, or see that it stands well off the leg."
    ),
    "knee hollow": "An edge lies in the hollow of the knee. Move it out of there, so that the leg can bend.",
    "crook of the elbow": "The top edge lies in the crook of the elbow. Lower it on the palm side.",
}


def near(tender: str) -> str:
    """An edge on a tender place."""
    return _NEAR[tender]


SENTENCES: dict[str, Sentence] = {
    "wearing.fits": fits,
    "wearing.fit doubt": fit_doubt,
    "wearing.no room": no_room,
    "wearing.comes apart": fixed("It goes on: it comes apart at its seams and is closed round the limb."),
    "wearing.bends open": fixed("It goes on: leather that was not hardened bends open at the seam."),
    "wearing.springs open": springs,
    "wearing.too stiff": too_stiff,
    "wearing.closed": closed,
    "wearing.holds": holds,
    "wearing.slides": slides,
    "wearing.joint free": free,
    "wearing.joint meets": meets,
    "wearing.near": near,
}
