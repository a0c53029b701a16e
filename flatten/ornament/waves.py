"""A repeat of a border: wave strands that follow each other, and straight reeds that they pass to and fro."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats

_CRESTS = 0.12
"""How much sharper crests are than troughs, as water's are, as a share of what would give them points: Gerstner's
trochoid (1802). Three times as much leaves a band's inner edge no room at a crest."""

_REEDS = 0.5
"""Share of the amplitude that two reeds lie to each side of the middle: two opposite waves meet between them, and cross
them at a wider angle than nearer to their crests."""


def phases(waves: int, *, reeds: int) -> Floats:
    """The phases (n,) rad of wave strands: evenly spread, or with one place left out where they would meet on a reed.

    Opposite waves meet in the middle: three lines in one point where a single reed lies there. An even number beside
    one therefore takes neighbouring corners of a regular polygon with a corner more.
    """
    corners = waves + 1 if reeds == 1 and waves % 2 == 0 else waves
    return 2.0 * np.pi * np.arange(waves) / corners


def reeds_at(reeds: int, amplitude: float) -> Floats:
    """How far aside (n,) mm the reeds lie."""
    places = {0: [], 1: [0.0], 2: [-_REEDS, _REEDS]}[reeds]
    return amplitude * np.array(places, dtype=np.float64)


def middle(phase: Floats) -> float:
    """The place x, rad, in a repeat about which waves of such phases are their own mirror image; so are they half a
    repeat further on."""
    return float(-(phase[0] + phase[-1]) / 2.0)


def wave(at: Floats, phase: float, *, pitch: float, amplitude: float) -> Floats:
    """Points (n,2) mm of a wave at parameters (n,) rad: along, and aside from the middle, where its crests are
    positive."""
    roll = _CRESTS * pitch / (2.0 * np.pi)
    angle = at + phase
    return np.stack([pitch * at / (2.0 * np.pi) - roll * np.sin(angle), amplitude * np.cos(angle)], axis=1)
