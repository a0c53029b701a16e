"""Girths by tape against a limb's surface: what each asks for, which are believed, and what is said of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.findings import NOWHERE, Finding, Place, finding, message
from flatten.limb.girths.belief import LOUD_SCALE, SURE, Reading, agrees_with_unit, believable, believed
from flatten.limb.girths.girth import tape_girth, tape_girths, tape_height
from flatten.limb.girths.slips import likely_slips
from flatten.limb.girths.taping import TAPE_ERROR, WARP, Correction, tape_correction
from flatten.limb.kind import BodyGirth
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.units import NO_UNIT

TAPES_APART = 0.05
"""Share by which the scales that tape girths ask for may differ: a reading's error of 4 mm on a wrist is half of it."""

SCALE_SETTLED = 1e-5
"""Share by which the scale still moves when it and the places of the tapes are found: 0.004 mm of a calf's girth."""

SCALE_ROUNDS = 30
"""Rounds at most: each halves the error at least, unless the girth grows more than half as fast as the height."""

FEW = 0.05
"""Share that a scan in its true unit is off by: the limit of acceptance of LOUD_SCALE, as a standard deviation."""

YOUNG = 2.0
"""How much wider people's girths spread below an adult's than above it, as children are among them. From memory."""

CLEAR_UNIT = 4.0
"""By how much the costs of two units must differ for one to be told, in squared standard deviations: odds of 7 to 1."""

SLIP_COST = 9.0
"""What a tape that does not fit costs against a body that does not, as squared standard deviations: a slip is as rare
as a girth three of them off."""


@dataclass(frozen=True)
class Weighed:
    """The readings that are believed and scale the scan, and what stands against that."""

    kept: tuple[Reading, ...]
    findings: tuple[Finding, ...]


def tape_readings(tapes: Sequence[tuple[str | float, float]], limb: Limb, skin: LimbSurface) -> tuple[Reading, ...]:
    """What each girth by tape, (place, mm), alone asks the scan for.

    A height in mm was measured on the limb itself: on a scan that is too small the same place lies lower, so factor and
    place are found in turn; a limb's girth grows more slowly than its height, so that each round comes nearer. A
    landmark's place goes with the scan. Raises LimbError where the limb has no such landmark, or where the scan does
    not carry the limb at that height, whatever its size.
    """
    return tuple(Reading(at, girth, _own_factor(at, girth, limb, skin)) for at, girth in tapes)


def _own_factor(at: str | float, girth: float, limb: Limb, skin: LimbSurface) -> float:
    if isinstance(at, str):
        return girth / tape_girth(skin, tape_height(limb, at))
    factor = 1.0
    for _ in range(SCALE_ROUNDS):
        # On the way, and of a tape that is no girth of this limb, the place may lie beyond the scan.
        asked = girth / tape_girth(skin, float(np.clip(at / factor, *skin.trusted)))
        settled = abs(asked / factor - 1.0) < SCALE_SETTLED
        factor = asked
        if settled:
            break
    low, high = skin.trusted
    if not low <= at / factor <= high:
        tape_girth(skin, at)
    return factor


def tape_correction_of(kept: Sequence[Reading], limb: Limb, skin: LimbSurface) -> Correction:
    """What takes the limb as scanned to the readings that are believed. Raises LimbError as `tape_readings` does."""
    taped = np.array([reading.girth for reading in kept])
    factor = float(np.exp(np.mean([np.log(reading.factor) for reading in kept])))
    for _ in range(SCALE_ROUNDS):
        places = [tape_height(limb, each.at) / (1.0 if isinstance(each.at, str) else factor) for each in kept]
        scanned = np.array([tape_girth(skin, place) for place in places])
        correction = tape_correction(np.array(places), scanned=scanned, taped=taped)
        if abs(correction.factor / factor - 1.0) < SCALE_SETTLED:
            break
        factor = correction.factor
    return correction


