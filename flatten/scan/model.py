"""The scan as it travels on: points in mm, and a list of what was done to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from flatten.errors import CalfskinError
from flatten.findings import Finding
from flatten.mesh.surface import Floats, Ints, frozen, frozen_ints
from flatten.scan.areas import doubled_areas

SHOWN_POINTS = 6000
"""Points of what was left out that are kept for showing: a floor's are then 10 mm apart."""


class ScanError(CalfskinError, ValueError):
    """A scan cannot be read, or holds nothing that can be used."""


class SeveralPartsError(ScanError):
    """The scan shows two parts of like size apart from each other, and nobody picked one.

    `points` (N,3) mm and `faces` (F,3) are all that it shows, in the scan's own axes, of the file's `unit` and `scale`;
    `parts` are a place (3,) on each part and its points. `seen` says what it shows, without what is to be done.
    """

    def __init__(
        self,
        seen: str,
        *,
        way: str,
        points: Floats,
        faces: Ints,
        unit: str,
        scale: float,
        parts: Sequence[tuple[Floats, Floats]],
    ) -> None:
        """`way` says what is to be done about what is `seen`."""
        super().__init__(f"{seen}; {way}")
        self.seen, self.points, self.faces, self.parts = seen, points, faces, tuple(parts)
        self.unit, self.scale = unit, scale


@dataclass(frozen=True, eq=False)
class Scan:
    """A cleaned scan in mm, in the scan's own axes.

    `points` (N,3) and `normals` (N,3, unit, outward; zero where unknown); `faces` (F,3) into `points`
    (none for a point cloud: shape (0,3)). `unit` is the file's unit; `unit_from` says how it was known:
    "file", "given", "guessed" or "tape"; both are "none" where it has no size of its own. `scale` is the further factor
    that a tape girth gave (1.0: none), of a scan without a unit the mm of its unit.
    `faces_read` counts the faces in the file. `dropped` (M,3) mm are places of what was left out (floor, fragments,
    spikes), at most some thousands of them, for showing. `colours` (N,3, sRGB, 0 to 255) are those of the points, None
    where the file has none. `repairs` are what was done to it, each with its `count`.
    """

    file: str
    points: Floats
    normals: Floats
    faces: Ints
    unit: str
    unit_from: str
    scale: float
    faces_read: int
    repairs: tuple[Finding, ...]
    dropped: Floats = field(default_factory=lambda: np.empty((0, 3)))
    colours: NDArray[np.uint8] | None = None

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "points", frozen(self.points))
        object.__setattr__(self, "dropped", frozen(self.dropped))
        object.__setattr__(self, "normals", frozen(self.normals))
        object.__setattr__(self, "faces", frozen_ints(self.faces))
        if self.colours is not None:
            self.colours.flags.writeable = False

    @cached_property
    def areas(self) -> Floats:
        """Area of each face (F,), mm²."""
        return frozen(doubled_areas(self.points, self.faces) / 2)


def some_points(points: Floats) -> Floats:
    """At most SHOWN_POINTS of points (N,3), evenly through them."""
    return points[:: len(points) // SHOWN_POINTS + 1]
