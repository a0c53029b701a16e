"""Turned and bound edges: strips by closed forms, folds, slits and wedges, on pieces with and without darts."""

import numpy as np
import pytest
import shapely
import shapely.affinity
import shapely.ops

from flatten.job.errors import JobError
from flatten.job.text import job_from
from flatten.pattern.edging import Edging
from flatten.pattern.finish import FITS, FOLD_LEFT, RELIEF, Finish
from flatten.pattern.model import PatternError
from flatten.pattern.offsets import offset
from flatten.pattern.outline import shape_of
from flatten.pattern.path import along, area, length, polyline
from tests.flat_panels import opened_frustum, piece_from

SKIVED, TURN = 1.2, 11.0
TURNED = Finish(top="turned", bottom="turned", turn=TURN, skived=SKIVED)


def made(finish, **more):
    flat = opened_frustum(gap=25.0, **more)
    return piece_from(flat, side="left", job="w", thickness=3.2, edging=Edging(finish=finish))


@pytest.mark.parametrize("neutral", [0.4, 0.5])
def test_leather_folded_about_its_inner_face_is_as_long_as_its_neutral_line(neutral):
    """Laid out as a polyline along the neutral line: flat to the bend, half round, and flat back to the strip's end."""
    finish = Finish(top="turned", turn=TURN, skived=SKIVED, neutral=neutral)
    angle = np.linspace(0.0, np.pi, 20001)
    bend = neutral * SKIVED * np.stack([np.sin(angle), np.cos(angle)], axis=1)
    half_round = float(np.hypot(*np.diff(bend, axis=0).T).sum())
    # The bend's outer face reaches SKIVED past where it begins; the strip ends TURN from there, on the other face.
    beyond = half_round + (TURN - SKIVED) - SKIVED
    assert finish.allowance == pytest.approx(beyond, abs=1e-6)
    assert finish.fold == pytest.approx(SKIVED - 0.5 * half_round, abs=1e-6)


def test_a_binding_goes_half_round_the_edge_and_covers_both_faces():
    finish = Finish(top="bound", binding=1.0, cover=8.0)
    # Middle of the binding: radius (3.2 + 1)/2 half round; from the outermost place 8 mm, less 1 + 1.6 of round.
    assert finish.strip_width(3.2) == pytest.approx(np.pi * 2.1 + 2 * (8.0 - 2.6))


def test_strips_on_a_cone_are_sectors_of_rings():
    raw, turned = made(Finish()), made(TURNED)
    wide = TURNED.allowance
    # Radii 953.803 and 557.654 of the shin cone's edges; the strip beyond the top bends with it, that below against it.
    by_edge = {one.edge: one for one in turned.finished}
    assert set(by_edge) == {"top edge", "bottom edge"}
    more = 0.0
    for edge, radius, sign in (("top edge", 953.803, 1.0), ("bottom edge", 557.654, -1.0)):
        run = by_edge[edge].length
        assert by_edge[edge].width == pytest.approx(wide)
        turn = run / radius
        # A ring's sector, less the triangle at each end: the sides meet edges at nearly 90°, the ends lean back by 10°.
        more += 0.5 * turn * abs((radius + sign * wide) ** 2 - radius**2) - wide**2 * np.tan(RELIEF)
    rounded = 4 * 36.0 * (1 - np.pi / 4)
    assert area(turned.outline) - area(raw.outline) == pytest.approx(more + rounded, rel=0.01)
    assert [corner.radius for corner in turned.corners] == [0.0] * 4
    assert shape_of(turned.outline).is_valid


