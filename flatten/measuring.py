"""The limb in a scan as a job asks for it: the scan's unit, its scale by tape girths, and its skin."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from flatten.findings import Finding, finding
from flatten.job.points import Point, Vector
from flatten.job.settings import AUTO, ScanSettings
from flatten.limb.anatomy.bone import bone_below
from flatten.limb.find import find_limb
from flatten.limb.girths.belief import Reading
from flatten.limb.girths.tapes import (
    CLEAR_UNIT,
    SCALE_ROUNDS,
    SCALE_SETTLED,
    Weighed,
    size_findings,
    tape_correction_of,
    tape_findings,
    tape_readings,
    unit_cost,
    weigh,
)
from flatten.limb.girths.taping import corrected
from flatten.limb.joint import with_joint
from flatten.limb.kind import kind_named
from flatten.limb.model import Front, FrontDirection, FrontError, FrontPoint, JointPoint, KindError, Limb, LimbError
from flatten.limb.scaled import scaled_limb
from flatten.limb.surface.model import LimbSurface
from flatten.limb.which.asking import front_ways
from flatten.limb.which.choose import one_limb
from flatten.limb.which.naming import limbs_of_parts
from flatten.scan.model import Scan, SeveralPartsError
from flatten.scan.parts import ASK_ONE, pick_lines
from flatten.scan.read import read_scan
from flatten.scan.unit import FIRST_SIZE, AmbiguousUnitError, NoSizeError
from flatten.steps import Announce, Step
from flatten.threads import one_thread
from flatten.units import NO_UNIT, unit_mm
from flatten.words.say import text

FIRST_SHARES = (1.0, 0.7, 1.5)
"""Shares of FIRST_SIZE that a scan without a size of its own is tried at until a limb is found in it."""

UNSEEN = 0.1
"""Share of a limb that is bridged from which on this is told before leather is cut: holes of a phone's scan are a few
per cent, a side that nobody walked round is a quarter and more. From memory."""


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

    Where its unit may be one of several, and tape girths are given, the unit is the one that they and people's girths
    fit best; what then still contradicts it is found by `find`.

    One that has no size of its own (NO_UNIT) is about as large as the tapes say: so no threshold in mm hangs on the
    size of its file.

    Raises ScanError where it cannot be read or its unit is not known, NoSizeError where it has no size of its own and
    there is no tape, LimbError or FrontError where tapes must tell unit or size and the limb cannot be found.
    """
    announce(Step.READING)
    if settings.unit == NO_UNIT:
        return _without_unit(settings, path)
    try:
        return read_scan(path, unit=None if settings.unit == "auto" else settings.unit, pick=_pick(settings))
    except SeveralPartsError as error:
        raise _with_names(error) from None
    except AmbiguousUnitError as error:
        if not settings.tape:
            raise
        return _by_tape(settings, path, error)


def _without_unit(settings: ScanSettings, path: Path) -> Scan:
    if not settings.tape:
        raise NoSizeError(
            f'{path.name} has no size of its own (unit = "none"), and only a girth by tape can give it one: measure '
            'the limb where it is widest and give it as --tape "386 mm", on the page where it is asked whether the '
            'scan is true to size, or in the job file as\n[[scan.tape]]\nat = "widest"\ngirth = "386 mm"'
        )
    failed: list[LimbError] = []
    for share in FIRST_SHARES:
        scan = read_scan(path, unit=NO_UNIT, pick=_pick(settings), size=share * FIRST_SIZE)
        try:
            limb, skin = _found(_one(scan, settings), settings)
            limb, _, weighed = _weighed(scan, limb, skin, settings)
        except FrontError:
            raise
        except LimbError as error:
            # As large as that it is no limb; a scan that shows much of the next limb, or little of it, may be another.
            failed.append(error)
            continue
        factor = tape_correction_of(weighed.kept, limb, skin).factor
        return read_scan(path, unit=NO_UNIT, pick=_pick(settings), size=factor * share * FIRST_SIZE)
    raise failed[0]


def _with_names(error: SeveralPartsError) -> SeveralPartsError:
    """The error about two parts of a scan, each called by what it shows."""
    limbs, _ = limbs_of_parts(error.parts)
    lines = pick_lines([(text(limb.name), limb.place) for limb in limbs], unit=error.scale * unit_mm(error.unit))
    return SeveralPartsError(
        error.seen,
        way=f"{ASK_ONE}:{lines}",
        points=error.points,
        faces=error.faces,
        unit=error.unit,
        scale=error.scale,
        parts=error.parts,
    )


