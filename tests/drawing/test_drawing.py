import colorsys
import io
import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from types import SimpleNamespace

import ezdxf
import numpy as np
import pyogrio
import pytest
from ezdxf import colors

from flatten.drawing import pdf
from flatten.drawing.compose import drawing_of, extent
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.ink import colour_shares, put_text, ready_font
from flatten.drawing.model import LAYERS, Drawing, Layer
from flatten.drawing.pdf import pdf_bytes
from flatten.drawing.svg import MARGIN, svg_bytes
from flatten.limb.model import Landmark
from flatten.pattern.model import Label, Path
from flatten.pattern.path import bounds
from flatten.sheet.layout import side_by_side
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of, tiled
from tests.flat_panels import opened_frustum, piece_from

TITLE = "Harbour watch, guard 3"
ODD = "港の見張り 🛡\n\x00\ud800 %%d ^J <&> Ж"


def shin(side="left", **more):
    girths = (Landmark("widest", 300.0),)
    return piece_from(opened_frustum(gap=25.0, arch=15.0), side=side, job=TITLE, thickness=3.2, girths=girths, **more)


@pytest.fixture(scope="module")
def pieces():
    return side_by_side([shin(), shin("right", mirrored=True)])


@pytest.fixture(scope="module")
def drawing(pieces):
    return drawing_of(pieces, TITLE)


@pytest.fixture(scope="module")
def doc(drawing):
    return ezdxf.read(io.StringIO(dxf_bytes(drawing).decode("utf-8")))


def test_dxf_passes_the_audit_in_r2010_and_mm(doc):
    auditor = doc.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert doc.dxfversion == "AC1024"
    assert (doc.header["$INSUNITS"], doc.header["$MEASUREMENT"]) == (4, 1)


def test_dxf_has_only_layers_that_hold_something(doc, drawing):
    used = {entity.dxf.layer for entity in doc.modelspace()}
    assert used == {layer.name for layer in drawing.layers} == {"CUT", "HOLES", "MARK", "TEXT"}
    assert {layer.dxf.name for layer in doc.layers} - {"0", "Defpoints"} == used


def test_what_is_cut_is_red_and_what_is_drawn_is_green_for_machines(doc, drawing):
    """Black, grey and blue, which machines take for engraving, occur nowhere; nor does a filled area but letters."""
    numbers = {layer.dxf.name: layer.dxf.color for layer in doc.layers if layer.dxf.name in LAYERS}
    assert numbers == {"CUT": colors.RED, "HOLES": colors.RED, "MARK": colors.GREEN, "TEXT": colors.GREEN}
    assert all(entity.dxf.color == colors.BYLAYER for entity in doc.modelspace())
    root = ET.fromstring(svg_bytes(drawing))
    shown = {}
    for group in (element for element in root if element.tag.endswith("}g")):
        for element in (group, *group):
            colour = {element.get("stroke"), element.get("fill")} - {None, "none"}
            shown.setdefault(group.get("id"), set()).update(colour)
    hues = {name: [colorsys.rgb_to_hsv(*colour_shares(one)) for one in found] for name, found in shown.items()}
    assert set(hues) == {"cut", "holes", "mark", "text"}
    for name, found in hues.items():
        (hue,) = found
        # Hues within 30°, a twelfth of the circle.
        assert hue[0] == pytest.approx(0.0 if name in ("cut", "holes") else 1 / 3, abs=1 / 12)
        assert hue[1] == 1.0
    filled = [element.tag for element in root.iter() if element.get("fill") not in (None, "none")]
    assert len(filled) == 1
    assert filled[0].endswith("}g")
    assert not [element for element in root.iter() if element.tag.endswith("}rect")]


def test_dxf_outlines_are_closed_and_holes_are_circles(doc, pieces):
    outlines = doc.modelspace().query('LWPOLYLINE[layer=="CUT"]')
    assert len(outlines) == 2
    for outline, piece in zip(outlines, pieces, strict=True):
        assert outline.closed
        read = np.array(outline.get_points("xyb"))
        np.testing.assert_allclose(read[:, :2], piece.outline.points, atol=1e-9)
        np.testing.assert_allclose(read[:, 2], piece.outline.bulges, atol=1e-12)
    holes = doc.modelspace().query('CIRCLE[layer=="HOLES"]')
    assert len(holes) == sum(len(piece.holes) for piece in pieces)
    assert {hole.dxf.radius for hole in holes} == {2.5}


def test_dxf_draws_nothing_twice(doc):
    seen = []
    for entity in doc.modelspace().query("LWPOLYLINE"):
        points = [tuple(np.round(p, 4)) for p in entity.get_points("xyb")]
        seen.append(tuple(points))
    assert len(seen) == len(set(seen))


