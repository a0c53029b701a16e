"""What of a piece lies beneath other leather when it is worn."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from flatten.mesh.disk import check_disk
from flatten.mesh.places import located
from flatten.mesh.surface import Floats
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Boundary, Panel

STEP = 2.0
"""mm. Step along the edge of what lies on a piece at which it is carried there: below the finest mesh's edges."""

TOUCHES = 0.5
"""mm. What of another layer comes so near to a lower layer's side is that seam's overlap, and no other place where the
two panels have the same bearings."""


def beneath_parts(flat: FlatPanel, uv: Floats, parts: Sequence[Panel]) -> shapely.Geometry:
    """Where `parts` that lie on a panel, plates or lames, cover its piece, whose vertices lie at `uv` (V,2) mm.

    A part's vertices have the chart coordinates of the places beneath them, so its outline is one there too.
    """
    ground = _Chart(flat, uv)
    found = [ground.common(part, turn) for part in parts for turn in _TURNS]
    return shapely.union_all([ground.on_piece(each) for each in found])


def beneath_layers(flats: Sequence[FlatPanel], number: int, uv: Floats) -> shapely.Geometry:
    """Where the upper layers of overlapping seams cover the piece of flat panel `number`, at `uv` (V,2) mm."""
    ground = _Chart(flats[number], uv)
    panel = ground.flat.panel
    found = []
    for side in (boundary for boundary in panel.boundaries if boundary.layer == "lower"):
        edge = shapely.LineString(ground.places(panel)[side.vertices])
        for over in (each.panel for each in flats if _upper_of(each.panel, side)):
            for turn in (turn for turn in _TURNS if turn or over is not panel):
                parts = shapely.get_parts(ground.common(over, turn))
                found += [part for part in parts if shapely.distance(part, edge) < TOUCHES]
    return shapely.union_all([ground.on_piece(each) for each in found])


def _upper_of(panel: Panel, side: Boundary) -> bool:
    """Whether a panel has the upper layer of the seam that `side` is the lower one of."""
    return any(each.name == side.name and each.layer == "upper" for each in panel.boundaries)


_TURNS = (0.0, -2.0 * np.pi, 2.0 * np.pi)
"""rad. Panels count bearings on from any turn: what lies on another may do so a turn before or after it."""


class _Chart:
    """The chart of a flat panel as a plane (bearings times mean radius, heights; mm), and its way to the piece."""

    def __init__(self, flat: FlatPanel, uv: Floats) -> None:
        self.flat, self._uv = flat, uv
        points = flat.panel.mesh.vertices[:, :2]
        self._radius = float(np.hypot(*(points - points.mean(axis=0)).T).mean())
        self._own = self._shape(flat.panel, 0.0)

    def places(self, panel: Panel, turn: float = 0.0) -> Floats:
        """The vertices (V,2) of a panel in the plane, turned on by `turn` rad."""
        return np.column_stack([(panel.bearings + turn) * self._radius, panel.heights])

    def common(self, panel: Panel, turn: float) -> shapely.Geometry:
        """What another panel, turned on, has in common with this one."""
        return shapely.intersection(self._own, self._shape(panel, turn))

    def on_piece(self, shape: shapely.Geometry) -> shapely.Geometry:
        """Where polygons of the plane lie on the piece; what is no polygon is left out."""
        parts = [part for part in shapely.get_parts(shape).tolist() if isinstance(part, shapely.Polygon)]
        plane, faces = self.places(self.flat.panel), self.flat.panel.mesh.faces

        def carried(points: Floats) -> Floats:
            return located(plane, faces, points).on(self._uv, faces)

        moved = [shapely.transform(shapely.segmentize(part, STEP), carried) for part in parts]
        return shapely.union_all([shapely.make_valid(part) for part in moved])

    def _shape(self, panel: Panel, turn: float) -> shapely.Geometry:
        return shapely.make_valid(shapely.Polygon(self.places(panel, turn)[check_disk(panel.mesh)]))