def _by_tape(settings: ScanSettings, path: Path, ambiguous: AmbiguousUnitError) -> Scan:
    costs: list[tuple[float, Scan]] = []
    for unit in ambiguous.units:
        whole = replace(read_scan(path, unit=unit, pick=_pick(settings)), unit_from="tape")
        try:
            limb, skin = _found(_one(whole, settings), settings)
            readings = tape_readings(_tapes(settings), limb, skin)
        except FrontError:
            raise
        except LimbError:
            # In this unit it is no limb, or none with a girth where the tape was laid.
            continue
        costs.append((unit_cost(readings, limb, skin), whole))
    costs.sort(key=lambda each: each[0])
    if not costs or (len(costs) > 1 and costs[1][0] - costs[0][0] < CLEAR_UNIT):
        raise ambiguous
    return costs[0][1]


@one_thread
def find(scan: Scan, settings: ScanSettings, *, announce: Announce) -> Found:
    """The limb in a scan as `read` gives it, scaled by the tape girths.

    The scan that comes back holds that limb alone. Raises ScanError where the tape girths ask for an unbelievable
    scale, LimbError or FrontError where the limb cannot be found, or where there are several and none is picked.
    """
    announce(Step.FINDING)
    found = _found_scaled(_one(scan, settings), settings)
    bone = bone_below(found.limb, found.limb.frame.to_limb(found.scan.points))
    return replace(found, limb=replace(found.limb, bone=bone))


def _found_scaled(scan: Scan, settings: ScanSettings) -> Found:
    limb, skin = _found(scan, settings)
    findings: list[Finding] = []
    if scan.unit_from == "guessed" and not settings.tape:
        findings.append(finding("tape.unit guessed", "look", unit=scan.unit))
    if not settings.tape:
        findings.append(finding("tape.none", "look"))
        limb = _by_joint(limb, skin, settings, scale=1.0)
        found = (*findings, *size_findings(limb, skin, scan.scale))
        return Found(scan, limb, skin, (*limb.findings, *unseen_findings(limb, skin), *found))
    limb, readings, weighed = _weighed(scan, limb, skin, settings)
    if weighed.kept:
        correction = tape_correction_of(weighed.kept, limb, skin)
        scan = corrected(scan, limb, skin, correction)
        limb, skin = scaled_limb(limb, skin, correction)
        limb = _by_joint(limb, skin, settings, scale=1.0)
    findings += [*weighed.findings, *tape_findings(limb, skin, readings, weighed, unit=scan.unit)]
    findings += size_findings(limb, skin, scan.scale)
    return Found(scan, limb, skin, (*limb.findings, *unseen_findings(limb, skin), *findings))


def _weighed(
    scan: Scan, limb: Limb, skin: LimbSurface, settings: ScanSettings
) -> tuple[Limb, tuple[Reading, ...], Weighed]:
    """The limb as scanned with its joint as given, and what the tapes ask of it.

    A joint told in mm lies on the scan where its scale puts it, and the widest place of the limb with it: scale and
    joint are found in turn.
    """
    scale, asked = 0.0, 1.0
    for _ in range(SCALE_ROUNDS):
        if abs(asked - scale) < SCALE_SETTLED * asked:
            break
        scale = asked
        limb = _by_joint(limb, skin, settings, scale=scale)
        readings = tape_readings(_tapes(settings), limb, skin)
        weighed = weigh(readings, limb, skin, unit=scan.unit, unit_from=scan.unit_from)
        if weighed.kept and isinstance(settings.joint, float):
            asked = tape_correction_of(weighed.kept, limb, skin).factor
    return limb, readings, weighed


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


def _tapes(settings: ScanSettings) -> list[tuple[str | float, float]]:
    return [(tape.at, tape.girth) for tape in settings.tape]


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
    kind = None if settings.limb == AUTO else kind_named(settings.limb)
    side = None if settings.side == AUTO else settings.side
    try:
        return find_limb(scan, kind=kind, side=side, front=front, joint=joint)
    except KindError:
        raise
    except FrontError as error:
        raise FrontError(error.asked, ways=front_ways(scan.points)) from error


def _in_mm(point: Vector, scan: Scan) -> Vector:
    """A point of the scan's file as a place on the scan as it is now."""
    x, y, z = (value * scan.scale * unit_mm(scan.unit) for value in point)
    return (x, y, z)
