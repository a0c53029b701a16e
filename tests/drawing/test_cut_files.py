"""What a machine gets: one set of shapes in both versions of DXF, nothing twice, in a good order, kerf counted in."""

import io
from dataclasses import replace

import ezdxf
import ezdxf.path
import numpy as np
import pyogrio
import pytest
import shapely

from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.files import pattern_files
from flatten.drawing.kerf import Kerf, KerfError, with_kerf
from flatten.drawing.model import DXF_VERSIONS, Circle, Drawing, Layer
from flatten.drawing.order import in_cutting_order, nearest_first, without_stubs
from flatten.pattern.model import Hole, Path, Piece
from flatten.pattern.path import area, bounds
from flatten.report.cutting import piece_area
from flatten.sheet.layout import side_by_side
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of
from tests.flat_panels import opened_frustum, piece_from

STEP = {"OGR_ARC_STEPSIZE": "0.05"}
"""Degrees: chords leave an arc of 10 m radius by less than 0.001 mm."""


def square(size, x=0.0, y=0.0):
    points = np.array([(0, 0), (size, 0), (size, size), (0, size)], float) + np.array([x, y])
    return Path(points, np.zeros(4), closed=True)


def board(size, holes=(), x=0.0, name="board"):
    return Piece(name, "left", square(size, x), tuple(holes), (), (), 3.0)


@pytest.fixture(scope="module")
def pieces():
    shin = piece_from(opened_frustum(gap=25.0, arch=15.0), side="left", job="watch", thickness=3.2)
    slot = Hole(0.0, 150.0, 3.0, "slot", "back", "low", 22.0, 0.4)
    shin = replace(shin, holes=(*shin.holes, slot))
    small = board(90.0, [Hole(20.0, 20.0, 4.0, "rivet", "plate", ""), Hole(60.0, 70.0, 1.3, "stitch", "plate", "")])
    return side_by_side([shin, small])


def shapes_by_gdal(file, layer):
    """Closed shapes of a layer as another program reads them."""
    pyogrio.set_gdal_config_options(STEP)
    try:
        read = pyogrio.raw.read(str(file), columns=["Layer"])
    finally:
        pyogrio.set_gdal_config_options(dict.fromkeys(STEP))
    lines = shapely.from_wkb(read[2][read[3][0] == layer])
    found = []
    for line in lines:
        points = shapely.get_coordinates(line)
        assert np.hypot(*(points[0] - points[-1])) < 1e-6, "an open outline"
        found.append(shapely.Polygon(points))
    return found


@pytest.mark.parametrize("version", DXF_VERSIONS)
def test_two_readers_find_areas_and_holes_as_they_are_told(pieces, tmp_path, version):
    file = tmp_path / "pattern.dxf"
    file.write_bytes(dxf_bytes(drawing_of(pieces, "watch"), version))
    told = sorted(piece_area(piece) for piece in pieces)
    holes = sum(len(piece.holes) for piece in pieces)

    by_gdal = shapes_by_gdal(file, "CUT")
    assert [shape.area for shape in by_gdal] == pytest.approx(told, rel=1e-3)
    rims = shapes_by_gdal(file, "HOLES")
    assert len(rims) == holes
    assert min(np.sqrt(rim.area * 4 / np.pi) for rim in rims) == pytest.approx(1.3, rel=1e-3)
    boxes = sorted(bounds(piece.outline) for piece in pieces)
    np.testing.assert_allclose(sorted(shape.bounds for shape in by_gdal), boxes, atol=0.05)

    doc = ezdxf.readfile(file)
    auditor = doc.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert doc.dxfversion == {"R2010": "AC1024", "R12": "AC1009"}[version]
    outlines = [ezdxf.path.make_path(one) for one in doc.modelspace() if one.dxf.layer == "CUT"]
    assert all(outline.is_closed for outline in outlines)
    found = [shapely.Polygon([(p.x, p.y) for p in outline.flattening(0.001)]).area for outline in outlines]
    assert found == pytest.approx(told, rel=1e-3)
    assert len([one for one in doc.modelspace() if one.dxf.layer == "HOLES"]) == holes
    # The unit is told where the format has a word for it, and by the check line's text where not.
    assert "100 mm" in {text.dxf.text for text in doc.modelspace().query("TEXT")}
    assert doc.header.get("$INSUNITS", None if version == "R12" else 0) == {"R2010": 4, "R12": None}[version]


def test_r12_has_only_what_old_machines_know(pieces):
    text = dxf_bytes(drawing_of(pieces, "Wärter 港"), "R12").decode("cp1252")
    doc = ezdxf.read(io.StringIO(text))
    assert {entity.dxftype() for entity in doc.modelspace()} == {"POLYLINE", "CIRCLE", "TEXT"}
    assert all(len(layer.dxf.name) <= 31 and layer.dxf.name.isascii() for layer in doc.layers)
    assert "Wärter" in text
    assert {line.dxf.name.upper() for line in doc.linetypes} >= {"DASHED", "CONTINUOUS"}