def weigh(readings: Sequence[Reading], limb: Limb, skin: LimbSurface, *, unit: str, unit_from: str) -> Weighed:
    """Which readings scale the limb, and what speaks against them: each other, the scan's unit, what scans are off by.

    One alone that asks for more than any scan has been off by is not followed where the unit is known.
    """
    known = unit != NO_UNIT
    seen = _scanned_bodies(limb, skin)
    belief = believed(readings, unit=known, body=lambda factor: _likelihood(seen, factor))
    kept = tuple(readings[number] for number in belief.kept)
    if belief.apart:
        doubted = tuple(reading for reading in readings if reading not in kept)
        return Weighed(kept, (_contradiction(readings, kept, doubted, limb, skin, why=belief.why, known=known),))
    if not known:
        return Weighed(kept, ())
    factor = float(np.exp(np.mean([np.log(reading.factor) for reading in kept])))
    worst = max(kept, key=lambda reading: abs(np.log(reading.factor)))
    slips = likely_slips(limb.kind, worst.at, factor, here=_here(limb, skin, worst.at))
    if not believable(factor):
        told = finding(
            "tape.not followed",
            "stop",
            place=_place(limb, worst.at),
            at=worst.at,
            size=factor,
            unit=unit,
            unit_from=unit_from,
            slips=slips,
        )
        return Weighed((), (told,))
    if len(kept) == 1 and not agrees_with_unit(factor):
        told = finding(
            "tape.size in doubt",
            "stop",
            place=_place(limb, worst.at),
            at=worst.at,
            size=factor,
            sigma=worst.sigma,
            unit=unit,
            unit_from=unit_from,
            slips=slips,
        )
        return Weighed(kept, (told,))
    return Weighed(kept, ())


def _contradiction(
    readings: Sequence[Reading],
    kept: Sequence[Reading],
    doubted: Sequence[Reading],
    limb: Limb,
    skin: LimbSurface,
    *,
    why: str,
    known: bool,
) -> Finding:
    """Tapes that cannot all be true: which are doubted, what they most likely are, and why the others are believed."""
    least = min(readings, key=lambda reading: reading.factor)
    most = max(readings, key=lambda reading: reading.factor)
    base = float(np.exp(np.mean([np.log(reading.factor) for reading in kept]))) if kept else 1.0
    odd = max(doubted, key=lambda reading: abs(np.log(reading.factor / base)))
    # Where tapes that are believed tell the size, what the others are is told from it.
    blur = 0.0 if known or len(kept) > 1 else WARP
    slips = likely_slips(limb.kind, odd.at, odd.factor / base, here=_here(limb, skin, odd.at), blur=blur)
    return finding(
        "tape.contradict",
        "stop",
        place=_place(limb, odd.at),
        apart=most.factor / least.factor - 1.0,
        sigma=float(np.hypot(most.sigma, least.sigma)) * most.factor / least.factor,
        kept=tuple(message("tape.place", at=reading.at) for reading in kept),
        doubted=tuple(message("tape.place", at=reading.at) for reading in doubted),
        why=why,
        slips=slips,
    )


def tape_findings(
    limb: Limb, skin: LimbSurface, readings: Sequence[Reading], weighed: Weighed, *, unit: str
) -> list[Finding]:
    """What tapes say of a scan whose limb and skin, scaled, are these, beyond what `weigh` found against them."""
    kept, known = weighed.kept, unit != NO_UNIT
    # Without a unit only what one tape says beside the others tells something.
    base = 1.0 if known else float(np.exp(np.mean([np.log(reading.factor) for reading in kept])))
    found = []
    if kept and not weighed.findings:
        factors = np.array([reading.factor for reading in kept])
        worst = float(factors[np.argmax(np.abs(np.log(factors)))])
        if known and abs(worst - 1.0) > LOUD_SCALE:
            found.append(finding("tape.far off", "look", off=abs(1 / worst - 1.0), small=worst > 1))
        if factors.max() / factors.min() > 1.0 + TAPES_APART:
            apart = float(factors.max() / factors.min() - 1.0)
            found.append(finding("tape.disagree", "look", apart=apart, odd=_odd_one(kept)))
    if len(readings) == 1 and not known:
        return [finding("tape.alone", "look", at=kept[0].at, sigma=TAPE_ERROR, share=kept[0].sigma)]
    if len(readings) == 1:
        return found if found or weighed.findings else [_one_tape(kept[0])]
    for reading in readings:
        left = tape_girth(skin, float(np.clip(tape_height(limb, reading.at), *skin.trusted))) - reading.girth
        factor = reading.factor / base
        off, place, narrower = abs(1 / factor - 1.0), _place(limb, reading.at), factor > 1
        found.append(finding("tape.each", "look", place=place, at=reading.at, off=off, narrower=narrower, left=left))
    return found


