"""The limb in a scan as a job asks for it: the scan's unit, its scale by tape girths, and its skin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from flatten.findings import NOWHERE, Finding, finding
from flatten.job.points import Point, Vector
from flatten.job.settings import ScanSettings, Tape
from flatten.limb.find import find_limb
from flatten.limb.girths.girth import tape_girth, tape_height
from flatten.limb.girths.taping import TAPE_ERROR, Correction, corrected, tape_correction
from flatten.limb.joint import with_joint
from flatten.limb.kind import LimbKind, kind_named
from flatten.limb.model import Front, FrontDirection, FrontError, FrontPoint, JointPoint, Limb, LimbError
from flatten.limb.scaled import scaled_limb
from flatten.limb.surface.model import LimbSurface
from flatten.limb.which.choose import one_limb
from flatten.mesh.surface import Floats
from flatten.scan.model import Scan
from flatten.scan.read import read_scan
from flatten.scan.unit import AmbiguousUnitError
from flatten.steps import Announce, Step
from flatten.threads import one_thread
from flatten.units import MM_PER_UNIT

CLEAR_UNIT = 1.5
"""Ratio of girths. Nearer to the tape than this one unit alone can be, since cm and inch differ by 2.54, and farther
off no scan has been seen."""

TAPES_APART = 0.05
"""Share by which the scales that tape girths ask for may differ: a reading's error of 4 mm on a wrist is half of it."""

SURE = 2.0
"""Reading errors of a tape within which 19 of 20 readings lie: a scan that is off by less may well have been right."""

SCALE_SETTLED = 1e-5
"""Share by which the scale still moves when it and the places of the tapes are found: 0.004 mm of a calf's girth."""

SCALE_ROUNDS = 30
"""Rounds at most: each halves the error at least, unless the girth grows more than half as fast as the height."""

UNSEEN = 0.1
"""Share of a limb that is bridged from which on this is told before leather is cut: holes of a phone's scan are a few
per cent, a side that nobody walked round is a quarter and more. From memory."""

LOUD_SCALE = 0.10
"""Share. A tape that says the scan is off by more than this is told loudly: most often a wrong unit or a slip."""


@dataclass(frozen=True, eq=False)
class Found:
    """What a scan shows: the cleaned scan, the limb in it, its skin, and what the user must hear."""

    scan: Scan
    limb: Limb
    skin: LimbSurface
    findings: tuple[Finding, ...]


def measure(settings: ScanSettings, *, folder: Path, announce: Announce) -> Found:
    """The limb in a scan file of `folder`, scaled by the tape girths.

    Raises ScanError, LimbError or FrontError as `read` and `find` do.
    """
    return find(read(settings, path=folder / settings.file, announce=announce), settings, announce=announce)


@one_thread
def read(settings: ScanSettings, *, path: Path, announce: Announce) -> Scan:
    """The scan in the file `path`, in mm, not yet scaled by a tape.

    Where its unit may be one of several, and a tape girth is given, the unit is the one whose girth is nearest the
    tape's.

    Raises ScanError where it cannot be read or its unit is not known, FrontError where the tape must tell the unit and
    the scan does not show the front.
    """
    announce(Step.READING)
    try:
        return read_scan(path, unit=None if settings.unit == "auto" else settings.unit, pick=_pick(settings))
    except AmbiguousUnitError as error:
        if not settings.tape:
            raise
        return _by_tape(settings, path, error)


def _by_tape(settings: ScanSettings, path: Path, ambiguous: AmbiguousUnitError) -> Scan:
    best, least = None, np.log(CLEAR_UNIT)
    for unit in ambiguous.units:
        whole = replace(read_scan(path, unit=unit, pick=_pick(settings)), unit_from="tape")
        try:
            limb, skin = _found(_one(whole, settings), settings)
            girths = [tape_girth(skin, tape_height(limb, tape.at)) / tape.girth for tape in settings.tape]
        except FrontError:
            raise
        except LimbError:
            # In this unit it is no limb, or none with a girth where the tape was laid.
            continue
        away = abs(float(np.mean(np.log(girths))))
        if away < least:
            best, least = whole, away
    if best is None:
        raise ambiguous
    return best


@one_thread
def find(scan: Scan, settings: ScanSettings, *, announce: Announce) -> Found:
    """The limb in a scan as `read` gives it, scaled by the tape girths.

    The scan that comes back holds that limb alone. Raises ScanError where the tape girths ask for an unbelievable
    scale, LimbError or FrontError where the limb cannot be found, or where there are several and none is picked.
    """
    announce(Step.FINDING)
    scan = _one(scan, settings)
    limb, skin = _found(scan, settings)
    findings: list[Finding] = []
    if scan.unit_from == "guessed" and not settings.tape:
        findings.append(finding("tape.unit guessed", "look", unit=scan.unit))
    if not settings.tape:
        findings.append(finding("tape.none", "look"))
        limb = _by_joint(limb, skin, settings, scale=1.0)
        return Found(scan, limb, skin, (*limb.findings, *unseen_findings(limb, skin), *findings))
    scale, asked = 0.0, 1.0
    for _ in range(SCALE_ROUNDS):
        if abs(asked - scale) < SCALE_SETTLED * asked:
            break
        scale = asked
        limb = _by_joint(limb, skin, settings, scale=scale)
        correction, scanned = _by_tapes(settings.tape, limb, skin)
        asked = correction.factor if isinstance(settings.joint, float) else scale
    scan = corrected(scan, limb, skin, correction)
    limb, skin = scaled_limb(limb, skin, correction)
    limb = _by_joint(limb, skin, settings, scale=1.0)
    left = [tape_girth(skin, tape_height(limb, tape.at)) - tape.girth for tape in settings.tape]
    findings += tape_findings(limb.kind, settings.tape, scanned=scanned, left=left)
    return Found(scan, limb, skin, (*limb.findings, *unseen_findings(limb, skin), *findings))


