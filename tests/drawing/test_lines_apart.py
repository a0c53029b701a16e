"""Kinds of lines are told apart without colour, by their dashes, in every file."""

import io
import subprocess
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import groupby

import ezdxf
import numpy as np
import pytest
from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from flatten.drawing.compose import drawing_of, layers_of
from flatten.drawing.dashes import dashes_of
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.ink import MM, draw_layers
from flatten.drawing.model import LAYERS, Layer
from flatten.drawing.svg import svg_bytes
from flatten.pattern.model import Mark, Path
from flatten.pattern.path import along, length, segment
from tests.flat_panels import opened_frustum, piece_from

DPI = 600
PIXEL = 25.4 / DPI
LINED = ("CUT", "STITCH", "FOLD", "GROOVE", "BEVEL", "BACKGROUND", "MARK")

STRAIGHT = segment((20.0, 20.0), (120.0, 20.0))
BENT = Path(np.array([[20.0, 60.0], [60.0, 75.0], [120.0, 60.0]]), np.array([-0.3, -0.2, 0.0]), closed=False)
"""Two arcs of different radii, so that dashes must run through the point between them."""
TICK = segment((20.0, 30.0), (24.0, 30.0))


@pytest.mark.parametrize("name", LINED[1:])
@pytest.mark.parametrize("path", [STRAIGHT, BENT], ids=["straight", "bent"])
def test_an_open_line_ends_with_a_whole_dash(path, name):
    dashes = dashes_of(path, LAYERS[name])
    periods = (length(path) - dashes[0]) / sum(dashes)
    assert periods == pytest.approx(round(periods), abs=1e-9)
    assert np.array(dashes) == pytest.approx(np.array(LAYERS[name].dashes), rel=0.15)


def test_a_closed_line_ends_with_the_gap_before_its_first_dash():
    ring = Path(np.array([[0.0, 0.0], [10.0, 0.0]]), np.ones(2), closed=True)
    dashes = dashes_of(ring, LAYERS["MARK"])
    periods = 10.0 * np.pi / sum(dashes)
    assert periods == pytest.approx(round(periods), abs=1e-9)


def test_a_short_mark_is_solid():
    assert dashes_of(TICK, LAYERS["MARK"]) == ()
    assert dashes_of(STRAIGHT, LAYERS["CUT"]) == ()


def a_piece():
    piece = piece_from(opened_frustum(gap=25.0, arch=15.0), side="left", job="watch", thickness=3.2)
    kinds = ("stitch line", "fold", "slit", "bevel line", "border line", "girth ring", "trim", "notch")
    kinds = (*kinds, "carved line", "bevelled side", "background")
    marks = tuple(Mark(kind, TICK if kind in ("slit", "notch") else STRAIGHT) for kind in kinds)
    return replace(piece, marks=(*piece.marks, *marks))


def test_each_kind_of_mark_is_on_the_layer_of_its_line():
    piece = a_piece()
    layers = {layer.name: layer.paths for layer in layers_of(piece)}

    def paths(*kinds):
        return [mark.path for mark in piece.marks if mark.kind in kinds]

    for name, kinds in {
        "STITCH": ("stitch line",),
        "FOLD": ("fold",),
        "SLIT": ("slit",),
        "GROOVE": ("bevel line", "border line"),
        "CARVE": ("carved line",),
        "BEVEL": ("bevelled side",),
        "BACKGROUND": ("background",),
        "MARK": ("centre line", "girth ring", "trim", "notch", "match mark", "overlap"),
        "TEXT": ("grain", "check line", "way"),
    }.items():
        assert len(paths(*kinds)), kinds
        # A path in which nothing can be merged comes back with the same points.
        assert {path.points.tobytes() for path in paths(*kinds)} == {path.points.tobytes() for path in layers[name]}, (
            name
        )


