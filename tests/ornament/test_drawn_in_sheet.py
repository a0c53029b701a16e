"""What is drawn in a field's sheet comes back to its place on the piece."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest
import shapely

from flatten.drawing.ornaments import field_files
from flatten.ornament.bring import brought
from flatten.ornament.model import Field, OrnamentError, Region
from flatten.ornament.placing import placed
from flatten.ornament.sheets import field_sheet
from flatten.pattern.outline import shape_of
from flatten.sheet.paper import HOME_PRINTER
from flatten.sheet.tiles import sheets_of
from flatten.words.english import ENGLISH
from tests.flat_panels import opened_frustum, piece_from

SVG = "{http://www.w3.org/2000/svg}"
PIECE = piece_from(opened_frustum(gap=25.0, arch=15.0), side="left", job="watch", thickness=3.2)
INSIDE = shape_of(PIECE.outline).buffer(-8.0)
LOW, HIGH = INSIDE.bounds[1], INSIDE.bounds[3]
SLANT = np.array([[2.0, LOW], [9.0, HIGH]])
FIELD = Field(PIECE.name, Region.of(INSIDE), SLANT)
LINE = np.array([[-20.0, 0.45], [3.0, 0.5], [25.0, 0.65], [-11.0, 0.7]]) * [1.0, HIGH - LOW] + [0.0, LOW]


def sheet_file(folder, count, draw=None, number=0):
    """A file of `count` sheets and where on its page, in its units, a point of the numbered piece stands."""
    sheets = [field_sheet(PIECE, FIELD, language=ENGLISH)] * count
    root = ET.fromstring(dict(field_files(sheets, "watch", laid=sheets_of(sheets, HOME_PRINTER)))["field.svg"])
    centres = [path.get("d") for group in root if group.get("id") == "centre" for path in group if path.get("d")]
    assert len(centres) == count
    ends = np.array(centres[number].replace("M", "").replace("L", "").split(), float).reshape(2, 2)
    np.testing.assert_allclose(np.hypot(*(ends[1] - ends[0])), np.hypot(*(SLANT[1] - SLANT[0])), atol=1e-3)
    if draw is not None:
        # Pieces are moved, not turned, so that one end of the centre line tells where the page has the rest.
        on_page = (draw - SLANT[0]) * [1.0, -1.0] + ends[0]
        data = "M" + " L".join(f"{x:.4f},{y:.4f}" for x, y in on_page)
        group = ET.SubElement(root, SVG + "g", {"id": "layer1"})
        ET.SubElement(group, SVG + "path", {"id": "path7", "d": data, "style": "fill:none;stroke:#000"})
    for at, path in enumerate(root.iter(SVG + "path")):
        # Drawing programs give every path a name of its own.
        path.set("id", path.get("id", f"path{100 + at}"))
    file = folder / "field.svg"
    ET.ElementTree(root).write(file)
    return file


@pytest.mark.parametrize(("count", "number"), [(1, 0), (2, 0), (2, 1)])
def test_a_drawing_comes_back_where_it_was_drawn(tmp_path, count, number):
    put = placed(brought(sheet_file(tmp_path, count, LINE, number)), FIELD, place="as drawn")
    (strand,) = put.strands
    np.testing.assert_allclose(strand.points, LINE, atol=0.02)


def test_on_a_field_that_was_turned_since_it_is_turned_with_the_centre_line(tmp_path):
    cos, sin = np.cos(0.3), np.sin(0.3)
    matrix = np.array([[cos, -sin], [sin, cos]])
    turned = Field(PIECE.name, Region.of(shapely.transform(INSIDE, lambda points: points @ matrix.T)), SLANT @ matrix.T)
    (strand,) = placed(brought(sheet_file(tmp_path, 1, LINE)), turned, place="as drawn").strands
    np.testing.assert_allclose(strand.points, LINE @ matrix.T, atol=0.02)


def test_half_a_drawing_comes_back_with_its_mirror_image_about_the_field_s_line(tmp_path):
    along = (SLANT[1] - SLANT[0]) / np.hypot(*(SLANT[1] - SLANT[0]))
    left = np.array([-along[1], along[0]])
    half = SLANT[0] + np.outer([12.0, 25.0, 30.0], left) + np.outer([60.0, 75.0, 110.0], along)
    put = placed(brought(sheet_file(tmp_path, 1, half)), FIELD, half="left", place="as drawn")
    assert len(put.strands) == 2
    other = half - 2.0 * np.outer([12.0, 25.0, 30.0], left)
    for wanted in (half, other):
        near = min(np.abs(points - wanted).max() for one in put.strands for points in (one.points, one.points[::-1]))
        assert near < 0.02


def test_a_sheet_that_nothing_was_drawn_in_says_so(tmp_path):
    with pytest.raises(OrnamentError, match="no lines but those of the field's sheet"):
        brought(sheet_file(tmp_path, 1))
