"""Holes and lines that other parts want on a piece: where they lie, and how those that come after forming are drawn."""

import io
import xml.etree.ElementTree as ET

import ezdxf
import numpy as np
import pytest

from flatten.drawing.compose import drawing_of
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.pdf import pdf_bytes
from flatten.drawing.svg import svg_bytes
from flatten.findings import message
from flatten.mesh.places import Places
from flatten.pattern.added import Added, AddedHole, AddedLine
from flatten.pattern.model import PatternError
from flatten.pattern.piece import TitleBlock, pattern_from
from flatten.report.cutting import hole_strokes, size_message
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of
from flatten.words.say import text
from tests.flat_panels import opened_frustum, piece_from

FLAT = opened_frustum(gap=25.0)


def at(*points):
    """The places of flat points on the panel's mesh, by each face's barycentric weights."""
    corners = FLAT.uv[FLAT.panel.mesh.faces]
    faces, weights = [], []
    for point in points:
        matrix = np.concatenate([corners, np.ones((len(corners), 3, 1))], axis=2).swapaxes(1, 2)
        found = np.linalg.solve(matrix, np.append(point, 1.0)[None, :, None])[..., 0]
        faces.append(int(found.min(axis=1).argmax()))
        weights.append(found[faces[-1]])
    return Places(np.array(faces), np.array(weights))


ADDED = Added(
    (
        AddedHole(at((30.0, 150.0)), 3.0, "rivet", "badge", after=True),
        AddedHole(at((30.0, 180.0)), 3.0, "rivet", "badge"),
        AddedHole(at((-30.0, 150.0), (-22.0, 156.0)), 4.0, "slot", "lame", after=True),
    ),
    (
        AddedLine(
            (at((10.0, 100.0), (50.0, 100.0)), at((50.0, 100.0), (50.0, 240.0))), "overlap", message("piece.upper edge")
        ),
    ),
)


def made(**more):
    return piece_from(FLAT, side="left", job="Harbour watch", thickness=3.2, added=(ADDED,), **more)


@pytest.mark.parametrize("hand", [1.0, -1.0])
def test_added_holes_lie_where_their_places_are_on_the_flat_piece(hand):
    holes = [hole for hole in made(mirrored=hand < 0).holes if hole.seam in ("badge", "lame")]
    np.testing.assert_allclose(
        [(hole.x, hole.y) for hole in holes],
        [(30 * hand, 150), (30 * hand, 180), (-26 * hand, 153)],
        atol=1e-9,
    )
    # From (-30, 150) to (-22, 156): 10 mm between the centres of its ends, rising by 3 in 4.
    assert (holes[2].run, np.tan(holes[2].angle) * hand) == pytest.approx((10.0, 0.75))


def test_what_comes_after_forming_is_a_cross_in_a_rim_among_the_marks():
    drawing = drawing_of([made()], "Harbour watch")
    space = ezdxf.read(io.StringIO(dxf_bytes(drawing).decode())).modelspace()
    circles = {
        (entity.dxf.layer, entity.dxf.center.x, entity.dxf.center.y, 2 * entity.dxf.radius)
        for entity in space.query("CIRCLE")
    }
    assert ("MARK", 30.0, 150.0, 3.0) in {(layer, *np.round(rest, 6)) for layer, *rest in circles}
    on_holes = {tuple(np.round(rest[:2], 6)) for layer, *rest in circles if layer == "HOLES"}
    assert (30.0, 180.0) in on_holes
    assert (30.0, 150.0) not in on_holes
    lines = [np.array(entity.get_points("xy")) for entity in space.query('LWPOLYLINE[layer=="MARK"]')]
    middles = [line.mean(axis=0) for line in lines if len(line) == 2 and np.hypot(*(line[1] - line[0])) < 3.001]
    assert sum(np.hypot(*(middle - (30.0, 150.0))) < 1e-6 for middle in middles) == 2
    # The slot's rim is a mark too, and its cross is as long and as wide as itself.
    assert not space.query('LWPOLYLINE[layer=="HOLES"]')
    spans = [np.hypot(*(line[1] - line[0])) for line in lines if np.hypot(*(line.mean(axis=0) - (-26.0, 153.0))) < 1e-6]
    assert sorted(spans) == pytest.approx([4.0, 10.0, 14.0])


def test_every_file_and_the_report_show_it():
    piece = made()
    root = ET.fromstring(svg_bytes(drawing_of([piece], "")))
    groups = {group.get("id"): len(list(group.iter("{http://www.w3.org/2000/svg}circle"))) for group in root}
    assert groups["mark"] == 1
    words = text(size_message(piece))
    flat, formed = words.split("Mark when formed, through the layer on it: ")
    assert "and 1 rivet hole of 3 mm." in flat
    assert formed.startswith("1 rivet hole of 3 mm")
    kinds = [stroke.kind for stroke in hole_strokes(piece.holes)]
    assert kinds.count("marked") == 2
    assert kinds.count("hole") == len(kinds) - 2
    printed = [
        pdf_bytes(sheets_of([each], Printing()), "")
        for each in (piece, piece_from(FLAT, side="left", job="", thickness=3.2))
    ]
    assert printed[0] != printed[1]


def test_an_added_line_is_drawn_and_named_and_keeps_off_holes():
    piece = made()
    drawn = [mark.path for mark in piece.marks if mark.kind == "overlap"]
    assert len(drawn) == 2
    points = np.concatenate([path.points for path in drawn])
    assert points.min(axis=0) == pytest.approx([10.0, 100.0], abs=0.3)
    assert points.max(axis=0) == pytest.approx([50.0, 240.0], abs=0.3)
    assert "upper edge comes here" in {label.text for label in piece.labels}


def test_an_added_hole_keeps_its_distances():
    near = Added((AddedHole(at((30.0, 3.0)), 3.0, "rivet", "badge"),))
    with pytest.raises(PatternError, match="from the bottom edge"):
        piece_from(FLAT, side="left", job="", thickness=3.2, added=(near,))
    close = Added(tuple(AddedHole(at((x, 150.0)), 3.0, "rivet", "badge") for x in (0.0, 5.0)))
    with pytest.raises(PatternError, match=r"rivet 1 of part 'badge' and rivet 2 of part 'badge'"):
        piece_from(FLAT, side="left", job="", thickness=3.2, added=(close,))


def test_another_part_than_the_base_bears_its_own_name_and_thickness():
    title = TitleBlock("Harbour watch", "left", 2.4, "shin guard", "plate")
    (piece,) = pattern_from((opened_frustum(gap=25.0, name="badge"),), title).pieces
    assert (piece.name, piece.part, piece.thickness) == ("shin guard, badge", "plate", 2.4)
    assert "leather 2.4 mm" in {label.text for label in piece.labels}
