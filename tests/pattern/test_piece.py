import dataclasses
import itertools

import numpy as np
import pytest
import shapely

from flatten.limb.model import Landmark
from flatten.pattern.clashes import clashes
from flatten.pattern.edging import POINTED
from flatten.pattern.lettering import text_box
from flatten.pattern.model import PatternError
from flatten.pattern.outline import shape_of
from flatten.pattern.path import area, bounds, length, polyline
from flatten.pattern.piece import TitleBlock, pattern_from
from tests.flat_panels import opened_frustum, piece_from

GIRTHS = (Landmark("widest.lower leg", 300.0), Landmark("ankle", 0.0))


def made(flat, **more):
    return piece_from(
        flat, **{"side": "left", "job": "Harbour watch, guard 3", "thickness": 3.2, "girths": GIRTHS, **more}
    )


@pytest.fixture(scope="module")
def arched():
    return made(opened_frustum(gap=25.0, arch=15.0))


def marks(piece, kind):
    return [mark.path for mark in piece.marks if mark.kind == kind]


def test_a_cone_becomes_two_arcs_and_two_lines():
    # Idealised mean-male shin (girths 392.26 / 229.34, height 395.30; ANSUR II means, Gordon et al., NATICK/TR-15/007,
    # 2014): slant 396.150, radii 953.803 / 557.654, 23.563°, 123 123 mm², derived.
    outline = made(opened_frustum(), girths=(), edging=POINTED).outline
    assert len(outline.points) == 4
    turns = 4 * np.degrees(np.arctan(outline.bulges[outline.bulges != 0]))
    np.testing.assert_allclose(np.abs(turns), 23.563, atol=0.0005)
    assert area(outline) == pytest.approx(123123, abs=0.5)
    assert length(outline) == pytest.approx(392.26 + 229.34 + 2 * 396.150, abs=0.001)


@pytest.mark.parametrize(("thickness", "more"), [(3.2, 10.05), (4.0, 12.57), (4.8, 15.08)])
def test_thickness_widens_the_piece_by_pi_times_thickness(thickness, more):
    # Mid-line of leather t thick over a full turn: π·t, t 3.2 → 10.05, 4.0 → 12.57, 4.8 → 15.08 mm, derived.
    def width(radius):
        x0, _, x1, _ = bounds(made(opened_frustum(bottom=radius, top=radius + 1e-6), girths=()).outline)
        return x1 - x0

    assert width(45 + thickness / 2) - width(45) == pytest.approx(more, abs=0.005)


def test_outline_is_the_same_for_left_and_mirrored_right_turned_over(arched):
    right = made(opened_frustum(gap=25.0, arch=15.0), side="right", mirrored=True)
    x0, y0, x1, y1 = bounds(right.outline)
    assert (-x1, y0, -x0, y1) == pytest.approx(bounds(arched.outline), abs=0.2)
    assert area(right.outline) > 0
    assert {label.text for label in right.labels} >= {"RIGHT, grain side up"}


def test_mirroring_turns_over_an_oblique_panel_with_its_holes_and_grain():
    flat = opened_frustum(gap=25.0)
    flat = dataclasses.replace(flat, uv=flat.uv @ [[1, 0], [0.15, 1]], grain_angle=1.2)
    left, right = made(flat), made(flat, side="right", mirrored=True)
    low = {side: np.array([(h.x, h.y) for h in p.holes if h.side == "low"]) for side, p in (("l", left), ("r", right))}
    np.testing.assert_allclose(low["l"] * [-1, 1], low["r"], atol=0.05)
    for piece, angle in ((left, 1.2), (right, np.pi - 1.2)):
        tail, tip = max(marks(piece, "grain"), key=length).points
        assert np.arctan2(*(tip - tail)[::-1]) == pytest.approx(angle, abs=1e-9)


def test_everything_drawn_lies_inside_and_off_the_holes(arched):
    shape = shape_of(arched.outline).buffer(0.01)
    rims = shapely.union_all([shapely.Point(h.x, h.y).buffer(h.diameter / 2) for h in arched.holes])
    for mark in arched.marks:
        line = shapely.LineString(polyline(mark.path, 0.01))
        assert shape.contains(line), mark.kind
        assert not rims.intersects(line), mark.kind
    for label in arched.labels:
        box = shapely.Polygon(text_box(label))
        assert shape.contains(box), label.text
        assert not rims.intersects(box), label.text


def test_no_text_lies_on_a_line_or_another_text(arched):
    boxes = [shapely.Polygon(text_box(label)) for label in arched.labels]
    for mark in arched.marks:
        line = shapely.LineString(polyline(mark.path, 0.01))
        assert not any(box.intersects(line) for box in boxes), mark.kind
    for one, other in itertools.combinations(boxes, 2):
        assert not one.intersects(other)


def test_label_says_what_a_maker_needs(arched):
    texts = [label.text for label in arched.labels]
    for text in (
        "shin guard",
        "LEFT, grain side up",
        "Harbour watch, guard 3",
        "leather 3.2 mm",
        "100 mm",
        "TOP, towards the knee",
    ):
        assert text in texts
    assert min(label.height for label in arched.labels if not label.text.isdigit()) >= 5.0


def test_check_line_is_100_mm_between_its_ticks(arched):
    line, *ticks = sorted(marks(arched, "check line"), key=length, reverse=True)
    assert length(line) == pytest.approx(100, abs=1e-9)
    middles = [tick.points.mean(axis=0) for tick in ticks]
    assert np.hypot(*(middles[0] - middles[1])) == pytest.approx(100, abs=1e-9)


