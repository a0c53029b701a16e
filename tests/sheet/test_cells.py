"""Shapes as cells, and where their cells are clear of others: against a look at every cell, and every place."""

import numpy as np
import pytest
import shapely

from flatten.sheet.cells import Lattice, clear, spectrum, touched, within


def blob(chance):
    around = np.sort(chance.uniform(0, 2 * np.pi, 9))
    out = chance.uniform(8, 25, 9)
    shape = shapely.Polygon(np.column_stack([30 + out * np.cos(around), 26 + out * np.sin(around)]))
    return shapely.make_valid(shape.buffer(0))


@pytest.mark.parametrize("seed", range(5))
def test_cells_are_those_that_a_shape_has_a_part_in_and_those_inside_it(seed):
    """With a hole in it. A cell that is met in a point alone is no matter, either way."""
    chance = np.random.default_rng(seed)
    shape = shapely.difference(blob(chance), shapely.Point(30, 26).buffer(3.3))
    lattice = Lattice(-1.3, 2.1, 2.7, 20, 24)
    met, inside = touched(shape, lattice), within(shape, lattice)
    for row in range(lattice.rows):
        for column in range(lattice.columns):
            x, y = lattice.x + 2.7 * column, lattice.y + 2.7 * row
            own = shapely.area(shapely.intersection(shapely.box(x, y, x + 2.7, y + 2.7), shape))
            assert met[row, column] == (own > 1e-9) or own < 1e-6
            assert inside[row, column] == (own > 2.7**2 - 1e-9) or own > 2.7**2 - 1e-6


def test_places_are_clear_where_no_cell_falls_on_a_taken_one():
    chance = np.random.default_rng(1)
    lattice = Lattice(0.0, 0.0, 1.0, 23, 31)
    taken = chance.random((23, 31)) < 0.1
    cells = chance.random((4, 6)) < 0.4
    found = clear(cells, spectrum(cells, lattice), spectrum(taken, lattice), lattice)
    assert found.shape == (20, 26)
    for row in range(20):
        for column in range(26):
            assert found[row, column] == (not (taken[row : row + 4, column : column + 6] & cells).any())
    assert 20 < found.sum() < 500


def test_a_shape_larger_than_the_lattice_has_no_place():
    lattice = Lattice(0.0, 0.0, 1.0, 5, 5)
    cells = np.ones((5, 6), dtype=bool)
    nothing = np.zeros((5, 5), dtype=bool)
    own = spectrum(cells[:, :5], lattice)
    assert clear(cells, own, spectrum(nothing, lattice), lattice).size == 0
