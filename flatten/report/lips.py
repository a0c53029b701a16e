"""Flared lips, and edges that come out in waves, as findings and numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flatten.findings import Finding
from flatten.leather.lips import FlaredRim
from flatten.leather.messages import wave_finding
from flatten.report.model import LimbReport


def wave_findings(limb: LimbReport) -> list[Finding]:
    """Which edges of a limb's flat pieces come out in waves."""
    flared = {rim.edge for rim in limb.rims}
    return [
        wave_finding(wave, piece=name, flared=wave.edge in flared, kind=limb.limb.kind)
        for panel, name in zip(limb.panels, limb.names, strict=True)
        for wave in panel.waves
    ]


def lip_numbers(rims: Sequence[FlaredRim]) -> list[dict[str, Any]]:
    """report.json's `lips`: each flared lip, its rim worn and flat, mm; empty where none was asked for."""
    return [
        {
            "edge": rim.edge,
            "flare": rim.flare,
            "depth": rim.depth,
            "rim_worn": rim.worn,
            "rim_flat": rim.flat,
            "bend_radius": rim.radius,
        }
        for rim in rims
    ]
