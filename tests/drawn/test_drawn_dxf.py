"""DXF as it may be written: bulges, splines, blocks, layers, units; and files made to choke on."""

import math
import re

import ezdxf
import numpy as np
import pytest
import shapely

from flatten.drawn.model import DrawnError
from flatten.drawn.read import drawn_file

FINE = 0.02


def read(tmp_path, draw, *, unit=4, told="auto", version="R2010"):
    document = ezdxf.new(version)
    if version != "R12":
        document.header["$INSUNITS"] = unit
    draw(document, document.modelspace())
    path = tmp_path / "a.dxf"
    document.saveas(path)
    return drawn_file(path, what="the drawing", fine=FINE, unit=told)


def only(file):
    (line,) = file.lines
    return line.points


@pytest.mark.parametrize(
    ("unit", "scale"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1000.0), (9, 0.0254), (13, 0.001), (14, 100.0)]
)
def test_every_unit_gives_true_size(tmp_path, unit, scale):
    points = only(read(tmp_path, lambda _, space: space.add_line((0, 0), (3, 4)), unit=unit))
    assert np.hypot(*(points[1] - points[0])) == pytest.approx(5 * scale)


@pytest.mark.parametrize("kind", ["LWPOLYLINE", "POLYLINE"])
@pytest.mark.parametrize("bulge", [1.0, -1.0, math.tan(math.pi / 8), 3.0])
def test_a_bulge_is_an_arc_on_its_own_side(tmp_path, kind, bulge):
    def draw(_, space):
        rows = [(0, 0, bulge), (100, 0, 0)]
        if kind == "LWPOLYLINE":
            space.add_lwpolyline(rows, format="xyb")
        else:
            space.add_polyline2d(rows, format="xyb")

    points = only(read(tmp_path, draw, version="R2010"))
    # Sagitta = bulge × half the chord; a positive bulge turns left, and so lies to the right of the chord.
    middle = np.array([50.0, -50.0 * bulge])
    assert np.hypot(*(points - middle).T).min() <= 100 * math.sin(math.pi / len(points)) * abs(bulge)
    radius = 50 * (1 + bulge * bulge) / (2 * abs(bulge))
    centre = middle + np.array([0.0, math.copysign(radius, bulge)])
    np.testing.assert_allclose(np.hypot(*(points - centre).T), radius, rtol=1e-9)
    chords = 0.5 * (points[1:] + points[:-1])
    assert radius - np.hypot(*(chords - centre).T).min() <= FINE * (1 + 1e-9)
    assert points[[0, -1]].tolist() == [[0, 0], [100, 0]]


def test_a_block_is_read_where_it_stands_each_time(tmp_path):
    def draw(document, space):
        inner = document.blocks.new("INNER")
        inner.add_circle((0, 0), 1)
        outer = document.blocks.new("OUTER")
        outer.add_blockref("INNER", (10, 0), {"xscale": 2, "yscale": 1})
        space.add_blockref("OUTER", (100, 50), {"rotation": 90, "xscale": 3, "yscale": 3, "layer": "REED"})
        space.add_blockref(
            "INNER", (0, 0), {"row_count": 2, "column_count": 3, "row_spacing": 10, "column_spacing": 20}
        )

    first, *grid = read(tmp_path, draw).lines
    # (10, 0) scaled to (30, 0), turned to (0, 30); the ellipse's long way stands.
    assert [*first.points.min(axis=0), *first.points.max(axis=0)] == pytest.approx([97, 74, 103, 86], abs=FINE)
    assert first.layer == "REED"
    middles = {tuple(np.round(shapely.Polygon(one.points).centroid.coords[0], 3).tolist()) for one in grid}
    assert middles == {(x, y) for x in (0, 20, 40) for y in (0, 10)}


def test_an_arc_seen_from_behind_is_mirrored(tmp_path):
    draw = {"extrusion": (0, 0, -1)}
    points = only(read(tmp_path, lambda _, space: space.add_arc((10, 0), 5, 0, 90, dxfattribs=draw)))
    # From behind, x runs to the left.
    assert sorted(np.round(points[[0, -1]], 9).tolist()) == [[-15, 0], [-10, 5]]


def test_splines_and_ellipses_stay_within_their_chords(tmp_path):
    fit = [(0, 0), (30, 40), (60, -10), (90, 20)]

    def draw(_, space):
        space.add_spline(fit)
        space.add_ellipse((0, 0), (50, 0), 0.3, start_param=0, end_param=math.pi)

    spline, ellipse = (line.points for line in read(tmp_path, draw).lines)
    true = ezdxf.math.fit_points_to_cad_cv(fit) if len(fit) else None
    known = np.array([(p.x, p.y) for p in true.approximate(4000)])
    assert shapely.hausdorff_distance(shapely.LineString(spline), shapely.LineString(known)) <= FINE
    np.testing.assert_allclose((ellipse[:, 0] / 50) ** 2 + (ellipse[:, 1] / 15) ** 2, 1.0, rtol=1e-9)
    assert ellipse[:, 1].min() == pytest.approx(0.0, abs=1e-9)


def test_frozen_layers_and_hidden_lines_are_not_read_and_the_rest_is_counted(tmp_path):
    def draw(document, space):
        document.layers.add("A").freeze()
        document.layers.add("B").off()
        for layer in ("A", "B", "C"):
            space.add_line((0, 0), (9, 9), {"layer": layer})
        space.add_line((0, 0), (9, 9), {"invisible": 1})
        hidden = document.blocks.new("X")
        hidden.add_line((0, 0), (9, 9), {"layer": "a"})
        space.add_blockref("X", (0, 0))
        space.add_mtext("reed")
        space.add_point((1, 1))
        document.layout("Layout1").add_line((0, 0), (9, 9))

    found = read(tmp_path, draw)
    assert [line.layer for line in found.lines] == ["C"]
    assert found.left_out == (("text", 1), ("other", 1))


def itself(document, space):
    block = document.blocks.new("X")
    block.add_line((0, 0), (1, 1))
    block.add_blockref("X", (1, 0))
    space.add_blockref("X", (0, 0))


def doubling(document, space):
    document.blocks.new("X0").add_line((0, 0), (1, 1))
    for k in range(20):
        block = document.blocks.new(f"X{k + 1}")
        block.add_blockref(f"X{k}", (1, 0))
        block.add_blockref(f"X{k}", (0, 1))
    space.add_blockref("X20", (0, 0))


def rows(document, space):
    document.blocks.new("X").add_line((0, 0), (1, 1))
    space.add_blockref("X", (0, 0), {"row_count": 30000, "column_count": 30000, "row_spacing": 1, "column_spacing": 1})


@pytest.mark.parametrize(
    ("draw", "words"),
    [(itself, "60 deep"), (doubling, "more than 50000 lines"), (rows, "repeats a block more than 50000 times")],
)
def test_blocks_without_end_are_refused_in_a_sentence(tmp_path, monkeypatch, draw, words):
    if draw is doubling:
        # A tenth, so that the test does not wait for what is refused.
        monkeypatch.setattr("flatten.drawn.dxf.MOST_SHAPES", 500)
        words = "more than 500 lines"
    with pytest.raises(DrawnError, match=re.escape(words)):
        read(tmp_path, draw)
