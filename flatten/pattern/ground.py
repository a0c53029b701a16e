"""Flat leather that a part lies on: how near to its boundaries the part's edge comes, and where it may lie at all."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely

from flatten.mesh.places import ROUNDING, Places, located
from flatten.mesh.surface import Floats
from flatten.pattern.model import PatternError
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Panel


@dataclass(frozen=True)
class Nearest:
    """Where a curve comes nearest to what it is to keep from: `spare` mm more than the least distance (below 0: too
    near), `away` mm from boundary number `boundary` (below 0: beyond it), at the `height` (mm) and `bearing` (rad)."""

    spare: float
    away: float
    boundary: int
    height: float
    bearing: float


@dataclass(frozen=True, eq=False)
class Ground:
    """A flat panel of leather `thickness` mm that parts can lie on.

    `number` is that of its piece, `keep` how far (mm) from each of its boundaries its own holes, or leather over it,
    reach. `part` is "base" or what it is itself.
    """

    flat: FlatPanel
    thickness: float
    number: int
    keep: tuple[float, ...]
    part: str

    @property
    def panel(self) -> Panel:
        """Its panel."""
        return self.flat.panel

    @cached_property
    def radius(self) -> float:
        """What a rad of bearing is worth on it, mm: its flat width over its bearings."""
        return float(np.ptp(self.flat.uv[:, 0]) / np.ptp(self.panel.bearings))

    def turned(self, bearing: float) -> float:
        """Whole turns (rad) that bring a bearing near to the panel's own."""
        middle = 0.5 * float(self.panel.bearings.min() + self.panel.bearings.max())
        return 2 * np.pi * float(np.round((middle - bearing) / (2 * np.pi)))

    def plane(self, chart: Floats) -> Floats:
        """Chart points (n,2), height and bearing, as points of a plane, mm."""
        return np.column_stack([chart[:, 1] * self.radius, chart[:, 0]])

    def unplane(self, points: Floats) -> Floats:
        """Chart points (n,2) of that plane's points."""
        return np.column_stack([points[:, 1], points[:, 0] / self.radius])

    @cached_property
    def chart(self) -> Floats:
        """Chart points (V,2) of the panel's vertices."""
        return np.column_stack([self.panel.heights, self.panel.bearings])

    def places(self, chart: Floats) -> Places:
        """The places of chart points (n,2) on its mesh; those beside it have a weight below 0."""
        return located(self.plane(self.chart), self.panel.mesh.faces, self.plane(chart))

    def nearest(self, chart: Floats, inset: float) -> Nearest:
        """Where a curve through chart points (n,2) is worst placed, if it must keep `inset` mm from what each
        boundary's `keep` tells."""
        places = self.places(chart)
        inside = places.weights.min(axis=1) >= -ROUNDING
        points = shapely.points(places.on(self.flat.uv, self.panel.mesh.faces))
        beside = shapely.points(self.plane(chart))
        chains = [boundary.vertices for boundary in self.panel.boundaries]
        away = np.array([shapely.distance(shapely.LineString(self.flat.uv[chain]), points) for chain in chains])
        outside = np.array(
            [shapely.distance(shapely.LineString(self.plane(self.chart[chain])), beside) for chain in chains]
        )
        # A place beside the leather lies beyond the boundary that is nearest to it, and is not near the others.
        beyond = np.where(outside == outside.min(axis=0), -outside, np.inf)
        signed = np.where(inside, away, beyond)
        spare = signed - (np.array(self.keep) + inset)[:, None]
        at = np.unravel_index(int(spare.argmin()), spare.shape)
        height, bearing = chart[at[1]].tolist()
        return Nearest(float(spare[at]), float(signed[at]), int(at[0]), height, bearing)

    def free(self, inset: float) -> shapely.Polygon:
        """Where on the flat leather a part may lie that keeps `inset` mm from what each boundary's `keep` tells: the
        largest such region, in the plane of `plane`; empty where there is none.

        Raises PatternError where the flat leather lies over itself.
        """
        rim = shapely.Polygon(np.concatenate([self.flat.uv[one.vertices[:-1]] for one in self.panel.boundaries]))
        if not rim.is_valid:
            raise PatternError(
                f"'{self.panel.name}' lies over itself when flat, so nothing can be placed by its edges; move an edge, "
                "add a seam, or leave out what lies on it"
            )
        strips = [
            shapely.buffer(shapely.LineString(self.flat.uv[one.vertices]), kept + inset, cap_style="square")
            for one, kept in zip(self.panel.boundaries, self.keep, strict=True)
            if kept + inset > 0.0
        ]
        left = _largest(shapely.difference(rim, shapely.union_all(strips)))
        if left.is_empty:
            return left
        ring = shapely.get_coordinates(shapely.segmentize(left.exterior, 2.0))
        faces = self.panel.mesh.faces
        chart = located(self.flat.uv, faces, ring).on(self.chart, faces)
        return shapely.Polygon(self.plane(chart))


def _largest(region: shapely.Geometry) -> shapely.Polygon:
    parts = [part for part in shapely.get_parts(region) if part.geom_type == "Polygon"]
    return max(parts, key=lambda part: part.area, default=shapely.Polygon())


def within(region: shapely.Polygon, box: tuple[float, float, float, float]) -> shapely.Polygon:
    """The largest part of a region inside a box (least x, least y, greatest x, greatest y)."""
    return _largest(shapely.intersection(region, shapely.box(*box)))
