"""Findings that have a place, as pins on limb and leather: what each says, how grave it is, and where it leads."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from cli.page.known import SessionState
from flatten.findings import Finding
from flatten.leather.model import Spot, StretchReport
from flatten.report.verdict import Verdict
from flatten.words import say

MOST_PINS = 6
"""Pins that are shown, the gravest first: more would hide the leather that they are about."""


def pins(current: SessionState, verdict: Verdict | None, *, questions: Mapping[str, str]) -> list[dict[str, Any]]:
    """Stops, and what of the limb is to be looked at, where their places are known.

    Each has its words, severity and question (by a stop's key in `questions`; "" where all that is told answers), its
    place `at` on the worn limb (front, lateral, height in mm) and its `chart` there (height mm, bearing radians).
    """
    if verdict is None or current.limb is None or current.worn is None:
        return []
    surface = current.worn.surface
    stops = [(stop.finding, say.stop(stop.finding), questions[stop.key]) for stop in verdict.open]
    known = [found for found, _, _ in stops]
    looks = [
        (found, say.text(found), "")
        for found in current.limb.findings
        if found.severity == "look" and found not in known
    ]
    shown = []
    for found, words, question in (*stops, *looks):
        place = _place(found, () if current.leather is None else (p.stretch for p in current.leather.laid.panels))
        if place is None:
            continue
        height, bearing = float(np.clip(place[0], *surface.trusted)), place[1]
        (at,) = np.round(surface.points(np.array([height]), np.array([bearing])), 2).tolist()
        shown.append(
            {"words": words, "severity": found.severity, "question": question, "at": at, "chart": [height, bearing]}
        )
    return shown[:MOST_PINS]


def _place(found: Finding, stretches: Iterable[StretchReport]) -> tuple[float, float] | None:
    """Height and bearing of a finding: its own, or where the panel that it is about asks most of its leather."""
    if found.place.height is not None:
        return found.place.height, found.place.bearing or 0.0
    spot = next((_worst(stretch) for stretch in stretches if stretch.panel == found.place.part), None)
    return None if spot is None else (spot.height, spot.bearing)


def _worst(stretch: StretchReport) -> Spot:
    """The place that asks for the greater part of what its limit allows."""
    limits = stretch.limits.in_force
    stretched = (stretch.most.stretch - 1.0) * min(limits.squeeze_along, limits.squeeze_across)
    squeezed = (1.0 - stretch.least.stretch) * min(limits.stretch_along, limits.stretch_across)
    return stretch.most if stretched >= squeezed else stretch.least