def size_findings(limb: Limb, skin: LimbSurface, scale: float) -> list[Finding]:
    """Where the limb is thicker or thinner than anybody's; `scale` is what the scan was scaled by."""
    return [
        finding(
            "tape.no such size",
            "stop",
            place=limb.kind.place(height=limb.height_of(body.at)),
            landmark_or_widest=body.at,
            kind=limb.kind.name,
            girth=girth,
            least=body.least,
            most=body.most,
            size=scale,
        )
        for body, girth in _scanned_bodies(limb, skin)
        if not body.least <= girth <= body.most
    ]


def _scanned_bodies(limb: Limb, skin: LimbSurface) -> list[tuple[BodyGirth, float]]:
    """The girths of people that the scan shows on this limb, and what they are on it, mm."""
    low, high = skin.trusted
    heights = {mark.name: mark.height for mark in limb.landmarks if low <= mark.height <= high}
    shown = [body for body in limb.kind.bodies if body.at in heights]
    girths = tape_girths(skin, np.array([heights[body.at] for body in shown]))
    return [(body, float(girth)) for body, girth in zip(shown, girths, strict=True)]


def _likelihood(seen: Sequence[tuple[BodyGirth, float]], factor: float) -> float:
    """How likely a body of so many times the scan's girths is; 0 where one of them is nobody's, 1 where none is seen.

    The girths of one limb grow together, so that their mean deviation counts, and not each.
    """
    if not seen:
        return 1.0
    if any(not body.least <= factor * girth <= body.most for body, girth in seen):
        return 0.0
    return float(np.exp(-0.5 * _unusual(seen, factor)))


def _unusual(seen: Sequence[tuple[BodyGirth, float]], factor: float) -> float:
    """The mean squared deviation, in people's standard deviations, of girths so many times the scan's."""
    away = np.array([np.log(factor * girth / body.usual) * body.usual / body.spread for body, girth in seen])
    return float(np.mean(np.where(away < 0.0, away / YOUNG, away) ** 2))


def unit_cost(readings: Sequence[Reading], limb: Limb, skin: LimbSurface) -> float:
    """How badly tapes and bodies together fit a scan in the unit that it was read in: 0 where both fit well.

    Squared standard deviations: of the girths from people's, and of each reading from the scan, at most SLIP_COST.
    """
    seen = _scanned_bodies(limb, skin)
    off = [(float(np.log(reading.factor)) / float(np.hypot(FEW, reading.sigma))) ** 2 for reading in readings]
    return (_unusual(seen, 1.0) if seen else 0.0) + sum(min(each, SLIP_COST) for each in off)


def _here(limb: Limb, skin: LimbSurface, at: str | float) -> list[tuple[str, float]]:
    """Other places of the limb that a tape can be laid round, with their girths over that at `at`."""
    low, high = skin.trusted
    own = tape_girth(skin, float(np.clip(tape_height(limb, at), low, high)))
    places = {mark.name: mark.height for mark in limb.landmarks if low <= mark.height <= high}
    wanted = [name for name in ("widest", *limb.kind.tape_places) if name in places and name != at]
    return [(name, tape_girth(skin, places[name]) / own) for name in wanted]


def _place(limb: Limb, at: str | float) -> Place:
    return NOWHERE if isinstance(at, str) else limb.kind.place(height=at)


def _odd_one(kept: Sequence[Reading]) -> str | float | None:
    """Where the one tape was laid without which all others agree; None where there is no such one."""
    factors = np.array([reading.factor for reading in kept])
    odd = [
        reading
        for number, reading in enumerate(kept)
        if len(kept) > 2 and np.ptp(np.log(np.delete(factors, number))) <= np.log(1.0 + TAPES_APART)
    ]
    return odd[0].at if len(odd) == 1 else None


def _one_tape(reading: Reading) -> Finding:
    """How far off the scan was by its one tape girth, and how sure that is."""
    off = abs(1 / reading.factor - 1.0)
    agrees = off < SURE * reading.sigma
    small = reading.factor > 1
    return finding("tape.one", "look", off=off, small=small, agrees=agrees, sigma=TAPE_ERROR, share=reading.sigma)