def test_a_second_reader_finds_the_outline_at_true_size(drawing, pieces, tmp_path):
    file = tmp_path / "pattern.dxf"
    file.write_bytes(dxf_bytes(drawing))
    # Arcs in steps of 0.05°: chords leave an arc of 10 m radius by less than 0.001 mm.
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": "0.05"})
    try:
        read = pyogrio.raw.read(str(file), columns=["Layer"])
        boxes = pyogrio.read_bounds(str(file))[1]
    finally:
        pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": None})
    layers = read[3][0]
    found = boxes[:, layers == "CUT"].T
    assert len(found) == 2
    np.testing.assert_allclose(found, [bounds(piece.outline) for piece in pieces], atol=0.01)
    assert (layers == "HOLES").sum() == sum(len(piece.holes) for piece in pieces)
    sizes = (boxes[2] - boxes[0])[layers == "HOLES"]
    np.testing.assert_allclose(sizes, 5.0, atol=0.01)


def test_svg_is_in_mm_with_a_group_for_each_layer(drawing):
    root = ET.fromstring(svg_bytes(drawing))
    x0, y0, x1, y1 = extent(drawing)
    width, height = x1 - x0 + 2 * MARGIN, y1 - y0 + 2 * MARGIN
    assert float(root.get("width").removesuffix("mm")) == pytest.approx(width, abs=1e-3)
    assert [float(v) for v in root.get("viewBox").split()] == pytest.approx([0, 0, width, height], abs=1e-3)
    groups = [element.get("id") for element in root if element.tag.endswith("}g")]
    assert groups == ["mark", "text", "holes", "cut"]
    titles = [element[0].text for element in root if element.tag.endswith("}g")]
    assert [title.split(":")[0] for title in titles] == ["not to cut", "not to cut", "to cut or punch", "to cut"]


def test_svg_outline_runs_through_the_points_turned_over_once(drawing, pieces):
    root = ET.fromstring(svg_bytes(drawing))
    cut = next(element for element in root if element.get("id") == "cut")
    x0, _, _, y1 = extent(drawing)
    data = cut[1].get("d")
    ends = [tuple(map(float, m.split()[-2:])) for m in re.findall(r"[MLA]([^MLAZ]*)", data)]
    wanted = pieces[0].outline.points * [1, -1] + [MARGIN - x0, y1 + MARGIN]
    np.testing.assert_allclose(ends[: len(wanted)], wanted, atol=1e-3)
    assert data.endswith("Z")
    # Counter-clockwise arcs have sweep 0 where y points down.
    flags = [tuple(map(int, m)) for m in re.findall(r"A\S+ \S+ 0 (\d) (\d)", data)]
    bent = pieces[0].outline.bulges[pieces[0].outline.bulges != 0]
    assert flags == [(int(abs(b) > 1), int(b < 0)) for b in bent]


@pytest.mark.parametrize("paper", ["A4", "Letter", "A3", "Tabloid", "one page"])
def test_same_pieces_same_bytes(drawing, pieces, paper):
    assert dxf_bytes(drawing) == dxf_bytes(drawing)
    assert svg_bytes(drawing) == svg_bytes(drawing)
    first, second = (pdf_bytes(sheets_of(pieces, Printing(paper)), TITLE) for _ in range(2))
    assert first == second


def test_any_name_is_written_and_read_back():
    piece = replace(shin(), name=ODD)
    piece = replace(piece, labels=(*piece.labels, replace(piece.labels[0], text=ODD)))
    drawing = drawing_of([piece], ODD)
    doc = ezdxf.read(io.StringIO(dxf_bytes(drawing).decode("utf-8")))
    assert not doc.audit().errors
    ET.fromstring(svg_bytes(drawing))
    assert pdf_bytes(sheets_of([piece], Printing()), ODD).startswith(b"%PDF")


def test_no_pieces_are_a_title_and_a_check_line():
    empty = drawing_of([], TITLE)
    assert [layer.name for layer in empty.layers] == ["TEXT"]
    assert dxf_bytes(empty)
    assert svg_bytes(empty)
    for paper in ("A4", "one page"):
        assert pdf_bytes(sheets_of([], Printing(paper)), TITLE).startswith(b"%PDF")


