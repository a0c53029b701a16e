"""Findings that have a place, as pins on limb and leather: what each says, how grave it is, and where it leads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from cli.page.known import SessionState
from cli.page.line_places import PinPlace, line_place
from flatten.errors import CalfskinError
from flatten.findings import Finding
from flatten.job.resolve import resolve
from flatten.leather.model import Spot, StretchReport
from flatten.report.limbs import job_findings, job_troubles
from flatten.report.verdict import Verdict
from flatten.words import say
from flatten.worn.cuts import Cuts

MOST_PINS = 6
"""Pins that are shown, the gravest first: more would hide the leather that they are about."""


def pins(current: SessionState, verdict: Verdict | None, *, questions: Mapping[str, str]) -> list[dict[str, Any]]:
    """Stops, and what of limb and pattern is to be looked at, where their places are known.

    Each has its words, severity and question (by a stop's key in `questions`; "" where all that is told answers), its
    place `at` on the worn limb (front, lateral, height in mm) and its `chart` there (height mm, bearing radians), of
    a seam that of the leather beside it.
    """
    if verdict is None or current.limb is None or current.worn is None:
        return []
    surface = current.worn.surface
    stops = [(stop.finding, say.stop(stop.finding), questions[stop.key]) for stop in verdict.open]
    known = [found for found, _, _ in stops]
    looks = [
        (found, say.text(found), "") for found in _found(current) if found.severity == "look" and found not in known
    ]
    cuts = _cuts(current)
    shown = []
    for found, words, question in (*stops, *looks):
        place = _place(found, current, cuts)
        if place is None:
            continue
        height, bearing = float(np.clip(place.height, *surface.trusted)), place.bearing
        (at,) = np.round(surface.points(np.array([height]), np.array([bearing])), 2).tolist()
        shown.append(
            {"words": words, "severity": found.severity, "question": question, "at": at, "chart": list(place.beside)}
        )
    return shown[:MOST_PINS]


def _found(current: SessionState) -> list[Finding]:
    """What was found of the limb, and of the pattern where it is that of the job as it stands."""
    made = current.made if current.made_job == current.job else None
    of_limb = list(current.limb.findings) if current.limb else []
    of_pattern = [*job_troubles(made.result.report), *job_findings(made.result.report)] if made else []
    return [*of_limb, *(found for found in of_pattern if found not in of_limb)]


def _cuts(current: SessionState) -> Cuts | None:
    """The lines of the job; None where they cannot be, which its failure tells."""
    assert current.job is not None
    assert current.limb is not None
    try:
        return resolve(current.job, current.limb.limb, skin=current.limb.skin).cuts
    except CalfskinError:
        return None


def _place(found: Finding, current: SessionState, cuts: Cuts | None) -> PinPlace | None:
    """A finding's place: its own, that of the line it is about, or where the panel that it is about asks most."""
    if found.place.height is not None:
        return PinPlace(found.place.height, found.place.bearing or 0.0)
    assert current.limb is not None
    assert current.worn is not None
    on_line = None if cuts is None else line_place(found, cuts, current.limb.limb.kind, current.worn.surface)
    if on_line is not None:
        return on_line
    stretches: Iterable[StretchReport] = (
        () if current.leather is None else (panel.stretch for panel in current.leather.laid.panels)
    )
    spot = next((_worst(stretch) for stretch in stretches if stretch.panel == found.place.part), None)
    return None if spot is None else PinPlace(spot.height, spot.bearing)


def _worst(stretch: StretchReport) -> Spot:
    """The place that asks for the greater part of what its limit allows."""
    limits = stretch.limits.in_force
    stretched = (stretch.most.stretch - 1.0) * min(limits.squeeze_along, limits.squeeze_across)
    squeezed = (1.0 - stretch.least.stretch) * min(limits.stretch_along, limits.stretch_across)
    return stretch.most if stretched >= squeezed else stretch.least
