"""The line that is cut: a dart's stop hole is the round end of the cut, and no circle lies across it."""

import numpy as np
import pytest
import shapely

from flatten.drawing.compose import layers_of
from flatten.pattern.cutting import cut_line
from flatten.pattern.model import Hole, Path, Piece
from flatten.pattern.outline import shape_of
from flatten.pattern.path import area


def notched(half, *, bulge=0.0):
    """A plate of 100 × 80 mm with a dart from the top edge's middle, 40 mm deep and 2·`half` mm wide at its opening."""
    points = np.array([[0, 0], [100, 0], [100, 80], [50 + half, 80], [50, 40], [50 - half, 80], [0, 80]], float)
    bulges = np.array([0, 0, 0, bulge, -bulge, 0, 0], float)
    return Piece(
        "plate", "left", Path(points, bulges, True), (Hole(50.0, 40.0, 4.0, "stop", "pleat", ""),), (), (), 3.2
    )


@pytest.mark.parametrize("half", [0.5, 5.0, 30.0])
def test_the_rim_takes_its_sector_off_the_piece(half):
    """Inside the rim the dart takes a sector of 2·atan(half / 40) already; the hole takes the rest of the disc."""
    piece = notched(half)
    line = cut_line(piece)
    sector = np.arctan2(half, 40.0) * 2.0**2
    assert area(line) == pytest.approx(area(piece.outline) - np.pi * 2.0**2 + sector, abs=1e-9)
    assert shape_of(line).is_valid
    # 0.005 mm: the sagitta of the polygon.
    assert shape_of(line).exterior.distance(shapely.Point(50, 40)) == pytest.approx(2.0, abs=0.006)


def test_bent_sides_meet_the_rim():
    piece = notched(5.0, bulge=0.05)
    line, disc = cut_line(piece), shapely.Point(50, 40).buffer(2.0, 256)
    expected = shape_of(piece.outline).difference(disc)
    # Polygons of two sides of 41 mm, each within 0.005 mm.
    assert shapely.symmetric_difference(shape_of(line), expected).area < 2 * 41.0 * 0.005


def test_the_drawing_has_no_circle_across_the_cut():
    layers = {layer.name: layer for layer in layers_of(notched(5.0))}
    assert "HOLES" not in layers
    (line,) = layers["CUT"].paths
    assert shape_of(line).exterior.distance(shapely.Point(50, 40)) > 1.9


def test_a_piece_without_darts_is_cut_along_its_outline():
    piece = notched(5.0)
    plain = Piece("plate", "left", piece.outline, (Hole(20.0, 20.0, 5.0, "eyelet", "back", "low"),), (), (), 3.2)
    assert cut_line(plain) is plain.outline
