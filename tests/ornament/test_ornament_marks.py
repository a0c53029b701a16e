"""Carved lines, bevelled sides and background as marks: on the right side, carried as the drawing plane is."""

import numpy as np
import pytest
import shapely

from flatten.ornament.marks import PRESSED, marks_of
from flatten.ornament.model import Bevel, Carving, Region, Strand
from flatten.pattern.path import area, polyline

RING = np.array([[0.0, 0.0], [40.0, 0.0], [40.0, 30.0], [0.0, 30.0]])
LINE = np.array([[0.0, 10.0], [40.0, 10.0]])
EMPTY = Region(())


def carving(*bevels):
    return Carving(5.0, 1.0, (), EMPTY, Region((RING,)), (Strand(RING, closed=True), Strand(LINE)), bevels)


def same(points):
    return points


def of(kind, marks):
    return [mark.path for mark in marks if mark.kind == kind]


def test_lines_and_background_are_carried_as_they_are():
    marks = marks_of(carving(), same)
    ring, line = of("carved line", marks)
    assert area(ring) == pytest.approx(1200.0)
    assert ring.closed
    assert not line.closed
    np.testing.assert_allclose(line.points[[0, -1]], LINE)
    assert area(of("background", marks)[0]) == pytest.approx(1200.0)


@pytest.mark.parametrize(("side", "y"), [("left", 10.0 + PRESSED), ("right", 10.0 - PRESSED)])
def test_a_bevelled_side_lies_on_its_side(side, y):
    (path,) = of("bevelled side", marks_of(carving(Bevel(LINE, side)), same))
    np.testing.assert_allclose(path.points[:, 1], y)


def test_lines_follow_a_bent_map_between_their_corners():
    def bent(points):
        return np.stack([points[:, 0], points[:, 1] + 1e-3 * points[:, 0] ** 2], axis=1)

    _, line = of("carved line", marks_of(carving(), bent))
    parabola = np.stack([np.linspace(0.0, 40.0, 4001), 10.0 + 1e-3 * np.linspace(0.0, 40.0, 4001) ** 2], axis=1)
    away = shapely.hausdorff_distance(shapely.LineString(parabola), shapely.LineString(polyline(line, 0.01)))
    assert away < 0.001
