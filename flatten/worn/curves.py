"""Edges and seams as smooth curves in the chart (height, bearing)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.interpolate import CubicSpline

from flatten.mesh.surface import Floats, frozen
from flatten.worn.panel import CutError, SeamCutError

SEAM_KINDS = ("laced", "strapped", "open", "snapped", "stitched", "riveted")

LEAST_OVERLAP = 8.0
"""mm. Leather on leather narrower than this holds no stitches: their line runs 3 to 4 mm from each edge."""

GAP_KINDS = ("laced", "strapped", "open")
"""Seams that leave a gap open between their sides."""

OPENING_KINDS = (*GAP_KINDS, "snapped")
"""Seams that can be opened to put the piece on; one that is snapped overlaps."""


@dataclass(frozen=True, eq=False)
class Edge:
    """A closed curve round the limb: `heights` (n,) mm at increasing `bearings` (n,) in [0, 2π), n >= 1.

    Between its control points it is the periodic cubic spline.
    """

    name: str
    bearings: Floats
    heights: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays. Raises CutError where the control points are no closed curve."""
        object.__setattr__(self, "bearings", frozen(self.bearings))
        object.__setattr__(self, "heights", frozen(self.heights))
        b = self.bearings
        if not len(b) or len(b) != len(self.heights) or b[0] < 0.0 or b[-1] >= 2 * np.pi or (np.diff(b) <= 0).any():
            raise CutError(f"{self.name}: control points must have increasing bearings once round the limb")

    @cached_property
    def _spline(self) -> CubicSpline:
        around = np.append(self.bearings, self.bearings[0] + 2 * np.pi)
        return CubicSpline(around, np.append(self.heights, self.heights[0]), bc_type="periodic")

    def height(self, bearing: Floats | float, *, nu: int = 0) -> Floats:
        """Height (N,) mm at bearings (N,), or its derivative by them."""
        first = self.bearings[0]
        return self._spline(np.mod(np.asarray(bearing, float) - first, 2 * np.pi) + first, nu)


