"""The colours of stretch: bands of stretch and squeeze that mean the same figure in every report."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import Protocol

import numpy as np

from flatten.leather.model import Stretches
from flatten.mesh.surface import Floats, Ints

STRETCH_STEPS = (0.01, 0.02, 0.03, 0.04, 0.05, 0.07, 0.10)
"""Lower ends of the stretch bands; below the first a place counts as unstretched."""

SQUEEZE_STEPS = (0.01, 0.02, 0.03, 0.05)
"""Lower ends of the squeeze bands."""


class Patched(Protocol):
    """What is told of a flat panel by patch: their stretches, and the log-excess (F,) of each over the limits."""

    @property
    def patch(self) -> Stretches:
        """One about the centre of each face."""

    @property
    def over(self) -> Floats:
        """<= 0: within."""


@dataclass(frozen=True)
class Band:
    """A band of the ramp: its class in the page, and the percent between its ends as text, "1–2"."""

    kind: str
    words: str


@dataclass(frozen=True, eq=False)
class Fields:
    """What is coloured, at each vertex (V,): stretch and squeeze as shares, and the log-excess over the limits."""

    stretch: Floats
    squeeze: Floats
    over: Floats


def bands() -> tuple[Band, ...]:
    """All bands from the most squeezed to the most stretched, the unstretched one in the middle."""
    squeezed = _bands("q", SQUEEZE_STEPS)
    even = Band("even", "<1")
    return (*reversed(squeezed), even, *_bands("s", STRETCH_STEPS))


def vertex_fields(report: Patched, *, faces: Ints, count: int, areas: Floats) -> Fields:
    """Patch figures at the vertices: the mean of the faces about each, by their flat areas."""
    weight = np.bincount(faces.ravel(), np.repeat(areas, 3), minlength=count)
    used = weight > 0.0

    def at_vertices(values: Floats) -> Floats:
        total = np.bincount(faces.ravel(), np.repeat(values * areas, 3), minlength=count)
        return np.divide(total, weight, out=np.zeros(count), where=used)

    patch = report.patch
    return Fields(at_vertices(patch.greatest - 1.0), at_vertices(1.0 - patch.least), at_vertices(report.over))


def _bands(kind: str, steps: tuple[float, ...]) -> list[Band]:
    ends = [f"{100 * step:.0f}" for step in steps]
    words = [f"{low}–{high}" for low, high in pairwise(ends)] + [f"{ends[-1]}…"]
    return [Band(f"{kind}{k + 1}", text) for k, text in enumerate(words)]
