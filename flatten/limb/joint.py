"""A joint that somebody gave in place of the one that was found, and what then lies elsewhere."""

from __future__ import annotations

from dataclasses import replace

from flatten.findings import Finding, finding
from flatten.limb.anatomy.course import JOINT_GIVEN
from flatten.limb.anatomy.joint import Joint
from flatten.limb.anatomy.landmarks import widest_height
from flatten.limb.kind import LimbKind, ProximalLimb
from flatten.limb.model import Landmark, Limb, LimbError
from flatten.limb.surface.model import LimbSurface

ASKED = 25.0
"""mm. A joint whose standard deviation is greater is asked for: an edge that is measured from it keeps a finger's
breadth off it at the least."""

LEAST_LIMB = 50.0
"""mm from ankle to knee or from wrist to elbow: a small child's forearm has 100."""

SETTLED = ("limb.joint unsure",)
"""Findings that a joint which is given settles."""


def unsure_findings(kind: LimbKind, joint: Joint | None, *, height: float, point: str) -> tuple[Finding, ...]:
    """That a joint at a height, mm, has to be asked for; nothing where signs agree on it well enough.

    `point` is the place where it is taken to be, in the scan file's own axes and unit, as a job file takes it.
    """
    if joint is None or (joint.sigma <= ASKED and not joint.others):
        return ()
    return (
        finding(
            "limb.joint unsure",
            "look",
            place=kind.place(height=height),
            kind=kind.name,
            landmark=kind.joint_mark,
            zero=kind.zero,
            above=height,
            sigma=joint.sigma,
            apart=max((abs(other - joint.along) for other in joint.others), default=0.0),
            line=f"joint = {{ point = {point} }}" if isinstance(kind, ProximalLimb) else None,
        ),
    )


def with_joint(limb: Limb, surface: LimbSurface, *, height: float) -> Limb:
    """The lower leg or forearm with its knee or elbow at a height, mm, and its widest place found again below it.

    Raises LimbError where that is no height above the limb's least girth.
    """
    marks = marks_with_joint(limb.landmarks, surface, kind=limb.kind, waist=0.0, height=height)
    findings = tuple(each for each in limb.findings if each.code not in SETTLED)
    return replace(limb, landmarks=marks, findings=findings)


def marks_with_joint(
    marks: tuple[Landmark, ...], surface: LimbSurface, *, kind: LimbKind, waist: float, height: float
) -> tuple[Landmark, ...]:
    """The landmarks of a limb whose least girth is at height `waist`, with its joint at a `height`, both mm.

    Raises LimbError as `with_joint` does.
    """
    if not height - waist > LEAST_LIMB:
        raise LimbError(
            f"the {kind.joint} that was given lies {height - waist:.0f} mm above the {kind.zero}, and a {kind} is "
            f"longer than {LEAST_LIMB:.0f} mm; give its height above the {kind.zero} by tape, or a point on it"
        )
    widest = widest_height(surface, waist, height)
    kept = [replace(mark, height=widest) if mark.name == "widest" else mark for mark in marks]
    kept = [mark for mark in kept if mark.name != kind.joint_mark]
    return (*kept, Landmark(kind.joint_mark, height, JOINT_GIVEN))