@dataclass(frozen=True, eq=False)
class Seam:
    """A line up the limb: `bearings` (n,) at increasing `heights` (n,), n >= 1, and how it is closed.

    One point means the straight line at that bearing over the whole limb; several mean the natural cubic
    spline through them, which must reach past both edges. All widths are mm along the surface:

    - "laced", "strapped", "open": the two cut lines lie half a `gap` from the seam; `gap` is more than 0, an open
      seam's may be 0 (a plain slit).
    - "stitched": with no `overlap` both cut lines lie on the seam (edge to edge); with one, as riveted.
    - "riveted", "snapped": both sides run past the seam by half the `overlap`, and the seam is the line of the rivets
      (or snaps, or stitches) through both. `upper` says which leather lies on top: "before" the seam (at lower
      bearings) or "after" it. Where it is `skived`, both layers taper over the whole overlap, to that thickness at
      their edges (0: not skived).

    Seams with the same values are equal, so that what was worked out beside one is known for the other.
    """

    name: str
    kind: str
    gap: float
    heights: Floats
    bearings: Floats
    overlap: float = 0.0
    upper: str = ""
    skived: float = 0.0

    def __post_init__(self) -> None:
        """Freeze the arrays. Raises CutError where kind, widths or points are not a seam."""
        object.__setattr__(self, "bearings", frozen(self.bearings))
        object.__setattr__(self, "heights", frozen(self.heights))
        if self.kind not in SEAM_KINDS:
            raise SeamCutError(f"seam '{self.name}' is of kind '{self.kind}'; it can be {', '.join(SEAM_KINDS)}")
        self._check_widths()
        if not len(self.heights) or (np.diff(self.heights) <= 0).any():
            raise SeamCutError(f"seam '{self.name}': its points must climb from one to the next")

    @cached_property
    def _values(self) -> tuple[object, ...]:
        points = (self.heights.tobytes(), self.bearings.tobytes())
        return self.name, self.kind, self.gap, self.overlap, self.upper, self.skived, *points

    def __eq__(self, other: object) -> bool:
        """Whether the other is a seam of the same values."""
        return isinstance(other, Seam) and self._values == other._values

    def __hash__(self) -> int:
        """A hash of its values."""
        return hash(self._values)

    def _check_widths(self) -> None:
        if self.skived and not self.overlap:
            raise SeamCutError(f"seam '{self.name}' does not overlap, so there is nothing to skive; leave 'skive' out")
        words = "lacing gap" if self.kind == "laced" else "gap"
        if self.kind in GAP_KINDS:
            if not (np.isfinite(self.gap) and (self.gap > 0.0 or (self.kind == "open" and self.gap == 0.0))):
                raise SeamCutError(f"seam '{self.name}' has a {words} of {self.gap:g} mm; it must be more than 0 mm")
            if self.overlap:
                raise SeamCutError(f"seam '{self.name}' is {self.kind} and cannot overlap; leave its overlap out")
            return
        if self.gap:
            raise SeamCutError(f"seam '{self.name}' is {self.kind}, so it has no gap; leave its gap out")
        edge_to_edge = self.kind == "stitched" and self.overlap == 0.0
        if not (edge_to_edge or (np.isfinite(self.overlap) and self.overlap >= LEAST_OVERLAP)):
            raise SeamCutError(
                f"seam '{self.name}' has an overlap of {self.overlap:g} mm; it must be at least {LEAST_OVERLAP:g} mm"
            )
        if self.overlap and self.upper not in ("before", "after"):
            raise SeamCutError(f"seam '{self.name}' overlaps; say whether the leather before or after it lies on top")

    @property
    def offsets(self) -> tuple[float, float]:
        """Distances (mm along the surface, positive to higher bearings) from the seam to the cut lines of the
        leather before it and of the leather after it."""
        half = 0.5 * (self.gap - self.overlap)
        return -half, half

    @cached_property
    def _spline(self) -> CubicSpline:
        return CubicSpline(self.heights, self.bearings, bc_type="natural")

    def bearing(self, height: Floats | float, *, nu: int = 0) -> Floats:
        """Bearing (N,) at heights (N,), or its derivative; straight on beyond the first and last point."""
        height = np.asarray(height, float)
        if len(self.heights) == 1:
            return np.full(height.shape, 0.0 if nu else self.bearings[0])
        spline = self._spline
        low, high = self.heights[0], self.heights[-1]
        inside = np.clip(height, low, high)
        if nu == 0:
            return spline(inside) + spline(inside, 1) * (height - inside)
        return np.where(inside == height, spline(inside, nu), spline(inside, 1) if nu == 1 else 0.0)

    def reach(self, trusted: tuple[float, float]) -> tuple[float, float]:
        """Lowest and highest height that the maker drew the seam to; all of the trusted range for one point."""
        if len(self.heights) == 1:
            return trusted
        return float(self.heights[0]), float(self.heights[-1])


DART_KINDS = ("dart", "slash")


@dataclass(frozen=True)
class Dart:
    """A cut from an edge into the leather, straight up or down the limb at `bearing` (rad), `depth` mm along it.

    `edge` is "top" or "bottom". A "dart" is closed when worn, so that the flat piece opens to a wedge there; a
    "slash" is as wide as `opening` mm at the edge when worn (0: a plain slit) and narrows to nothing at its tip: in
    a hollow it lets the flat piece's sides come together where a dart's would lie one over the other.
    """

    name: str
    kind: str
    edge: str
    bearing: float
    depth: float
    opening: float = 0.0

    def __post_init__(self) -> None:
        """Raises CutError where kind, edge or sizes are not a dart."""
        if self.kind not in DART_KINDS:
            raise CutError(f"dart '{self.name}' is of kind '{self.kind}'; it can be {', '.join(DART_KINDS)}")
        if self.edge not in ("top", "bottom"):
            raise CutError(f"dart '{self.name}' opens on the {self.edge} edge; it can be top or bottom")
        if not (np.isfinite(self.bearing) and np.isfinite(self.depth) and self.depth > 0.0):
            raise CutError(f"dart '{self.name}' is {self.depth:g} mm deep; it must be more than 0 mm")
        if not (np.isfinite(self.opening) and self.opening >= 0.0):
            raise CutError(f"dart '{self.name}' has an opening of {self.opening:g} mm; it must be 0 mm or more")
        if self.opening and self.kind == "dart":
            raise CutError(f"dart '{self.name}' is closed when worn; leave its opening out, or make it a slash")
