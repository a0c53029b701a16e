"""Darts and slashes on a panel: where they leave its edge, and their sides as curves in the chart."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline

from flatten.mesh.surface import Floats
from flatten.worn.curves import Dart
from flatten.worn.panel import DartCutError
from flatten.worn.plan import Quad

ChartCurve = Callable[[Floats], Floats]
"""Chart points (n,2), height and bearing, of parameters (n,) in [0, 1]."""

LEAST_ASIDE = 20.0
"""mm. Leather kept beside a dart, between it and a seam or another dart: less holds no stitches or rivets."""

LEAST_BEYOND = 25.0
"""mm. Leather kept between a dart's tip and the other edge."""

_SAMPLES = 200


@dataclass(frozen=True)
class Notch:
    """A dart on a panel: the shares `leaves` of the panel's width (rising) at which it leaves the edge, and its sides.

    The `curves` run from the edge to the tip: one for a plain slit, else that of lower bearings first.
    """

    dart: Dart
    leaves: tuple[float, ...]
    curves: tuple[ChartCurve, ...]


def notches_of(quad: Quad, darts: Sequence[Dart]) -> tuple[Notch, ...]:
    """The darts that open on the panel of `quad`, as notches of its edges.

    Raises DartCutError where one comes too near a seam, the other edge, or another dart.
    """
    found = []
    for dart in darts:
        turn = _turn(quad, dart)
        if turn is not None:
            found.append(_notch(quad, dart, dart.bearing + turn))
    for edge in ("bottom", "top"):
        beside = sorted((notch for notch in found if notch.dart.edge == edge), key=lambda notch: notch.leaves)
        for one, other in itertools.pairwise(beside):
            _check_aside(quad, one, (one.leaves[-1], other.leaves[0]), f"dart '{other.dart.name}'")
    return tuple(found)


def _turn(quad: Quad, dart: Dart) -> float | None:
    """What the panel's bearings exceed the dart's by; None where the dart opens on another panel."""
    edge = quad.top if dart.edge == "top" else quad.bottom
    height = float(edge.height(dart.bearing))
    low, high = float(quad.low(height)), float(quad.high(height))
    turn = 2 * np.pi * np.ceil((low - dart.bearing) / (2 * np.pi))
    return float(turn) if dart.bearing + turn < high else None


def _notch(quad: Quad, dart: Dart, bearing: float) -> Notch:
    top = dart.edge == "top"
    edge, inward = (quad.top, -1.0) if top else (quad.bottom, 1.0)
    start = float(edge.height(bearing))
    tip = _tip(quad, dart, bearing, start, inward)
    speed = float(np.linalg.norm(quad.surface.tangents(np.array([start]), np.array([bearing]))[1]))

    def line(across: float) -> Callable[[Floats], Floats]:
        return lambda height: bearing + across / speed * (height - tip) / (start - tip)

    sides = (0.0,) if not dart.opening else (-0.5 * dart.opening, 0.5 * dart.opening)
    leaves, curves = [], []
    for across in sides:
        leaving = float(quad.meeting(line(across), edge))
        curves.append(_curve(line(across), leaving, tip))
        leaves.append(float(quad.square(curves[-1](np.zeros(1)))[0][0]))
    notch = Notch(dart, tuple(leaves), tuple(curves))
    _check_aside(quad, notch, (0.0, leaves[0]), "a seam")
    _check_aside(quad, notch, (leaves[-1], 1.0), "a seam")
    return notch


def _curve(line: Callable[[Floats], Floats], start: float, tip: float) -> ChartCurve:
    def curve(u: Floats) -> Floats:
        height = start + u * (tip - start)
        return np.column_stack([height, line(height)])

    return curve


def _tip(quad: Quad, dart: Dart, bearing: float, start: float, inward: float) -> float:
    """Height at which the dart has run its depth along the surface."""
    other = quad.bottom if inward < 0 else quad.top
    room = inward * (float(other.height(bearing)) - start)
    heights = start + inward * np.linspace(0.0, room, _SAMPLES)
    speed = np.linalg.norm(quad.surface.tangents(heights, np.full(_SAMPLES, bearing))[0], axis=1)
    run = CubicSpline(inward * (heights - start), speed).antiderivative()(inward * (heights - start))
    if dart.depth > run[-1] - LEAST_BEYOND:
        raise DartCutError(
            f"dart '{dart.name}' is {dart.depth:.0f} mm deep, and the leather is {run[-1]:.0f} mm long there; keep at "
            f"least {LEAST_BEYOND:.0f} mm beyond its tip"
        )
    return float(np.interp(dart.depth, run, heights))


def _check_aside(quad: Quad, notch: Notch, span: tuple[float, float], neighbour: str) -> None:
    """Raises DartCutError where two places on the notch's edge, shares of its width, are too near one another."""
    t = float(notch.dart.edge == "top")
    places = quad.surface.points(*quad.chart(np.linspace(*span, 20), np.full(20, t)).T)
    apart = float(np.linalg.norm(np.diff(places, axis=0), axis=1).sum())
    if span[0] >= span[1] or apart < LEAST_ASIDE:
        raise DartCutError(
            f"dart '{notch.dart.name}' comes within {apart if span[0] < span[1] else 0.0:.0f} mm of {neighbour} at the "
            f"{notch.dart.edge} edge; keep at least {LEAST_ASIDE:.0f} mm between them"
        )
