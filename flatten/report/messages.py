"""What a report tells of a scan, its limb and what is made for it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from flatten.findings import Finding, Message, Place, finding, message
from flatten.leather.messages import least_message, verdict_message
from flatten.leather.model import VERDICTS, StretchReport
from flatten.limb.girths.girth import Girth
from flatten.limb.kind import DistalLimb
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.report.model import Advised, PanelReport
from flatten.scan.model import Scan
from flatten.units import NO_UNIT
from flatten.worn.neutral import Wear

HALF_KEPT = 5.04
"""Wavelength that a fit keeps half of, in units of its smoothing: 2π/u where 1 − (1 − 1/(1 + u⁴))² is a half."""

HARDLY_BRIDGED = 0.0005
"""Share of bridged surface that is told as none: it would be written as 0.0 %."""

LEAST_NOISE = 0.01
"""mm of noise that is told at the least."""


def girth_name(limb: Limb, girth: Girth) -> Message:
    """A girth's name as a heading: "Widest calf", "Ankle", "Top edge"; empty where it has none of its own."""
    return message("report.girth name", girth=limb.kind.widest if girth.name == "widest" else girth.name)


def worst(panels: Sequence[PanelReport]) -> StretchReport:
    """The stretch of the panel, of one at least, with the gravest verdict, and among equals of the one furthest over
    its limits."""
    return max((panel.stretch for panel in panels), key=lambda s: (VERDICTS.index(s.verdict), s.excess))


def headline(panels: Sequence[PanelReport]) -> Message:
    """Whether the leather takes the shape, of the piece that asks most of it; one at least."""
    return verdict_message(worst(panels))


def bound_message(panel: PanelReport, *, piece: str | None) -> Message | None:
    """What no pattern can do without, None where no bound was computed; `piece` names it where there are several."""
    if panel.least_spread is None:
        return None
    cause = None if panel.binding is None else panel.binding.cause
    return least_message(panel.least_spread, panel.stretch.spread, cause=cause, piece=piece)


def advice_found(panels: Sequence[PanelReport], advice: Sequence[Advised] | None) -> Message | None:
    """How the advice about panels is to be taken; None where none was looked for or none is needed."""
    fits = all(panel.stretch.fits for panel in panels)
    if advice is None or (fits and not advice):
        return None
    if not advice:
        return message("report.no advice")
    if fits and not any(panel.flat.overlaps for panel in panels):
        return message("report.only just")
    return message("report.any of these")


def advice_lead(panels: Sequence[PanelReport], advice: Sequence[Advised] | None) -> Message | None:
    """The same, and how a piece of advice is followed."""
    lead = advice_found(panels, advice)
    if lead is None or not advice:
        return lead
    return message("report.advice lead", lead=lead, use=message("report.advice use"))


def girth_messages(limb: Limb, girths: Sequence[Girth]) -> list[Message]:
    """The named girths of the limb: "Widest calf 392 mm, 251 mm above the ankle"."""
    return [
        message(
            "report.girth",
            girth=girth_name(limb, girth),
            length=girth.tape,
            where=limb.kind.at_height(girth.height) if round(girth.height) else None,
        )
        for girth in landmark_girths(limb, girths)
    ]


def landmark_girths(limb: Limb, girths: Sequence[Girth]) -> list[Girth]:
    """The girths at the limb's landmarks, in their order."""
    names = [mark.name for mark in limb.landmarks]
    return [girth for girth in girths if girth.name in names]


def worn_message(wear: Wear) -> Message:
    """What lies between skin and leather, and how far out the leather's mid-line is."""
    return message(
        "report.worn",
        least=min(wear.under),
        most=max(wear.under),
        ease=wear.ease,
        thickness=wear.thickness,
        offset=mean_offset(wear),
        lining=message("lining.beneath", thickness=wear.lining) if wear.lining else None,
        over=message("report.worn over", over=wear.over) if wear.over else None,
    )


def mean_offset(wear: Wear) -> float:
    """Mean distance (mm) of the neutral surface from the skin, over a full turn."""
    return float(wear.offset(np.linspace(0.0, 2 * np.pi, 360, endpoint=False)).mean()) + wear.over


def fit_message(skin: LimbSurface) -> Message:
    """How near the smooth surface lies to the scan, and how much of it has no scan beneath it."""
    return message(
        "report.fit",
        rms=skin.rms,
        p99=skin.p99,
        smoothed=_smoothed(skin),
        bridged=skin.bridged_share if skin.bridged_share >= HARDLY_BRIDGED else None,
    )


def _smoothed(skin: LimbSurface) -> Message | None:
    """What was taken for the scan's noise, and what is left of it; None for a surface that no fit made."""
    if skin.smoothing == 0.0:
        return None
    return message("report.smoothed", ripples=HALF_KEPT * skin.smoothing, noise=max(LEAST_NOISE, skin.noise_left))


def scan_messages(scan: Scan, limb: Limb) -> list[Message]:
    """The file, how its unit and the front are known, the scale, and each thing that was done to the scan."""
    messages = [message("report.file", file=scan.file, unit=scan.unit, unit_from=scan.unit_from)]
    if scan.scale != 1.0 and scan.unit != NO_UNIT:
        messages.append(message("report.scaled", scale=scan.scale))
    messages.append(message("report.limb", side=limb.side, kind=limb.kind.name, front=front_message(limb)))
    return [*messages, *joint_messages(limb), *(scan.repairs or [message("report.not repaired")])]


def front_message(limb: Limb) -> Message:
    """How a limb's front is known: "is known from the foot"."""
    return message("report.front", front_from=limb.front_from)


def zero_message(limb: Limb, girths: Sequence[Girth]) -> Message:
    """What heights count from, how far that is above the bone below it, and how to find it on the body."""
    zero, bone = limb.kind.zero, limb.bone
    reads = next((girth.tape for girth in girths if girth.name == zero), None)
    return message(
        "report.zero",
        zero=limb.kind.zero_name,
        how=message("zero.how", landmark_or_widest=zero, reads=reads),
        below=None if bone is None else -bone.height,
        sigma=None if bone is None else bone.sigma,
        bone=isinstance(limb.kind, DistalLimb) and limb.kind.bone is not None,
    )


def joint_messages(limb: Limb) -> list[Message]:
    """How sure the place of each joint is that no girth shows, and what to do about it; where no caution tells it."""
    messages = []
    for mark in limb.landmarks:
        if not mark.sigma or (limb.asked is not None and mark.name == limb.kind.joint_mark):
            continue
        if mark == limb.landmarks[0]:
            messages.append(message("report.zero doubt", zero=limb.kind.zero_name, sigma=mark.sigma))
        else:
            where = limb.kind.at_height(mark.height)
            messages.append(message("report.joint doubt", landmark=mark.name, where=where, sigma=mark.sigma))
    return messages


def trouble_findings(panels: Sequence[PanelReport], names: Sequence[str | Message]) -> list[Finding]:
    """What stands in the way of cutting the panels' pieces, called by `names`, apart from the stretch."""
    troubles = []
    for panel, name in zip(panels, names, strict=True):
        if panel.flat.overlaps:
            troubles.append(finding("report.overlaps", "stop", place=Place(part=panel.flat.panel.name), piece=name))
        if not panel.flat.converged:
            troubles.append(finding("report.unfinished", "look", place=Place(part=panel.flat.panel.name), piece=name))
    return troubles