def test_texts_lie_as_they_are_turned_and_an_open_path_ends_straight():
    """Counter-clockwise in DXF, y up; the other way round in SVG, y down."""
    arc = Path(np.array([[0.0, 0], [10, 0], [20, 5]]), np.array([0.5, 0.0, 0.3]), closed=False)
    layer = Layer("TEXT", (arc,), (), (Label(3.0, 4.0, 5.0, 0.3, "inside"), Label(0.0, 9.0, 5.0, 0.0, "level")))
    drawing = Drawing(TITLE, (layer,))
    space = ezdxf.read(io.StringIO(dxf_bytes(drawing).decode("utf-8"))).modelspace()
    assert [text.dxf.rotation for text in space.query("TEXT")] == pytest.approx([np.degrees(0.3), 0.0])
    assert [point[2] for point in space.query("LWPOLYLINE").first.get_points("xyb")] == [0.5, 0.0, 0.0]
    texts = [element for element in ET.fromstring(svg_bytes(drawing)).iter() if element.tag.endswith("}text")]
    turns = [re.findall(r"rotate\((\S+) (\S+) (\S+)\)", text.get("transform", "")) for text in texts]
    assert [float(turn[0][0]) for turn in turns if turn] == pytest.approx([-np.degrees(0.3)], abs=1e-3)
    assert turns[0][0][1:] == (texts[0].get("x"), texts[0].get("y"))


def test_no_text_becomes_a_code_of_the_dxf():
    layer = Layer("TEXT", (), (), (Label(0.0, 0.0, 5.0, 0.0, "5 %%d ^J 100 %"),))
    space = ezdxf.read(io.StringIO(dxf_bytes(Drawing(TITLE, (layer,))).decode("utf-8"))).modelspace()
    # What a program shows; "%%d" would be a degree sign, "^J" a line break.
    assert space.query("TEXT").first.plain_text() == "5 % %d ^J 100 %"


def test_a_text_is_anchored_by_its_own_width_and_narrowed_to_the_room_it_has():
    def drawn(anchor, most=None):
        """The size, and where the text begins."""
        told = {}
        pen = SimpleNamespace(
            setFont=lambda font, size: told.update(size=size), drawString=lambda x, y, text: told.update(x=x)
        )
        put_text(pen, 50.0, 0.0, 3.0, "print at 100 %", anchor=anchor, most=most)
        return told["size"], told["x"]

    ready_font()
    (size, start), (_, middle), (_, end) = (drawn(anchor) for anchor in ("start", "middle", "end"))
    assert start == 50.0
    # Letters half as wide as tall, or more.
    assert start - end > 0.5 * 14 * 3.0
    assert middle == pytest.approx(0.5 * (start + end))
    assert drawn("end", most=10.0) == pytest.approx((size * 10.0 / (start - end), start - 10.0))


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_crosses_of_neighbouring_sheets_are_at_one_place_of_the_piece(monkeypatch, paper):
    """Each lies on two sheets, and a dashed line where a neighbour's trimmed edge comes to lie; in rows that begin
    at places of their own too."""
    crosses, dashed = [], []
    tiling = tiled(shin(), Printing(paper))
    assert tiling.rows > 1
    assert max(map(tiling.in_row, range(tiling.rows))) > 1
    width, height = tiling.window
    monkeypatch.setattr(pdf, "_cross", lambda _, x, y: crosses.append((x, y)))
    monkeypatch.setattr(pdf, "lined", lambda _, *line: dashed.append(line[:4]))
    for tile in tiling.tiles:
        pdf._draw_joins(None, tiling, tile)
    places, counts = np.unique(np.round(crosses, 6), axis=0, return_counts=True)
    assert len(places)
    assert (counts % 2 == 0).all()
    assert dashed
    rights, bottoms = [tile.x + width for tile in tiling.tiles], [tile.y for tile in tiling.tiles]
    for x0, y0, x1, y1 in dashed:
        trimmed, at = (rights, x0) if x0 == x1 else (bottoms, y0)
        assert min(abs(place - at) for place in trimmed) < 1e-9
        assert max(x1 - x0, y1 - y0) == pytest.approx(height if x0 == x1 else width)
    for x, y in places:
        assert min(np.hypot(*(np.clip([x, y], line[:2], line[2:]) - [x, y])) for line in dashed) < 1e-6


def test_dates_are_those_of_no_day(drawing, pieces):
    # Day 2451545 is 1 January 2000 in the Julian count that DXF uses.
    dates = re.findall(rb"\$TD(?:U?CREATE|U?UPDATE)\s+40\s+(\S+)", dxf_bytes(drawing))
    assert dates
    assert {float(date) for date in dates} == {2451545.0}
    dates = re.findall(rb"/(?:Creation|Mod)Date \(D:(\d{4})", pdf_bytes(sheets_of(pieces, Printing()), TITLE))
    assert set(dates) == {b"2000"}
