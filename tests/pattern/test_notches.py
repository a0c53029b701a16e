"""Notches, which show where a girth ring meets a side, run into no hole."""

import numpy as np
import pytest
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.marks import NOTCH, notches
from flatten.pattern.model import Hole
from flatten.pattern.outline import Side
from flatten.pattern.path import length, segment


def side() -> Side:
    """The left side of a plate, going down: the piece lies on its left, at x above 0."""
    path = segment((0.0, 100.0), (0.0, 0.0))
    return Side("back", "stitched", "low", False, path, segment((0.0, 0.0), (0.0, 100.0)), [0.0, 100.0], [0.0, 100.0])


def ring(height: float) -> Floats:
    return np.array([[0.0, height], [0.0, height]])


@pytest.mark.parametrize("height", [50.0, 50.6, 51.2, 52.5])
def test_a_notch_ends_before_a_stitch(height):
    """A stitch of 1.3 mm stands 3.5 mm inside the edge; half a millimetre is left before its rim."""
    stitch = Hole(3.5, 50.0, 1.3, "stitch", "back", "low")
    mark, _ = notches((ring(height),), (side(),), (stitch,))
    line = shapely.LineString(mark.path.points)
    gap = line.distance(shapely.Point(3.5, 50.0)) - 0.65
    assert gap >= 0.5 - 0.01
    off = height - 50.0
    reach = 3.5 - np.sqrt(1.15**2 - off**2) if abs(off) < 1.15 else NOTCH
    assert mark.path.points[:, 0].max() == pytest.approx(reach, abs=0.01)
    assert length(mark.path) >= 1.5


def test_a_notch_beside_no_hole_has_its_whole_length():
    mark, _ = notches((ring(20.0),), (side(),), (Hole(10.0, 50.0, 5.0, "eyelet", "back", "low"),))
    assert mark.path.points[:, 0].max() == pytest.approx(NOTCH)
