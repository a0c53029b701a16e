"""What a girth by tape most likely is that cannot be the limb's: a slip of reading or of unit, or another girth."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from flatten.findings import Message, message
from flatten.limb.kind import KINDS, BodyGirth, LimbKind

SLIPS: tuple[tuple[float, Message], ...] = (
    (0.5, message("slip.half")),
    (2.0, message("slip.twice")),
    (2.54, message("slip.inch for cm")),
    (1 / 2.54, message("slip.cm for inch")),
    (10.0, message("slip.tenfold")),
    (0.1, message("slip.tenth")),
    (25.4, message("slip.inch for mm")),
    (1 / 25.4, message("slip.mm for inch")),
    (1 / np.pi, message("slip.width")),
    (1 / (2 * np.pi), message("slip.radius")),
)
"""What a slip makes of a girth, as a factor, and its name."""

SLIP_SPREAD = 0.05
"""Standard deviation of the log of what a slip asks for: mostly what a scan in its true unit is off by (belief)."""

PLACE_SPREAD = 0.02
"""The same where a tape was laid at another place of this very limb."""

BODY_SPREAD = 0.09
"""The same of one limb's girth told from another limb's: 4.4 to 5.0 % of calf by ankle and of forearm by wrist
[computed from ANSUR II: Gordon et al., NATICK/TR-15/007, 2014]; twice that from arm to leg, from memory."""

NEAR = 2.0
"""Standard deviations within which a slip is thought of."""

MOST_SLIPS = 2
"""Slips that are named at most, the likeliest first."""


def likely_slips(
    kind: LimbKind, at: str | float, factor: float, *, here: Iterable[tuple[str, float]], blur: float = 0.0
) -> tuple[Message, ...]:
    """What a tape at `at` that asks for `factor` most likely is, the likeliest first; none where nothing comes near.

    `here` are other places of the same limb with their girths over that at `at`. `blur` is the standard deviation of
    the log of the limb's true size where no unit tells it.

    By the densities of log normals, each with its own width: an exact slip that comes near outdoes a girth that people
    have in a wide range.
    """
    seen = float(np.log(factor))
    thought: list[tuple[float, Message]] = []
    for ratio, slip in SLIPS:
        thought.append((_away(seen - np.log(ratio), np.hypot(SLIP_SPREAD, blur)), slip))
    for place, ratio in here:
        if place != at:
            away = _away(seen - np.log(ratio), np.hypot(PLACE_SPREAD, blur))
            thought.append((away, message("slip.place", landmark_or_widest=place)))
    for other, there, ratio in _others(kind, at):
        away = _away(seen - np.log(ratio), np.hypot(BODY_SPREAD, blur))
        thought.append((away, message("slip.limb", kind=other.name, landmark_or_widest=there.at)))
    near = sorted((each for each in thought if np.isfinite(each[0])), key=lambda each: each[0])
    return tuple(slip for _, slip in near[:MOST_SLIPS])


def _away(off: float, spread: float) -> float:
    """Minus the log density of `off`, infinite where it lies beyond NEAR standard deviations."""
    return float(np.inf) if abs(off) > NEAR * spread else float((off / spread) ** 2 / 2 + np.log(spread))


def _others(kind: LimbKind, at: str | float) -> list[tuple[LimbKind, BodyGirth, float]]:
    """Girths of other limbs, over that of people at `at` on this kind of limb; none where that is not known."""
    own = next((body.usual for body in kind.bodies if body.at == at), None)
    if own is None:
        return []
    return [(other, body, body.usual / own) for other in KINDS.values() if other is not kind for body in other.bodies]
