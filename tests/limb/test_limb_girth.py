"""Girths: closed forms, and a general polygon library for sections with a hollow."""

import numpy as np
import pytest
from limb_shapes import calf, cylinder, points_of
from scipy.special import ellipe
from shapely.geometry import Polygon

from flatten.limb.girths.girth import EVERY, girth_table, section_girth, tape_girth, tape_height
from flatten.limb.kind import LOWER_LEG
from flatten.limb.model import Frame, Landmark, Limb, LimbError
from flatten.limb.surface.fit import fit_surface

LIMB = Limb(
    LOWER_LEG, "left", Frame(np.zeros(3), np.eye(3)), (Landmark("ankle", 10.0), Landmark("widest", 260.0)), "given"
)


def fitted(shape):
    return fit_surface(points_of(shape), heights=(0.0, 300.0))


def ellipse(h, b):
    return 50 * 40 / np.hypot(40 * np.cos(b), 50 * np.sin(b))


def hollow(h, b):
    """A section with two hollows, as between the bones of a thin wrist: 4 mm deep and more."""
    return 40 + 20 * np.cos(2 * b)


def test_a_round_limb_has_the_girth_of_its_circle():
    surface = fitted(cylinder)
    assert section_girth(surface, 150.0) == pytest.approx(2 * np.pi * 50, abs=1e-3)
    assert tape_girth(surface, 150.0) == pytest.approx(2 * np.pi * 50, abs=1e-3)


def test_an_oval_limb_has_the_perimeter_of_its_ellipse():
    # Perimeter 4 a E(1 - b²/a²), complete elliptic integral from scipy.
    exact = 4 * 50 * ellipe(1 - 40**2 / 50**2)
    surface = fitted(ellipse)
    assert section_girth(surface, 150.0) == pytest.approx(exact, abs=0.01)
    # A convex section: the tape lies on the skin.
    assert tape_girth(surface, 150.0) == pytest.approx(section_girth(surface, 150.0), rel=1e-9)


def test_a_tape_spans_the_hollows_that_the_skin_follows():
    bearing = np.arange(20_000) * (2 * np.pi / 20_000)
    radius = hollow(bearing, bearing)
    polygon = Polygon(np.column_stack([radius * np.cos(bearing), radius * np.sin(bearing)]))
    surface = fitted(hollow)
    # Smoothing takes up to 1e-4 of the second harmonic at 4 mm; a rounding of a 20-thousand-gon is far below.
    assert section_girth(surface, 150.0) == pytest.approx(polygon.length, abs=0.03)
    assert tape_girth(surface, 150.0) == pytest.approx(polygon.convex_hull.length, abs=0.03)
    assert tape_girth(surface, 150.0) < section_girth(surface, 150.0) - 2.0


def test_the_table_names_the_landmarks_and_has_a_row_each_25_mm():
    surface = fitted(calf)
    table = girth_table(LIMB, surface)
    assert [row.height for row in table if not row.name] == [EVERY * k for k in range(13)]
    assert [(row.name, row.height) for row in table if row.name] == [("ankle", 10.0), ("widest", 260.0)]
    assert [row.height for row in table] == sorted(row.height for row in table)
    for row in table:
        assert row.section == section_girth(surface, row.height)
        assert row.tape == tape_girth(surface, row.height) <= row.section + 1e-9


@pytest.mark.parametrize("height", [-0.1, 300.1])
@pytest.mark.parametrize("girth", [section_girth, tape_girth])
def test_no_girth_is_told_where_the_scan_does_not_carry_it(girth, height):
    with pytest.raises(LimbError, match="the scan carries the limb from 0 to 300 mm"):
        girth(fitted(cylinder), height)


def test_a_tape_entry_is_a_landmark_or_a_height():
    assert tape_height(LIMB, "widest") == 260.0
    assert tape_height(LIMB, 42) == 42.0
    with pytest.raises(LimbError, match="no landmark 'elbow'; it has ankle, widest"):
        tape_height(LIMB, "elbow")
