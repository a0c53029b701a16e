"""A clicked seam runs past both edges, and stays the line that was clicked."""

import numpy as np
import pytest

from cli.page.seam import SeamError, reaching
from flatten.worn.curves import Edge, Seam

QUARTERS = np.arange(4) * np.pi / 2
BOTTOM = Edge("bottom edge", QUARTERS, np.array([20.0, 0.0, 20.0, 0.0]))
TOP = Edge("top edge", QUARTERS, np.array([330.0, 300.0, 270.0, 300.0]))


def line(points):
    bearings, heights = np.array(sorted(points, key=lambda point: point[1])).T
    return Seam("seam", "laced", 1.0, heights, np.unwrap(np.radians(bearings)))


@pytest.mark.parametrize(
    "clicked",
    [
        ((170.0, 40.0), (190.0, 200.0)),
        ((190.0, 200.0), (170.0, 40.0)),
        ((170.0, 40.0), (185.0, 120.0), (180.0, 200.0)),
        ((355.0, 50.0), (365.0, 250.0)),
        ((180.0, -40.0), (180.0, 400.0)),
    ],
)
def test_the_line_stays_and_reaches_past_both_edges(clicked):
    long = reaching(clicked, bottom=BOTTOM, top=TOP)
    heights = np.linspace(-5.0, 335.0, 50)
    # Points are rounded to a hundredth of a degree and of a mm; a short line run on far doubles that a few times.
    np.testing.assert_allclose(line(long).bearing(heights), line(clicked).bearing(heights), atol=np.radians(0.1))
    around = np.linspace(0.0, 2 * np.pi, 100)
    assert long[0][1] <= BOTTOM.height(around).min()
    assert long[-1][1] >= TOP.height(around).max()


def test_the_ends_of_a_straight_line_through_three_points_are_moved_along_it():
    # 1° in 20 mm, exactly.
    long = reaching(((180.0, 60.0), (184.0, 140.0), (188.0, 220.0)), bottom=BOTTOM, top=TOP)
    assert len(long) == 3
    for bearing, height in long:
        assert bearing == pytest.approx(180.0 + (height - 60.0) / 20.0, abs=0.01)


def test_running_on_again_adds_nothing():
    long = reaching(((170.0, 40.0), (185.0, 120.0), (180.0, 200.0)), bottom=BOTTOM, top=TOP)
    assert reaching(long, bottom=BOTTOM, top=TOP) == long


@pytest.mark.parametrize(
    "clicked", [((170.0, 100.0), (190.0, 110.0)), ((170.0, 100.0),), ((1.0, 0.0), (2.0, 50.0), (3.0, 50.0))]
)
def test_clicks_that_do_not_climb_are_no_seam(clicked):
    with pytest.raises(SeamError, match=r"climb|one height"):
        reaching(clicked, bottom=BOTTOM, top=TOP)


def test_a_point_between_the_ends_of_a_straight_line_adds_no_second_end():
    # Half a hundredth of a degree beside the line: its ends bend by rounding alone, and reach already.
    ends = ((17.78, -10.0), (-19.3, 340.0))
    straight = reaching(ends, bottom=BOTTOM, top=TOP)
    middle = (round(sum(b for b, _ in straight) / 2, 2) + 0.01, sum(h for _, h in straight) / 2)
    off = 0.004
    long = reaching((straight[0], middle, (straight[1][0], straight[1][1] - off)), bottom=BOTTOM, top=TOP)
    assert len(long) == 3
    assert np.diff([height for _, height in long]).min() > 0.0
