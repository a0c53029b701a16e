import re
from dataclasses import replace

import numpy as np
import pytest
from report_case import calf_report
from shapely import Polygon

from flatten.pattern.model import Path
from flatten.report.bench import bench_picture, girth_rings, leather_pictures
from flatten.report.cutting import shown_pieces
from flatten.report.limbview import bench_heights, front_levels, limb_view, shown_panels, side_pictures
from flatten.report.picture import filled, level_lines, line, stretch_strokes
from flatten.report.ramp import SQUEEZE_STEPS, STRETCH_STEPS, Fields, bands, vertex_fields
from flatten.words.say import text


def grid(n):
    x, y = np.meshgrid(np.arange(n + 1.0), np.arange(n + 1.0))
    first = (np.arange(n)[None] + (n + 1) * np.arange(n)[:, None]).ravel()
    up = first + n + 1
    faces = np.concatenate([np.stack([first, first + 1, up + 1], 1), np.stack([first, up + 1, up], 1)])
    return np.stack([x.ravel(), y.ravel()], 1) * 10.0, faces


def rings(path):
    """The closed runs of a path of straight lines, y up again."""
    return [
        np.array([[float(x) for x in pair.split()] for pair in run.strip("Z").split("L")]) * [1.0, -1.0]
        for run in path.split("M")[1:]
    ]


def area(path):
    total = 0.0
    for ring in rings(path):
        x, y = ring.T
        total += 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))
    return abs(total)


def test_the_filled_area_ends_where_the_values_do():
    points, faces = grid(10)
    assert area(filled(points, faces, points[:, 0] - 33.0)) == pytest.approx(67.0 * 100.0)


def test_a_hole_in_the_filled_area_stays_open():
    points, faces = grid(10)
    values = np.abs(points - 50.0).max(axis=1) - 20.0
    assert area(filled(points, faces, values)) == pytest.approx(100.0**2 - 40.0**2, abs=0.5 * 4 * 10.0 * 10.0)
    assert len(rings(filled(points, faces, values))) == 2


def test_nothing_is_filled_where_all_is_negative():
    points, faces = grid(2)
    assert filled(points, faces, np.full(len(points), -1.0)) == ""
    assert filled(points, faces[:0], np.ones(len(points))) == ""
    assert line(points[:0]) == ""


def test_level_lines_lie_on_their_levels():
    points, faces = grid(10)
    found = level_lines(points, faces, points[:, 1], levels=[-5.0, 25.0, 42.0])
    assert [len(runs) for runs in found] == [0, 1, 1]
    np.testing.assert_allclose(found[1][0][:, 1], 25.0)
    assert np.ptp(found[2][0][:, 0]) == pytest.approx(100.0)


def test_bands_begin_at_their_steps():
    points, faces = grid(10)
    stretch = points[:, 0] / 100.0 * 0.10
    strokes = {s.kind: s.path for s in stretch_strokes(points, faces, Fields(stretch, 0 * stretch, stretch - 0.05))}
    for k, step in enumerate(STRETCH_STEPS[:-1]):
        assert area(strokes[f"band s{k + 1}"]) == pytest.approx(100.0 * (100.0 - 1000.0 * step))
    assert area(strokes["beyond"]) == pytest.approx(100.0 * 50.0)
    assert not any(kind.startswith("band q") for kind in strokes)


def test_a_place_shows_the_larger_of_stretch_and_squeeze():
    points, faces = grid(10)
    share = points[:, 0] / 100.0
    strokes = {
        s.kind: s.path for s in stretch_strokes(points, faces, Fields(0.04 * share, 0.04 * (1 - share), share - 2))
    }
    left, right = rings(strokes["band q1"])[0][:, 0], rings(strokes["band s1"])[0][:, 0]
    assert (left.min(), left.max()) == (0.0, 50.0)
    assert (right.min(), right.max()) == (50.0, 100.0)
    assert "beyond" not in strokes


def test_the_ramp_names_each_band_by_its_ends():
    words = [band.words for band in bands()]
    assert words == ["5…", "3–5", "2–3", "1–2", "<1", "1–2", "2–3", "3–4", "4–5", "5–7", "7–10", "10…"]
    assert len(bands()) == len(STRETCH_STEPS) + len(SQUEEZE_STEPS) + 1


