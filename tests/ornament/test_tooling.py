"""Lengths, hours and places too narrow for the tool are as reckoned by hand."""

import numpy as np
import pytest
import shapely

from flatten.ornament.bands import carved
from flatten.ornament.model import OrnamentError, Region, Strand
from flatten.ornament.tooling import tooling_of
from flatten.ornament.weave import woven
from tests.ornament.drawn import closed_curve

SQUARE = Region.of(shapely.box(0.0, 0.0, 100.0, 100.0))


def told(strands, *, width=10.0, apart=2.0, tool=2.0, pace=600.0):
    weave = woven(strands, field=SQUARE)
    return tooling_of(weave, carved(weave, width=width, apart=apart, field=SQUARE), tool=tool, pace=pace)


def lines(*ends):
    return [Strand(np.array(each, dtype=float)) for each in ends]


def test_a_cross_takes_its_lengths():
    found = told(lines([(0, 50), (100, 50)], [(50, 0), (50, 100)]))
    assert (found.closed, found.open, found.crossings) == (0, 2, 1)
    # Two edges of 100 mm, and two of 100 - 10 - 2 · 2 mm.
    assert found.carved == pytest.approx(2 * 100 + 2 * 86)
    assert found.bevelled == pytest.approx(found.carved)
    assert found.hours == pytest.approx(372 / 600)
    assert found.near == ()


def test_crossings_outside_the_field_are_not_counted():
    ring = closed_curve(lambda t: (100 + 30 * np.cos(t), 50 + 30 * np.sin(t)), 100)
    found = told([ring, *lines([(0, 50), (140, 50)])], width=6.0)
    assert (found.closed, found.open, found.crossings) == (1, 1, 1)


@pytest.mark.parametrize(("tool", "narrow"), [(1.9, 0), (2.1, 1)])
def test_a_mesh_that_the_tool_does_not_fit_into_is_told(tool, narrow):
    """Two pairs of bands 10 mm wide, 12 mm from middle to middle, leave a square of 2 mm between them."""
    found = told(
        lines([(0, 44), (100, 44)], [(0, 56), (100, 56)], [(44, 0), (44, 100)], [(56, 0), (56, 100)]),
        apart=0.5,
        tool=tool,
    )
    meshes = [each for each in found.near if abs(each.x - 50) < 1 and abs(each.y - 50) < 1]
    assert len(meshes) == narrow
    assert all(each.gap == pytest.approx(2.0, abs=0.01) for each in meshes)


@pytest.mark.parametrize(("tool", "narrow"), [(2.9, 0), (3.1, 1)])
def test_a_neck_between_two_rings_is_told(tool, narrow):
    rings = [closed_curve(lambda t, x=x: (x + 15 * np.cos(t), 50 + 15 * np.sin(t)), 360) for x in (31.5, 68.5)]
    # 37 mm from middle to middle, less two radii and a width of 4 mm.
    found = told(rings, width=4.0, tool=tool)
    assert len(found.near) == narrow
    for each in found.near:
        assert (each.x, each.y, each.gap) == pytest.approx((50.0, 50.0, 3.0), abs=0.01)


@pytest.mark.parametrize(("tool", "pace"), [(0.0, 600.0), (2.0, 0.0), (2.0, float("nan"))])
def test_no_tool_or_pace_is_refused(tool, pace):
    with pytest.raises(OrnamentError, match="give both above 0"):
        told(lines([(0, 50), (100, 50)]), tool=tool, pace=pace)