def test_the_fold_lies_inside_the_finished_edge_and_slits_end_before_it():
    piece = made(TURNED, arch=9.0)
    raw = shape_of(made(Finish(), arch=9.0).outline)
    folds = [shapely.LineString(polyline(mark.path, 0.001)) for mark in piece.marks if mark.kind == "fold"]
    assert len(folds) == 2
    for fold in folds:
        middle = [fold.interpolate(share, normalized=True) for share in np.linspace(0.1, 0.9, 30)]
        np.testing.assert_allclose([raw.exterior.distance(point) for point in middle], TURNED.fold, atol=0.01)
        assert all(raw.contains(point) for point in middle)
    slits = [mark.path for mark in piece.marks if mark.kind == "slit"]
    assert slits
    shape = shape_of(piece.outline)
    kinds = {len(path.points) for path in slits}
    assert kinds == {2, 3}
    judged = 0
    for path in slits:
        line = shapely.LineString(path.points)
        assert shape.contains(line)
        to_fold = min(fold.distance(line) for fold in folds)
        assert to_fold == pytest.approx(FOLD_LEFT, abs=0.05)
        # Slits where the piece is hollow, wedges where it bulges: the finished edge bends away from or round them.
        tip = shapely.Point(path.points[1])
        if min(np.hypot(*(path.points[1] - [corner.x, corner.y])) for corner in piece.corners) < 30.0:
            continue
        judged += 1
        disc = shapely.ops.nearest_points(raw.exterior, tip)[0].buffer(12.0)
        hollow = raw.intersection(disc).area > 0.5 * disc.area
        assert hollow == (len(path.points) == 2)
    assert judged > 10


def test_a_strips_ends_come_to_lie_inside_the_sides_when_it_is_folded_over():
    """The sides meet the edges at 90° within half a degree: folded over, the end leans into the piece by 10°."""
    piece, raw = made(TURNED), shape_of(made(Finish()).outline)
    points, folds = piece.outline.points, [mark.path for mark in piece.marks if mark.kind == "fold"]
    for corner in piece.corners:
        place = np.array([corner.x, corner.y])
        at = int(np.argmin(np.hypot(*(points - place).T)))
        # Arcs of 6 mm take the raw outline up to 2.5 mm off its points; the strip's end is beyond that.
        near = (points[at - 1], points[(at + 1) % len(points)])
        (end,) = (point for point in near if not raw.buffer(4.0).contains(shapely.Point(point)))
        fold = min(folds, key=lambda path: np.hypot(*(path.points[[0, -1]] - place).T).min())
        ends, ways = along(fold, np.array([0.0, length(fold)]))
        which = int(np.argmin(np.hypot(*(ends - place).T)))
        lean = (end - place) @ ways[which] * (1.0 if which == 0 else -1.0)
        assert lean == pytest.approx(TURNED.allowance * np.tan(RELIEF), rel=0.15)


def test_a_gently_bent_strip_is_laid_down_whole():
    # On the cone the strips grow by (R + w)/(R − A) − 1: 2.2 % at 953 mm, 3.8 % at 557 mm.
    assert (557.654 + TURN) / (557.654 - TURNED.allowance) - 1.0 < FITS
    assert not [mark for mark in made(TURNED).marks if mark.kind == "slit"]


def test_halves_of_a_symmetrical_cone_stay_mirror_images():
    shape = shape_of(made(TURNED, arch=15.0).outline)
    turned = shapely.affinity.scale(shape, -1.0, 1.0, origin=(0.0, 0.0))
    assert shapely.hausdorff_distance(shape.exterior, turned.exterior) < 0.1


def test_an_edge_that_bends_too_sharply_for_its_strip_is_refused():
    with pytest.raises(PatternError, match=r"(top|bottom) edge of piece '.*' bends too sharply .* 2\d\.\d mm "):
        made(Finish(top="turned", bottom="turned", turn=28.0), bottom=25.0, top=30.0, height=160.0, arch=40.0)


def test_an_offset_of_an_open_path_is_as_much_longer_as_it_turns():
    side = next(mark.path for mark in made(TURNED).marks if mark.kind == "fold")
    turn = float(4 * np.arctan(side.bulges[:-1]).sum())
    assert length(offset(side, 2.0)) == pytest.approx(length(side) - 2.0 * turn, abs=1e-9)
    assert length(offset(side, -3.0)) == pytest.approx(length(side) + 3.0 * turn, abs=1e-9)


def test_a_strip_too_narrow_to_be_folded_is_refused():
    text = '[scan]\nfile = "watch.ply"\n[edges]\nfinish = { top = "turned", turn = "5 mm", skived = "2 mm" }\n'
    with pytest.raises(JobError, match=r"turned by 5 mm, wanted at least 4 times"):
        job_from(text, name="watch.toml")
