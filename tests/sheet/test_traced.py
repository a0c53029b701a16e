"""Hides traced from a photo: what each drawn line is, true to size however it is drawn, and bad files in a sentence."""

import contextlib
import itertools
import math
import re

import ezdxf
import numpy as np
import pytest
import shapely

from flatten.sheet.ground import HideError
from flatten.sheet.traced import BACKBONES, traced_hide

EDGE = [(0, 0), (900, 0), (860, 500), (500, 620), (60, 540)]
SPINE = [(0, 0), (900, 0)]
AREA = shapely.Polygon(EDGE).area


def dxf(tmp_path, *, unit=4, scale=1.0, version="R2010", edge=EDGE, close=True, spine=SPINE, more=lambda space: None):
    document = ezdxf.new(version)
    if version != "R12":
        document.header["$INSUNITS"] = unit
    space = document.modelspace()
    points = [(x * scale, y * scale) for x, y in edge]
    if version == "R12":
        space.add_polyline2d(points, close=close)
    elif points:
        space.add_lwpolyline(points, close=close)
    if spine:
        space.add_line(*[(x * scale, y * scale) for x, y in spine], dxfattribs={"layer": "Backbone"})
    more(space)
    path = tmp_path / "hide.dxf"
    document.saveas(path)
    return path


def svg(tmp_path, body, *, size='width="1000mm" height="700mm" viewBox="0 0 1000 700"'):
    path = tmp_path / "hide.svg"
    path.write_text(f'<?xml version="1.0"?>\n<svg xmlns="http://www.w3.org/2000/svg" {size}>{body}</svg>')
    return path


def read(path, *, unit="auto", backbone="auto"):
    return traced_hide(path, unit=unit, backbone=backbone)


@pytest.mark.parametrize(("unit", "scale"), [(4, 1.0), (5, 0.1), (1, 1 / 25.4), (6, 0.001)])
def test_an_outline_is_true_to_size_in_every_unit(tmp_path, unit, scale):
    hide = read(dxf(tmp_path, unit=unit, scale=scale))
    assert shapely.Polygon(hide.outline).area == pytest.approx(AREA, rel=1e-6)
    assert np.ptp(hide.outline, axis=0) == pytest.approx((900, 620))


def test_old_dxf_without_a_unit_is_read_where_the_unit_is_told(tmp_path):
    path = dxf(tmp_path, version="R12")
    with pytest.raises(HideError, match="does not say its unit"):
        read(path)
    assert shapely.Polygon(read(path, unit="mm").outline).area == pytest.approx(AREA)


def test_the_backbone_is_laid_along_x_wherever_it_runs(tmp_path):
    turn = math.radians(33)
    matrix = np.array([[math.cos(turn), math.sin(turn)], [-math.sin(turn), math.cos(turn)]])
    edge, spine = (np.array(line) @ matrix + [50.0, 20.0] for line in (EDGE, SPINE))
    hide = read(dxf(tmp_path, edge=edge.tolist(), spine=spine.tolist()))
    straight = shapely.Polygon(EDGE)
    assert shapely.hausdorff_distance(shapely.Polygon(hide.outline).exterior, straight.exterior) < 1e-6


def test_a_hide_on_the_other_side_of_its_backbone_is_turned_and_never_mirrored(tmp_path):
    edge = [(x, -y) for x, y in EDGE]
    hide = read(dxf(tmp_path, edge=edge))
    assert hide.outline[:, 1].min() == pytest.approx(0, abs=1e-9)
    turned = shapely.Polygon([(-x, -y) for x, y in edge])
    assert shapely.hausdorff_distance(shapely.Polygon(hide.outline).exterior, turned.exterior) < 1e-6


def test_flaws_are_closed_lines_inside_what_lies_on_their_layer_and_scars(tmp_path):
    def more(space):
        space.add_circle((300, 200), 20)
        space.add_ellipse((600, 300), (40, 0), 0.5, dxfattribs={"layer": "FLAWS old brand"})
        space.add_line((100, 100), (180, 100), dxfattribs={"layer": "flaw"})
        space.add_lwpolyline([(0, 450), (900, 450), (900, 620), (0, 620)], close=True, dxfattribs={"layer": "BELLY"})
        space.add_text("a note that is nobody's edge")

    hide = read(dxf(tmp_path, more=more))
    areas = sorted(shapely.Polygon(flaw).area for flaw in hide.flaws)
    assert areas == pytest.approx([80 * 10 + 25 * math.pi, math.pi * 400, math.pi * 800], rel=0.02)
    assert [shapely.Polygon(soft).area for soft in hide.soft] == pytest.approx([900 * 170])


def test_an_edge_of_single_lines_and_arcs_is_put_together(tmp_path):
    def more(space):
        corners = [*EDGE, EDGE[0]]
        for a, b in list(itertools.pairwise(corners))[::-1]:
            space.add_line(b, a)

    hide = read(dxf(tmp_path, edge=[], more=more))
    assert shapely.Polygon(hide.outline).area == pytest.approx(AREA)