def test_holes_come_before_outlines_and_small_pieces_before_large(pieces):
    (small, large) = sorted(pieces, key=piece_area)
    names = [layer.name for layer in drawing_of(pieces, "watch").layers]
    assert names[-2:] == ["HOLES", "CUT"]
    for version in DXF_VERSIONS:
        space = ezdxf.read(io.StringIO(dxf_bytes(drawing_of(pieces, "watch"), version).decode())).modelspace()
        layers = [entity.dxf.layer for entity in space]
        assert layers == sorted(layers, key=names.index)
        outlines = [ezdxf.path.make_path(one) for one in space if one.dxf.layer == "CUT"]
        middles = [sum(bounds(piece.outline)[::2]) / 2 for piece in (small, large)]
        assert [o.bbox().center.x for o in outlines] == pytest.approx(middles, abs=0.1)


def test_every_hole_is_cut_once_with_little_travel():
    chance = np.random.default_rng(7)
    places = chance.uniform(0, 300, (200, 2))
    way = nearest_first(places, places.min(axis=0))
    assert sorted(way) == list(range(200))

    def travel(order):
        return np.hypot(*np.diff(places[order], axis=0).T).sum()

    # The shortest way through random places is 0.7 √(n A) (Beardwood, Halton and Hammersley 1959); the nearest first
    # takes a quarter more on average, and half more at most here.
    assert travel(way) < 1.5 * 0.7124 * np.sqrt(200 * 300.0**2)
    assert travel(range(200)) > 3 * travel(way)


def test_nothing_is_drawn_twice_and_nothing_without_length():
    one = square(50.0)
    turned = Path(np.roll(one.points, -2, axis=0)[::-1], one.bulges, closed=True)
    stub = Path(np.array([[0, 0], [0, 0], [80, 0], [80, 1e-5], [80, 60.0]]), np.zeros(5), closed=True)
    point = Path(np.array([[5, 5], [5, 5.0]]), np.zeros(2), closed=False)
    circles = (Circle(9, 9, 4), Circle(9, 9, 4 + 1e-7), Circle(9, 9, 3), Circle(1, 1, 0.0))
    cut = Layer("CUT", (one, turned, stub, point), (), ())
    layers = {layer.name: layer for layer in in_cutting_order((cut, Layer("HOLES", (), circles, ())))}
    assert [abs(area(path)) for path in layers["CUT"].paths] == pytest.approx([2400.0, 2500.0])
    assert len(layers["CUT"].paths[0].points) == 3
    assert sorted(circle.diameter for circle in layers["HOLES"].circles) == [3, 4]
    open_end = Path(np.array([[0, 0], [10, 0], [10, 1e-6]]), np.array([0.2, 0.0, 0.0]), closed=False)
    assert len(without_stubs(open_end).points) == 2
    assert without_stubs(point) is None
    assert without_stubs(one) is one


def test_pieces_have_their_true_size_after_a_beam(pieces, tmp_path):
    """The beam's middle runs outside of outlines and inside of holes by half of what it takes away."""
    beam, fine, sheets = 0.3, 0.2, sheets_of(pieces, Printing())
    files = dict(pattern_files(pieces, "watch", sheets=sheets, kerf=Kerf(beam, fine)))
    file = tmp_path / "pattern.dxf"
    file.write_bytes(files["pattern.dxf"])
    plain = dict(pattern_files(pieces, "watch", sheets=sheets))
    assert files["pattern.pdf"] == plain["pattern.pdf"]
    assert files["pattern.svg"] != plain["pattern.svg"]
    assert b"outlines 0.3 mm, holes 0.2 mm" in files["pattern.dxf"]
    assert b"kerf" not in plain["pattern.dxf"]
    left = sorted(shapely.buffer(shape, -0.5 * beam).area for shape in shapes_by_gdal(file, "CUT"))
    assert left == pytest.approx(sorted(piece_area(piece) for piece in pieces), rel=2e-4)
    grown = sorted(shape.area for shape in shapes_by_gdal(file, "CUT"))
    assert grown[0] == pytest.approx(90.0**2 + 4 * 90.0 * 0.5 * beam + np.pi * (0.5 * beam) ** 2, abs=0.05)
    sizes = sorted(shape.area for shape in shapes_by_gdal(file, "HOLES"))
    assert sizes[0] == pytest.approx(np.pi * (1.1 / 2) ** 2, rel=1e-3)
    assert sizes[-1] == pytest.approx(22.0 * 2.8 + np.pi * 1.4**2, rel=1e-3)


def test_what_is_narrower_than_the_beam_is_refused():
    def refused(match, piece, **kerf):
        with pytest.raises(KerfError, match=match):
            drawing_of([piece], "watch", kerf=Kerf(**kerf))

    refused("a hole is 1.30 mm wide", board(90.0, [Hole(20.0, 20.0, 1.3, "stitch", "s", "")]), holes=1.2)
    refused("a slot is 1.00 mm wide", board(90.0, [Hole(20.0, 20.0, 1.0, "slot", "s", "", 9.0)]), holes=0.9)
    notch = np.array([(0, 0), (90, 0), (90, 90), (45.1, 90), (45, 40), (44.9, 90), (0, 90)], float)
    slashed = replace(board(90.0), outline=Path(notch, np.zeros(7), closed=True))
    refused("a dart or slash is narrower", slashed, cut=0.25)
    drawing_of([slashed], "watch", kerf=Kerf(holes=0.25))


def test_without_a_kerf_a_drawing_stays_as_it_is(pieces):
    drawing = Drawing("", drawing_of(pieces, "").layers)
    for before, after in zip(drawing.layers, with_kerf(drawing, Kerf()).layers, strict=True):
        assert before is after