def test_vertex_figures_keep_a_constant(limb):
    panel = limb.panels[0]
    patch = panel.stretch.patch
    even = replace(panel.stretch, patch=replace(patch, greatest=np.full(len(patch.greatest), 1.03)))
    faces = panel.flat.panel.mesh.faces
    fields = vertex_fields(even, faces=faces, count=len(panel.flat.uv), areas=np.ones(len(faces)))
    np.testing.assert_allclose(fields.stretch, 0.03, rtol=1e-9)


def test_a_girth_line_leaves_the_limb_at_its_height_and_meets_the_leather(limb):
    picture = bench_picture(limb, shown_panels(limb))
    runs = [s.path for s in picture.strokes if "C" in s.path]
    heights = {round(-float(path.split("C")[0].split()[-1])) for path in runs}
    assert {50, 100, 150, 200, 250} <= heights
    leather = next(s.path for s in reversed(picture.strokes) if s.kind == "outline")
    boundary = np.vstack(rings(leather))
    for path in runs:
        x, y = (float(v) for v in path.split()[-2:])
        # The level line ends on a boundary edge, edges are 6 mm long; figures are rounded to 0.1 mm.
        assert np.hypot(*(boundary - [x, -y]).T).min() < 3.0 + 0.1


def test_the_leather_lies_at_the_heights_of_the_limb(limb):
    (panel,) = shown_panels(limb)
    (picture,) = leather_pictures(limb, (panel,))
    outline = np.vstack(rings(next(s.path for s in picture.strokes if s.kind == "outline")))
    middle = 0.5 * (outline[:, 1].min() + outline[:, 1].max())
    heights = panel.report.flat.panel.heights
    # A girth line climbs by up to the height of its arc, which for this leg's cone is below 30 mm.
    assert middle == pytest.approx(0.5 * (heights.min() + heights.max()), abs=30.0)


def test_named_girths_push_plain_ones_aside(limb):
    rings_found = girth_rings(limb)
    assert [ring.height for ring in rings_found] == [0.0, 50.0, 100.0, 150.0, 200.0, 250.0, 284.0, 300.0, 350.0, 365.0]
    assert text(rings_found[6].words).startswith("Widest calf 3")
    assert not any(ring.words == "" for ring in rings_found)


def test_a_right_leg_is_drawn_as_the_mirror_image():
    (left,), (right,) = (shown_panels(calf_report(side=side, edge_length=14.0).limbs[0]) for side in ("left", "right"))
    np.testing.assert_allclose(right.flat, left.flat * [-1.0, 1.0])


def test_the_outside_of_a_left_leg_is_on_the_right_seen_from_the_front(limb):
    def reach(report, bearing):
        view = limb_view(report, (), bearing=bearing)
        skin = np.vstack(rings(next(s.path for s in view.strokes if s.kind == "skin")))
        at_widest = skin[np.abs(skin[:, 1] - 245.0) < 4.0]
        return at_widest[:, 0].min(), at_widest[:, 0].max()

    mirrored = replace(limb, limb=replace(limb.limb, frame=replace(limb.limb.frame, axes=np.diag([1.0, 1.0, -1.0]))))
    # This limb swells 3 mm further outwards than inwards, and 12 mm further backwards than forwards.
    assert reach(limb, 0.0)[1] > -reach(limb, 0.0)[0] + 1.0
    assert reach(mirrored, 0.0)[1] < -reach(mirrored, 0.0)[0] - 1.0
    # Seen from its outside, a left leg's back is on the right.
    assert reach(limb, np.pi / 2)[1] > -reach(limb, np.pi / 2)[0] + 6.0


def test_the_back_shows_the_opening_and_the_front_does_not(limb):
    panels = shown_panels(limb)
    views = dict(side_pictures(limb, panels))
    assert list(views) == ["front", "outside", "back", "inside"]
    leather = {name: next(s.path for s in p.strokes if s.kind == "leather") for name, p in views.items()}
    pieces = {name: len(rings(path)) for name, path in leather.items()}
    assert pieces == {"front": 1, "outside": 1, "back": 2, "inside": 1}
    assert len({picture.box for picture in views.values()}) == 1


