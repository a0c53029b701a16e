"""Flared lips, and edges that come out in waves, in words and numbers."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flatten.leather.lips import FlaredRim
from flatten.leather.waves import WINDOW
from flatten.limb.words import place
from flatten.report.model import LimbReport
from flatten.report.words import bend_judged, mm, percent


def lip_sentences(rims: Sequence[FlaredRim], *, thickness: float) -> list[str]:
    """What each flared lip asks of leather of a `thickness` (mm), along its rim and where it leaves the limb."""
    return [_sentence(rim, thickness=thickness) for rim in rims]


def _sentence(rim: FlaredRim, *, thickness: float) -> str:
    share = rim.stretch - 1.0
    grows = f"grows by {percent(share)}" if share >= 0.0 else f"is squeezed by {percent(-share)}"
    return (
        f"The lip of the {rim.edge} flares by {rim.flare:g} mm over {rim.depth:g} mm: its rim is {mm(rim.worn)} long "
        f"when worn and {mm(rim.flat)} when flat, so the leather {grows} along it. Where it leaves the limb it bends "
        f"to an inside radius of {mm(rim.radius)}, {bend_judged(rim.radius, thickness=thickness)}."
    )


def wave_cautions(limb: LimbReport) -> list[str]:
    """Which edges of a limb's flat pieces come out in waves, why, and what to do."""
    flared = {rim.edge for rim in limb.rims}
    return [
        f"The {wave.edge} of the flat piece “{name}” comes out in waves: over {WINDOW:.0f} mm it leaves a fair curve "
        f"by {wave.size:.1f} mm, most {place(limb.limb.kind, height=wave.height, bearing=wave.bearing)}, for the "
        f"leather is at its limits all along it. {_remedy(wave.edge, flared)}, or cut along a fair curve through the "
        f"middle of the waves."
        for panel, name in zip(limb.panels, limb.names, strict=True)
        for wave in panel.waves
    ]


def _remedy(edge: str, flared: set[str]) -> str:
    if edge in flared:
        return "Flare it by less or over more of its height"
    return f"Move it {'up' if edge == 'bottom edge' else 'down'} to where the limb flares less"


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
