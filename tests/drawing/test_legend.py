"""The legend tells what occurs on the pieces and nothing else; the hatch lies where leather is not to be tooled."""

import re
import subprocess
from dataclasses import replace
from pathlib import Path as File

import numpy as np
import pytest
import shapely

import flatten
from flatten.drawing.compose import drawing_of, layers_of
from flatten.drawing.cover import IN_SQUARE
from flatten.drawing.hatch import APART, CLEAR, hatch_of, untooled_ground
from flatten.drawing.ink import ready_font
from flatten.drawing.legend import entries_of, legend_height
from flatten.drawing.pdf import pdf_bytes
from flatten.pattern.lettering import text_box
from flatten.pattern.model import Hole, Mark, Path, Zone
from flatten.pattern.path import segment
from flatten.sheet.layout import moved_piece
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of
from flatten.sheet.turned import turned_piece
from flatten.words.english import ENGLISH
from flatten.words.english import legend as words
from flatten.words.say import text
from tests.flat_panels import opened_frustum, piece_from


def guard():
    return piece_from(opened_frustum(gap=25.0, arch=15.0), side="left", job="watch", thickness=3.2)


def with_zone(piece, middle, radius):
    rim = Path(np.add(middle, [[-radius, 0.0], [radius, 0.0]]), np.ones(2), closed=True)
    return replace(piece, untooled=(Zone((rim,), np.pi * radius**2),))


def told(*pieces):
    return [text(entry.told, ENGLISH) for entry in entries_of(pieces)]


def test_a_plain_guard_tells_of_its_cut_its_eyelets_and_its_marks_alone():
    drawn = [entry.drawn for entry in entries_of([guard()])]
    assert drawn == ["CUT", "HOLES", "MARK", "tick", "arrow"]
    assert told(guard())[:2] == ["cut", "punch 5 mm: eyelets"]


def test_each_thing_that_occurs_is_told_once():
    piece = guard()
    holes = [Hole(0.0, 9.0 * k, 3.0, "rivet", "plate", "", after=k > 2) for k in range(5)]
    holes += [Hole(20.0, 0.0, 4.0, "slot", "a", "", run=16.0), Hole(30.0, 0.0, 1.0, "stitch", "a", "")]
    lines = segment((0.0, 0.0), (50.0, 0.0))
    marks = [Mark(kind, lines) for kind in ("stitch line", "fold", "slit", "bevel line", "skive", "trim")]
    full = replace(piece, holes=(*piece.holes, *holes), marks=(*piece.marks, *marks))
    full = with_zone(full, (0.0, 60.0), 20.0)
    drawn = [entry.drawn for entry in entries_of([full, piece])]
    assert drawn == [
        *("CUT", "HOLES", "HOLES", "HOLES", "HOLES", "MARK"),
        *("SLIT", "STITCH", "FOLD", "GROOVE", "MARK", "tick", "arrow", "hatch"),
    ]
    lines = "\n".join(told(full, piece))
    for said in ("punch 5 mm", "slot of 20 × 4 mm", "punch 3 mm: rivets", "punch 1 mm", "after forming", "skive from"):
        assert lines.count(said) >= 1, said


def test_every_kind_of_mark_and_hole_that_is_made_has_its_words():
    room = File(flatten.__file__).parent
    files = (file for name in ("pattern", "former", "ornament") for file in sorted((room / name).glob("*.py")))
    source = "\n".join(file.read_text() for file in files)
    kinds = set(re.findall(r'(?:Mark|traced|AddedLine)\(\s*"([a-z ]+)"', source))
    assert {"fold", "slit", "trim", "centre line", "girth ring", "skive"} <= kinds
    assert kinds - {"check line"} <= set(words._LINES) | set(words._TICKS)


def test_the_legend_of_a_plain_guard_fits_into_the_test_square():
    width, height = IN_SQUARE
    ready_font()
    assert 20.0 < legend_height(entries_of([guard()]), width, ENGLISH) < height


def test_hatch_lies_evenly_in_its_ground():
    ground = shapely.Point(30.0, 40.0).buffer(25.0, quad_segs=64)
    lines = hatch_of(ground)
    assert shapely.contains(ground.buffer(1e-6), shapely.linestrings(lines)).all()
    turned = np.sort((lines[:, 0, 1] - lines[:, 0, 0]) / np.sqrt(2.0))
    np.testing.assert_allclose(np.diff(turned), APART, atol=1e-9)
    # A ruling of lines APART from one another has the area over APART of length.
    assert shapely.length(shapely.linestrings(lines)).sum() == pytest.approx(ground.area / APART, rel=0.02)
    assert len(hatch_of(shapely.Polygon())) == 0


def test_hatch_keeps_off_holes_and_texts_and_is_on_no_layer():
    piece = with_zone(guard(), (0.0, 100.0), 60.0)
    punched = [Hole(x, y, 5.0, "rivet", "plate", "") for x in (-35.0, 0.0, 35.0) for y in (75.0, 100.0, 125.0)]
    piece = replace(piece, holes=(*piece.holes, *punched))
    hatch = shapely.multilinestrings(list(hatch_of(untooled_ground(piece))))
    assert hatch.length > 500.0
    for label in piece.labels:
        assert shapely.distance(hatch, shapely.Polygon(text_box(label))) > 0.99 * CLEAR
    for hole in piece.holes:
        assert shapely.distance(hatch, shapely.Point(hole.x, hole.y)) > 0.5 * hole.diameter + 0.95 * CLEAR
    plain = replace(piece, untooled=())
    assert [len(layer.paths) for layer in layers_of(piece)] == [len(layer.paths) for layer in layers_of(plain)]
    assert len(drawing_of([piece], "").layers) == len(drawing_of([plain], "").layers)


def test_a_zone_goes_along_when_its_piece_is_moved_or_turned():
    piece = with_zone(guard(), (5.0, 100.0), 40.0)
    (rim,) = moved_piece(turned_piece(piece, 0.5 * np.pi), 10.0, 20.0).untooled[0].rims
    np.testing.assert_allclose(rim.points.mean(axis=0), [-90.0, 25.0], atol=1e-9)


@pytest.mark.browser
def test_the_sheets_hold_the_legend_and_a_light_hatch(tmp_path):
    piece = guard()
    files = {}
    for name, one in (("plain", piece), ("zoned", with_zone(piece, (0.0, 100.0), 60.0))):
        (tmp_path / f"{name}.pdf").write_bytes(pdf_bytes(sheets_of([one], Printing()), "watch"))
        call = ["pdftotext", "-l", "2", f"{name}.pdf", "-"]
        files[name] = subprocess.run(call, cwd=tmp_path, check=True, capture_output=True, text=True).stdout
    assert "do not tool" in files["zoned"]
    assert "do not tool" not in files["plain"]
    assert "punch 5 mm: eyelets" in files["plain"]