def test_dxf_has_the_same_dashes_by_layer_and_short_marks_solid():
    drawing = drawing_of([a_piece()], "watch")
    doc = ezdxf.read(io.StringIO(dxf_bytes(drawing).decode()))
    assert not doc.audit().errors
    for layer in doc.layers:
        if layer.dxf.name not in LAYERS:
            continue
        look = LAYERS[layer.dxf.name]
        assert layer.dxf.linetype.upper() == look.line
        read = [tag.value for tag in doc.linetypes.get(look.line).pattern_tags.tags if tag.code == 49]
        assert [abs(value) for value in read] == list(look.dashes)
        assert all((value >= 0) == (k % 2 == 0) for k, value in enumerate(read))
    lines = doc.modelspace().query('LWPOLYLINE[layer=="MARK"]')
    solid = {(round(e[-1][0] - e[0][0], 6), e.dxf.linetype.upper(), e.dxf.flags & 128) for e in lines}
    assert (4.0, "CONTINUOUS", 0) in solid
    assert (100.0, "BYLAYER", 128) in solid


def test_svg_has_the_same_dashes():
    root = ET.fromstring(svg_bytes(drawing_of([a_piece()], "watch")))
    for group in (element for element in root if element.tag.endswith("}g")):
        look = LAYERS[group.get("id").upper()]
        shown = [list(map(float, e.get("stroke-dasharray").split())) for e in group if e.get("stroke-dasharray")]
        assert bool(shown) == bool(look.dashes)
        for dashes in shown:
            assert dashes == pytest.approx(list(look.dashes), rel=0.25)


def rendered(folder, *paths):
    """A page for each layer with the paths on it, as grey values (rows, columns) at DPI, row 0 on top."""
    canvas = Canvas(str(folder / "lines.pdf"), pagesize=(140 * MM, 100 * MM))
    for name in LINED:
        canvas.scale(MM, MM)
        draw_layers(canvas, [Layer(name, paths, (), ())])
        canvas.showPage()
    canvas.save()
    call = ["pdftoppm", "-r", str(DPI), "-gray", "-png", "lines.pdf", "line"]
    subprocess.run(call, cwd=folder, check=True, timeout=120)
    return dict(
        zip(
            LINED, (np.asarray(Image.open(file).convert("L")) for file in sorted(folder.glob("line*.png"))), strict=True
        )
    )


def runs(page, path):
    """Lengths of dark and of light runs along a path, mm."""
    places, _ = along(path, np.arange(0.5 * PIXEL, length(path), PIXEL))
    columns = (places[:, 0] / PIXEL).astype(int)
    rows = page.shape[0] - 1 - (places[:, 1] / PIXEL).astype(int)
    dark = np.min([page[rows + k, columns] for k in (-1, 0, 1)], axis=0) < 160
    found = [(bool(key), len(list(group)) * PIXEL) for key, group in groupby(dark)]
    return [size for key, size in found if key], [size for key, size in found if not key]


@pytest.mark.browser
@pytest.mark.parametrize("path", [STRAIGHT, BENT], ids=["straight", "bent"])
def test_lines_are_told_apart_in_a_grey_print(path, tmp_path):
    pages = rendered(tmp_path, path, TICK)
    dark = {name: runs(page, path) for name, page in pages.items()}
    assert dark["CUT"][1] == []
    assert dark["CUT"][0][0] == pytest.approx(length(path), abs=0.2)
    # Half a line's width of round ends, and a pixel at each end.
    for name, size in (("STITCH", 0.0), ("BEVEL", 1.4), ("MARK", 3.0), ("GROOVE", 12.0)):
        ends = LAYERS[name].width if not size else 0.0
        wanted = dashes_of(path, LAYERS[name])
        drawn, left = dark[name]
        # A renderer takes curves in chords, so a dash may be a few pixels off.
        assert np.array(drawn[1:-1]) == pytest.approx(wanted[0] + ends, abs=5 * PIXEL)
        assert np.array(left[:-1]) == pytest.approx(wanted[1] - ends, abs=5 * PIXEL)
    drawn = np.array(dark["BACKGROUND"][0])
    assert (drawn[0::2] > 4.0).all()
    assert (drawn[1:-1:2] < 2.0).all()
    # Dash and dot in turn.
    drawn = np.array(dark["FOLD"][0])
    assert (drawn[0::2] > 6.0).all()
    assert (drawn[1::2] < 0.5).all()
    assert len(drawn) > 15


@pytest.mark.browser
def test_a_short_mark_is_not_lost_in_a_gap(tmp_path):
    for name, page in rendered(tmp_path, TICK).items():
        if name == "STITCH":
            continue
        drawn, left = runs(page, TICK)
        assert left == []
        assert drawn[0] == pytest.approx(4.0, abs=0.2)