def _by_tapes(tapes: Sequence[Tape], limb: Limb, skin: LimbSurface) -> tuple[Correction, Floats]:
    """What takes the limb as scanned to the tapes, and the girths (k,) of the scan where they were laid.

    A height in mm was measured on the limb itself: on a scan that is too small the same place lies lower. So scale and
    place are found in turn; a limb's girth grows more slowly than its height, so that each round comes nearer.
    """
    taped = np.array([tape.girth for tape in tapes])
    factor = 1.0
    for _ in range(SCALE_ROUNDS):
        places = [tape_height(limb, tape.at) / (1.0 if isinstance(tape.at, str) else factor) for tape in tapes]
        scanned = np.array([tape_girth(skin, place) for place in places])
        correction = tape_correction(np.array(places), scanned=scanned, taped=taped)
        if abs(correction.factor / factor - 1.0) < SCALE_SETTLED:
            break
        factor = correction.factor
    return correction, scanned


def _odd_one(tapes: Sequence[Tape], factors: Floats) -> str | float | None:
    """Where the one tape was laid without which all others agree; None where there is no such one."""
    odd = [
        tape
        for number, tape in enumerate(tapes)
        if len(tapes) > 2 and np.ptp(np.log(np.delete(factors, number))) <= np.log(1.0 + TAPES_APART)
    ]
    return odd[0].at if len(odd) == 1 else None


def unseen_findings(limb: Limb, skin: LimbSurface) -> list[Finding]:
    """What to know where the scan leaves so much of the limb to be guessed that its pattern hangs on it."""
    if skin.bridged_share < UNSEEN:
        return []
    wide, kind = skin.bridges[0], limb.kind
    return [
        finding(
            "limb.unseen",
            "stop",
            place=kind.place(height=wide.height, bearing=wide.bearing),
            share=skin.bridged_share,
            bare=not limb.cloth_edges,
            where=kind.at(wide.height, wide.bearing),
            off=wide.uncertainty,
        )
    ]


def tape_findings(kind: LimbKind, tapes: Sequence[Tape], *, scanned: Floats, left: Sequence[float]) -> list[Finding]:
    """What tape girths say of a scan whose girths there were `scanned` mm and, corrected, are `left` mm wider."""
    factors = np.array([tape.girth for tape in tapes]) / scanned
    found = []
    worst = float(factors[np.argmax(np.abs(np.log(factors)))])
    if abs(worst - 1.0) > LOUD_SCALE:
        found.append(finding("tape.far off", "look", off=abs(1 / worst - 1.0), small=worst > 1))
    if factors.max() / factors.min() > 1.0 + TAPES_APART:
        apart = float(factors.max() / factors.min() - 1.0)
        found.append(finding("tape.disagree", "look", apart=apart, odd=_odd_one(tapes, factors)))
    if len(tapes) == 1 and not found:
        found.append(_one_tape(worst, girth=tapes[0].girth))
    if len(tapes) > 1:
        for tape, factor, rest in zip(tapes, factors.tolist(), left, strict=True):
            place = NOWHERE if isinstance(tape.at, str) else kind.place(height=tape.at)
            off = abs(1 / factor - 1.0)
            found.append(finding("tape.each", "look", place=place, at=tape.at, off=off, narrower=factor > 1, left=rest))
    return found


def _one_tape(factor: float, *, girth: float) -> Finding:
    """How far off the scan was by its one tape girth, mm, and how sure that is."""
    off, share = abs(1 / factor - 1.0), TAPE_ERROR / girth
    agrees = off < SURE * share
    return finding("tape.one", "look", off=off, small=factor > 1, agrees=agrees, sigma=TAPE_ERROR, share=share)


def _pick(settings: ScanSettings) -> tuple[float, float, float] | None:
    """The picked point in the file's own unit; None where nobody picked."""
    return settings.pick if isinstance(settings.pick, tuple) else None


def _one(scan: Scan, settings: ScanSettings) -> Scan:
    """The one limb of the scan, or the picked one of several."""
    pick = _pick(settings)
    return one_limb(scan, pick=None if pick is None else _in_mm(pick, scan))


def _by_joint(limb: Limb, skin: LimbSurface, settings: ScanSettings, *, scale: float) -> Limb:
    """The limb with its joint where a tape says, if one does; on it a limb is `scale` times as large as on the scan."""
    given = settings.joint
    return with_joint(limb, skin, height=given / scale) if isinstance(given, float) else limb


def _found(scan: Scan, settings: ScanSettings) -> tuple[Limb, LimbSurface]:
    """The limb and its skin; front and joint as the job file says."""
    front: Front | None = None
    if isinstance(settings.front, tuple):
        front = FrontDirection(settings.front)
    elif not isinstance(settings.front, str):
        front = FrontPoint(_in_mm(settings.front.point, scan))
    joint = JointPoint(_in_mm(settings.joint.point, scan)) if isinstance(settings.joint, Point) else None
    return find_limb(scan, kind=kind_named(settings.limb), side=settings.side, front=front, joint=joint)


def _in_mm(point: Vector, scan: Scan) -> Vector:
    """A point of the scan's file as a place on the scan as it is now."""
    x, y, z = (value * scan.scale * MM_PER_UNIT[scan.unit] for value in point)
    return (x, y, z)