@pytest.mark.parametrize("backbone", BACKBONES)
def test_a_backbone_may_be_told_in_words(tmp_path, backbone):
    def more(space):
        space.add_circle((70, 120), 5)

    path = dxf(tmp_path, edge=[(10, 20), (910, 20), (910, 420), (10, 420)], spine=None, more=more)
    hide = read(path, backbone=backbone)
    along = 400 if backbone in ("left edge", "right edge", "upright") else 900
    across = 1300 - along
    assert np.ptp(hide.outline, axis=0) == pytest.approx((along, across))
    low = -across / 2 if backbone in ("level", "upright") else 0
    assert hide.outline[:, 1].min() == pytest.approx(low, abs=1e-6)
    off = {"bottom edge": 100, "top edge": 300, "left edge": 60, "right edge": 840, "level": -100, "upright": 390}
    assert hide.flaws[0].mean(axis=0)[1] == pytest.approx(off[backbone], abs=0.1)


def test_svg_is_read_with_its_groups_transforms_and_curves(tmp_path):
    body = """<g id="hide" transform="translate(100,50)"><path d="M0 0 H800 A100 100 0 0 1 700 100 V500 H0 Z"/></g>
    <g inkscape:label="Flaw" xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape">
    <circle cx="300" cy="300" r="20"/></g><line id="backbone" x1="900" y1="50" x2="100" y2="50"/>"""
    hide = read(svg(tmp_path, body))
    # The arc is a quarter of the circle about (700, 0).
    expected = 700 * 500 + math.pi * 100**2 / 4
    assert shapely.Polygon(hide.outline).area == pytest.approx(expected, rel=1e-4)
    assert shapely.Polygon(hide.flaws[0]).area == pytest.approx(math.pi * 400, rel=0.01)
    assert hide.outline[:, 1].min() == pytest.approx(0, abs=1e-3)
    # The backbone runs to the left and the page's y down: from (900, 50), the spot is 600 along and 250 off it.
    assert hide.flaws[0].mean(axis=0) == pytest.approx((600, 250), abs=0.1)


def test_svg_in_inches_and_scaled_by_its_view_box(tmp_path):
    body = '<rect x="0" y="0" width="50" height="40"/>'
    path = svg(tmp_path, body, size='width="20in" height="16in" viewBox="0 0 50 40"')
    hide = read(path, backbone="bottom edge")
    assert np.ptp(hide.outline, axis=0) == pytest.approx((508, 406.4), rel=1e-5)


def empty(tmp_path):
    path = tmp_path / "hide.dxf"
    path.write_bytes(b"  \n")
    return path


def wrong(tmp_path):
    path = tmp_path / "hide.dxf"
    path.write_bytes(b"\x89PNG\r\n" + bytes(range(256)) * 4)
    return path


def photo(tmp_path):
    path = tmp_path / "hide.jpg"
    path.write_bytes(b"\xff\xd8\xff")
    return path


def bad_svg(tmp_path):
    path = tmp_path / "hide.svg"
    path.write_text("<svg><path d='M0 0")
    return path


def two(space):
    space.add_circle((3000, 200), 200)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda folder: folder / "none.dxf", "none.dxf cannot be read"),
        (empty, "hide.dxf is empty"),
        (wrong, "no DXF file that can be read"),
        (photo, "neither DXF nor SVG"),
        (bad_svg, "no SVG file that can be read"),
        (lambda folder: dxf(folder, unit=0), "does not say its unit"),
        (lambda folder: svg(folder, "<rect width='5' height='4'/>", size='width="500" height="400"'), "its unit"),
        (lambda folder: dxf(folder, close=False), "not closed: its ends, (0, 0) and (60, 540) mm, are 543 mm apart"),
        (lambda folder: dxf(folder, edge=[(0, 0), (900, 0), (0, 500), (900, 500)]), "crosses itself at (450, 250) mm"),
        (lambda folder: dxf(folder, more=two), "second outline"),
        (lambda folder: dxf(folder, scale=0.01), "which is no hide's; draw it true to size"),
        (lambda folder: dxf(folder, edge=[], spine=SPINE), "no line that could be a hide's edge"),
        (lambda folder: dxf(folder, spine=None), "no line on a layer BACKBONE"),
        (lambda folder: dxf(folder, spine=[(5, 5), (5, 5)]), "has no length"),
    ],
)
def test_what_is_no_hide_is_told_in_one_sentence(tmp_path, make, words):
    with pytest.raises(HideError, match=re.escape(words)) as told:
        read(make(tmp_path))
    assert "\n" not in str(told.value)


def test_a_drawing_of_many_chance_bytes_is_never_more_than_a_sentence(tmp_path):
    path = dxf(tmp_path)
    whole = path.read_bytes()
    chance = np.random.default_rng(7)
    for _ in range(20):
        data = bytearray(whole)
        for at in chance.integers(0, len(data), 30):
            data[at] = int(chance.integers(256))
        path.write_bytes(bytes(data[: chance.integers(1, len(data))]))
        with contextlib.suppress(HideError):
            read(path)
