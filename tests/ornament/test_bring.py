"""A drawing's lines become strands: joined end to end, once each, closed where they close."""

import math

import ezdxf
import numpy as np
import pytest
import shapely

from flatten.ornament.bring import JOINED, brought
from flatten.ornament.model import OrnamentError


def dxf(tmp_path, draw, *, unit=4):
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = unit
    draw(document.modelspace())
    path = tmp_path / "a.dxf"
    document.saveas(path)
    return path


def test_pieces_of_a_line_are_one_strand_in_any_order_and_direction(tmp_path):
    def draw(space):
        space.add_line((20, 0), (40, 5))
        space.add_line((20, 0.05), (0, 0))
        space.add_arc((40, 15), 10, 270, 0)
        space.add_line((50, 40), (50, 15))

    (one,) = brought(dxf(tmp_path, draw)).strands
    assert not one.closed
    ends = sorted(map(tuple, one.points[[0, -1]].round(6).tolist()))
    assert ends == [(0, 0), (50, 40)]
    length = np.hypot(*np.diff(one.points, axis=0).T).sum()
    assert length == pytest.approx(20 + math.hypot(20, 5) + 5 * math.pi + 25, abs=0.1)


def test_ends_further_apart_than_is_told_stay_apart(tmp_path):
    def draw(space):
        space.add_line((0, 0), (20, 0))
        space.add_line((20 + 1.5 * JOINED, 0), (40, 0))

    assert len(brought(dxf(tmp_path, draw)).strands) == 2


def test_where_four_ends_meet_the_straight_ways_go_on(tmp_path):
    def draw(space):
        for end in ((10, 10), (-10, 10), (-10, -10), (10, -10.5)):
            space.add_line((0, 0), end)

    strands = brought(dxf(tmp_path, draw)).strands
    assert sorted(sorted(map(tuple, one.points[[0, -1]].tolist())) for one in strands) == [
        [(-10, -10), (10, 10)],
        [(-10, 10), (10, -10.5)],
    ]


def test_a_ring_of_pieces_closes(tmp_path):
    def draw(space):
        space.add_arc((0, 0), 10, 0, 120)
        space.add_arc((0, 0), 10, 120, 240)
        space.add_arc((0, 0), 10, 240, 0)

    (one,) = brought(dxf(tmp_path, draw)).strands
    assert one.closed
    assert np.hypot(*np.diff(one.points, axis=0, append=one.points[:1]).T).sum() == pytest.approx(20 * math.pi, abs=0.1)


def test_a_single_line_with_both_ends_in_one_place_closes(tmp_path):
    strands = brought(
        dxf(tmp_path, lambda s: s.add_lwpolyline([(0, 0), (10, 0), (10, 10), (0, 10), (0, 0.01)]))
    ).strands
    assert [one.closed for one in strands] == [True]


def test_a_line_that_is_drawn_twice_is_taken_once_and_told(tmp_path):
    def draw(space):
        space.add_line((0, 0), (30, 10))
        space.add_lwpolyline([(30, 10), (15, 5.02), (0, 0)])
        space.add_circle((50, 50), 9)
        space.add_circle((50, 50), 9)
        space.add_circle((50, 50), 9.5)

    found = brought(dxf(tmp_path, draw))
    assert len(found.strands) == 3
    assert [one.figures["count"] for one in found.findings if one.code == "bring.twice"] == [2]


def test_frame_and_centre_line_stand_on_their_layers(tmp_path):
    def draw(space):
        space.add_lwpolyline([(0, 0), (0, 90), (60, 90), (60, 0)], close=True, dxfattribs={"layer": "Frame"})
        space.add_line((30, 90), (30, 0), dxfattribs={"layer": "centre"})
        space.add_circle((30, 40), 9)

    found = brought(dxf(tmp_path, draw))
    assert len(found.strands) == 1
    assert found.centre.tolist() == [[30, 0], [30, 90]]
    assert len(found.frame) == 4
    x, y = found.frame.T
    assert (x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2 == pytest.approx(5400)


def bent(space):
    space.add_lwpolyline([(0, 0), (5, 50), (0, 99)], dxfattribs={"layer": "CENTRE"})
    space.add_circle((0, 0), 40)


def open_frame(space):
    space.add_lwpolyline([(0, 0), (5, 50), (0, 99)], dxfattribs={"layer": "FRAME"})
    space.add_circle((0, 0), 40)


@pytest.mark.parametrize(
    ("draw", "unit", "words"),
    [
        (lambda s: s.add_circle((0, 0), 40), 0, "does not say its unit.*for the ornament's drawing"),
        (lambda s: s.add_circle((0, 0), 40), 6, "8e.04 × 8e.04 mm, which is no ornament's"),
        (lambda s: s.add_circle((0, 0), 0.04), 4, "which is no ornament's"),
        (lambda s: s.add_text("reed"), 4, "has no lines"),
        (bent, 4, "no single straight line on its layer CENTRE"),
        (open_frame, 4, "0 closed lines on its layer FRAME"),
    ],
)
def test_what_is_no_ornament_is_told_in_a_sentence(tmp_path, draw, unit, words):
    with pytest.raises(OrnamentError, match=words):
        brought(dxf(tmp_path, draw, unit=unit))


def test_a_curve_of_a_hundred_thousand_points_is_thinned_by_less_than_any_pen_sees(tmp_path):
    turn = np.linspace(0.0, 2.0 * np.pi, 100_000, endpoint=False)
    points = 20.0 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    listed = " ".join(f"{x:.5f},{y:.5f}" for x, y in points)
    path = tmp_path / "fine.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="50mm" height="50mm" viewBox="-25 -25 50 50" fill="none" '
        f'stroke="black"><polygon points="{listed}"/></svg>'
    )
    (strand,) = brought(path).strands
    assert strand.closed
    assert len(strand.points) < 1000
    chords = shapely.LinearRing(strand.points)
    middle = strand.points.mean(axis=0)
    radii = np.linalg.norm(shapely.get_coordinates(shapely.segmentize(chords, 0.2)) - middle, axis=1)
    assert np.abs(radii - 20.0).max() < 0.01