def test_only_the_limb_that_matters_is_shown(limb):
    assert bench_heights(limb) == (-25.0, 385.0)
    short = replace(limb, limb=replace(limb.limb, landmarks=limb.limb.landmarks[:1]))
    # The top edge runs at 330 mm at its highest, the bench lies 35 mm below the ankle or where the skin ends.
    assert bench_heights(short) == pytest.approx((-25.0, 330.0 + 35.0), abs=0.5)


def test_the_ruler_counts_every_fifty_millimetres(limb):
    low, high = bench_heights(limb)
    notes = [note for note in limb_view(limb, (), bearing=0.0).notes if note.kind == "tick"]
    assert [note.text for note in notes] == [str(h) for h in range(0, int(high), 50)]
    assert [note.y for note in notes] == [-float(h) for h in range(0, int(high), 50)]
    assert low > -50.0


def test_the_figures_at_the_spots_are_those_that_are_told(limb):
    stretch = limb.panels[0].stretch
    spots = [text(note.text) for note in bench_picture(limb, shown_panels(limb)).notes if note.kind == "spot"]
    assert spots == [
        f"+{100 * (stretch.most.stretch - 1):.1f} %",
        f"−{100 * (1 - stretch.least.stretch):.1f} %",
    ]


def test_the_spots_lie_on_their_faces(limb):
    (panel,) = shown_panels(limb)
    stretch = panel.report.stretch
    centres = panel.flat[panel.faces].mean(axis=1)
    first, second = (note for note in bench_picture(limb, (panel,)).notes if note.kind == "spot")
    apart = centres[stretch.most.face] - centres[stretch.least.face]
    assert (first.x - second.x, second.y - first.y) == pytest.approx(tuple(apart))
    # The leather lies at the heights of the limb but for the arcs of its girth lines, below 30 mm.
    assert -first.y == pytest.approx(stretch.most.height, abs=30.0)


def test_the_holes_lie_on_the_leather(limb):
    (panel,) = shown_panels(limb)
    (picture,) = leather_pictures(limb, (panel,))
    boundary = Polygon(np.vstack(rings(next(s.path for s in picture.strokes if s.kind == "outline"))))
    holes = [Polygon(rings(s.path)[0]) for s in picture.strokes if s.kind == "hole"]
    assert len(holes) == 18
    assert all(boundary.contains(hole) for hole in holes)


def test_a_level_line_crosses_the_whole_limb_and_its_leather(limb):
    panels = shown_panels(limb)
    bare, dressed = (front_levels(limb, p, heights=[-10.0, 200.0], until=90.0) for p in ((), panels))
    skin = limb.skin.points(np.full(720, 200.0), np.arange(720) * np.pi / 360)[:, 1].min()
    assert bare[1][0, 0] == pytest.approx(skin, abs=0.1)
    # The leather's mid-line lies 5.9 mm off the skin, which leans there by less than 20° (cos 0.94).
    assert bare[1][0, 0] - dressed[1][0, 0] == pytest.approx(5.9, abs=0.4)
    assert dressed[0][0, 0] == bare[0][0, 0]
    assert dressed[1][1].tolist() == [90.0, 200.0]


def test_a_piece_is_drawn_with_all_its_holes(limb):
    (shown,) = shown_pieces(limb.pieces)
    assert sum(stroke.kind == "hole" for stroke in shown.picture.strokes) == 18
    assert re.fullmatch(
        r"\d+ mm wide and \d+ mm high \([\d.]+ × [\d.]+ in\), .* Punch it flat: 18 eyelet holes of 5 mm\.",
        text(shown.size),
    )
    assert text(shown.title) == "Whole, left"


def test_pieces_are_drawn_at_one_scale(limb):
    whole = limb.pieces[0]
    half = replace(whole, outline=Path(whole.outline.points * 0.5, whole.outline.bulges, closed=True), holes=())
    first, second = (shown.picture.box for shown in shown_pieces((whole, half)))
    assert first[2] == second[2]
    assert first[3] > second[3]
    assert shown_pieces(()) == ()
