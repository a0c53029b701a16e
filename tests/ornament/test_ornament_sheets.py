"""The sheets of ornament: true size, nothing lost of the field, symmetrical squares, lines alone to trace."""

import subprocess
import xml.etree.ElementTree as ET
from dataclasses import replace

import numpy as np
import pytest
import shapely

from flatten.drawing.ornaments import field_files, tooling_files
from flatten.ornament.model import Field, Region
from flatten.ornament.sheets import SHADED, closed_path, field_sheet, look_sheet, tracing_sheet
from flatten.pattern.model import Mark
from flatten.pattern.outline import shape_of
from flatten.pattern.path import polyline
from flatten.sheet.paper import HOME_PRINTER
from flatten.sheet.tiles import sheets_of
from flatten.words.english import ENGLISH
from tests.flat_panels import opened_frustum, piece_from

PIECE = piece_from(opened_frustum(gap=25.0, arch=15.0), side="left", job="watch", thickness=3.2)
INSIDE = shape_of(PIECE.outline).buffer(-8.0)
MIDDLE = np.array([[0.0, INSIDE.bounds[1]], [0.0, INSIDE.bounds[3]]])
FIELD = Field(PIECE.name, Region.of(INSIDE), MIDDLE)
SQUARE_RIM = np.array([[-20.0, 40.0], [20.0, 40.0], [20.0, 80.0], [-20.0, 80.0]])
BACK = Region((SQUARE_RIM,))
CARVED = replace(
    PIECE,
    marks=(
        *PIECE.marks,
        Mark("carved line", closed_path(SQUARE_RIM)),
        Mark("bevelled side", closed_path(SQUARE_RIM)),
        Mark("background", closed_path(SQUARE_RIM)),
    ),
)


def kinds(piece):
    return {mark.kind for mark in piece.marks}


def test_a_field_s_sheet_has_outline_holes_field_and_squares():
    sheet = field_sheet(PIECE, FIELD, language=ENGLISH)
    assert kinds(sheet) >= {"field", "square", "counted square"}
    assert (sheet.outline, sheet.holes) == (PIECE.outline, PIECE.holes)
    rim = next(mark.path for mark in sheet.marks if mark.kind == "field")
    assert shapely.Polygon(polyline(rim, 0.01)).area == pytest.approx(FIELD.region.area)
    squares = shapely.MultiLineString([mark.path.points for mark in sheet.marks if "square" in mark.kind])
    # As much line as area over the side, twice: upright and level.
    assert squares.length == pytest.approx(2.0 * FIELD.region.area / 5.0, rel=0.02)
    assert {label.text for label in sheet.labels} >= {"5", "10"}


def test_numbers_stand_in_the_field_and_once_a_line():
    sheet = field_sheet(PIECE, FIELD, language=ENGLISH)
    assert all(FIELD.region.shape.covers(shapely.Point(label.x, label.y)) for label in sheet.labels)
    # One to the right, one to the left, and perhaps one from below up.
    assert all([label.text for label in sheet.labels].count(text) <= 3 for text in ("5", "10", "15"))


def test_only_carved_lines_are_traced_and_the_look_is_shaded():
    trace, look = tracing_sheet(CARVED, language=ENGLISH), look_sheet(CARVED, BACK, language=ENGLISH)
    assert kinds(trace) - {"centre line", "fold", "trim"} == {"carved line"}
    assert kinds(look) == {"carved line", "bevelled side", "shade"}
    shade = shapely.MultiLineString([mark.path.points for mark in look.marks if mark.kind == "shade"])
    assert shade.length == pytest.approx(BACK.area / SHADED, rel=0.02)
    assert shapely.Polygon(SQUARE_RIM).buffer(1e-9).covers(shade)


def test_a_field_is_told_in_svg_at_true_size():
    sheet = [field_sheet(PIECE, FIELD, language=ENGLISH)]
    files = dict(field_files(sheet, "watch", laid=sheets_of(sheet, HOME_PRINTER)))
    root = ET.fromstring(files["field.svg"])
    assert float(root.get("width").removesuffix("mm")) == pytest.approx(float(root.get("viewBox").split()[2]))
    layers = {group.get("id"): len(group) for group in root if group.tag.endswith("}g")}
    assert layers["grid"] > layers["count"] > 5


@pytest.mark.browser
def test_sheets_are_printed_with_what_is_done_with_them(tmp_path):
    look = look_sheet(CARVED, BACK, language=ENGLISH)
    laid = sheets_of([tracing_sheet(CARVED, language=ENGLISH), look], HOME_PRINTER)
    files = dict(tooling_files("watch", laid=laid))
    (tmp_path / "tooling.pdf").write_bytes(files["tooling.pdf"])
    call = ["pdftotext", "tooling.pdf", "-"]
    text = subprocess.run(call, cwd=tmp_path, check=True, capture_output=True, text=True, timeout=60).stdout
    pages = text.split("\f")
    assert "never through" in pages[0]
    assert "swivel knife is sharp" in pages[0]
    assert any("lines to trace" in page for page in pages)
    assert any("over and under" in page for page in pages)


def test_without_sheets_there_are_no_files():
    none = sheets_of([], HOME_PRINTER)
    assert tooling_files("watch", laid=none) == field_files([], "watch", laid=none) == ()