def test_centre_line_is_that_of_bearing_0(arched):
    (line,) = marks(arched, "centre line")
    np.testing.assert_allclose(line.points[:, 0], 0, atol=1e-6)


def test_ring_of_the_cone_is_the_arc_at_its_height():
    flat = opened_frustum(gap=25.0)
    piece = made(flat, girths=(Landmark("widest", 300.0),))
    share = 300.0 / 395.30
    apart = (392.26 - 229.34) / (2 * np.pi * np.hypot(395.30, (392.26 - 229.34) / (2 * np.pi)))
    radius = (229.34 + share * (392.26 - 229.34)) / (2 * np.pi) / apart
    centre = -229.34 / (2 * np.pi) / apart
    for ring in marks(piece, "girth ring"):
        points = polyline(ring, 0.01)
        # Linear on faces of 17 mm: 17²/8R = 0.05 mm short, and drawn within 0.3 mm.
        np.testing.assert_allclose(np.hypot(points[:, 0], points[:, 1] - centre), radius, atol=0.35)


def test_notches_stand_square_where_the_ring_meets_the_laced_sides():
    piece = made(opened_frustum(gap=25.0), girths=(Landmark("widest", 300.0),))
    ticks = marks(piece, "notch")
    assert len(ticks) == 2
    assert all(length(tick) == pytest.approx(3.5, abs=1e-9) for tick in ticks)
    outer = np.array([tick.points[0] for tick in ticks])
    np.testing.assert_allclose(outer[0] * [-1, 1], outer[1], atol=0.05)


def test_a_ring_outside_the_panel_is_not_drawn():
    piece = made(opened_frustum(gap=25.0), girths=(Landmark("knee", 500.0),))
    assert not marks(piece, "girth ring")
    assert "knee" not in [label.text for label in piece.labels]


def test_a_piece_that_overlaps_itself_is_refused_with_the_place():
    flat = opened_frustum(gap=25.0)
    wrapped = flat.uv.copy()
    angle, radius = wrapped[:, 0] / 40.0, 60.0 + 0.1 * wrapped[:, 1] + 0.05 * wrapped[:, 0]
    wrapped = np.stack([radius * np.sin(angle), radius * np.cos(angle)], axis=1)
    with pytest.raises(PatternError, match=r"'shin guard' overlaps itself near \(-?\d+, -?\d+\) mm"):
        made(dataclasses.replace(flat, uv=wrapped))


def test_a_flipped_piece_is_refused():
    flat = opened_frustum(gap=25.0)
    with pytest.raises(PatternError, match="inside out"):
        made(dataclasses.replace(flat, uv=flat.uv * [-1, 1]))


def test_a_piece_too_small_for_its_label_bears_its_name_alone():
    piece = made(opened_frustum(gap=25.0, bottom=14.0, top=16.0, height=58.0))
    assert clashes(piece) == ()
    assert "shin guard L" in {label.text for label in piece.labels}


@pytest.mark.parametrize("arch", [0.0, 8.0])
@pytest.mark.parametrize(("bottom", "top"), [(9.1, 15.6), (8.0, 12.0), (12.0, 16.0), (20.0, 30.0)])
def test_a_narrow_piece_has_all_its_writing(bottom, top, arch):
    """Flat widths from 50 mm: a quarter of a shin, half a forearm, with eyelets along both sides."""
    flat = opened_frustum(bottom=bottom, top=top, height=260.0, arch=arch)
    piece = made(flat, work="shin guard, little-finger side 2", girths=(Landmark("widest", 180.0),))
    texts = " ".join(label.text for label in piece.labels)
    for word in ("LEFT, grain side up", "3.2 mm", "Harbour watch", "grain"):
        assert word in texts
    # The smallest text a narrow piece falls back to, 4 mm: common practice.
    assert min(label.height for label in piece.labels) >= 4.0
    shape = shape_of(piece.outline)
    boxes = [shapely.Polygon(text_box(label)) for label in piece.labels]
    assert all(shape.contains(box) for box in boxes)
    drawn = shapely.union_all([shapely.LineString(polyline(mark.path, 0.01)) for mark in piece.marks])
    assert not any(box.intersects(drawn) for box in boxes)


@pytest.mark.parametrize("job", ["", "x" * 400, "港の見張り 🛡\n\x00%%d^J<&>", "Ж " * 90])
def test_any_job_name_finds_room(job):
    piece = made(opened_frustum(gap=25.0), job=job)
    assert all("\n" not in label.text for label in piece.labels)


def test_same_panel_same_piece(arched):
    again = made(opened_frustum(gap=25.0, arch=15.0))
    np.testing.assert_array_equal(again.outline.points, arched.outline.points)
    assert (again.holes, again.labels) == (arched.holes, arched.labels)


def test_a_piece_is_called_what_its_label_says():
    flat = opened_frustum(gap=25.0, name="front")
    (alone,) = pattern_from((flat,), TitleBlock("watch", "left", 3.2, "shin guard")).pieces
    several = pattern_from((flat, flat), TitleBlock("watch", "left", 3.2, "shin guard")).pieces
    for piece, name in ((alone, "shin guard"), (several[1], "shin guard, front")):
        assert piece.name == name
        assert name in {label.text for label in piece.labels}
    assert pattern_from((), TitleBlock("watch", "left", 3.2)).pieces == ()
