import itertools
from dataclasses import replace

import numpy as np
import pytest
import shapely
import shapely.affinity

from flatten.pattern.lettering import text_box
from flatten.pattern.model import Inscription, Path, Piece
from flatten.pattern.outline import shape_of
from flatten.pattern.path import bounds
from flatten.sheet.grid import OVERLAP
from flatten.sheet.layout import BETWEEN, moved_piece, side_by_side
from flatten.sheet.paper import LONGEST, PLOTTER, PaperError, Printing, paper_size
from flatten.sheet.sharing import APART
from flatten.sheet.tiles import letter_of, seen, sheets_of, tiled
from flatten.sheet.turned import inscriptions_of, turned_piece


def piece(*points, **more):
    outline = Path(np.array(points, float), np.zeros(len(points)), True)
    return Piece("guard", "left", outline, (), (), (), 3.2, **more)


def box(x, y, width, height, **more):
    return piece((x, y), (x + width, y), (x + width, y + height), (x, y + height), **more)


SHIN = piece((-100, 0), (90, 10), (190, 380), (-180, 400))
STRAP = piece((0, 0), (500, 0), (500, 40), (0, 40))
CORNER = piece((0, 0), (600, 0), (600, 30), (30, 30), (30, 800), (0, 800))
PAPERS = ["A4", "Letter", "A3", "Tabloid"]


def windows(tiling):
    return [shapely.box(t.x, t.y, t.x + tiling.window[0], t.y + tiling.window[1]) for t in tiling.tiles]


def joints(tiling):
    """The lines along which joined sheets meet: what is seen of each, without the outermost rim."""
    return [seen(tile, tiling.window) for tile in tiling.tiles]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("sample", [SHIN, STRAP, CORNER], ids=["shin", "strap", "corner"])
def test_sheets_put_together_show_the_piece_once_and_none_is_empty(sample, paper):
    tiling = tiled(sample, Printing(paper))
    (lying,) = tiling.pieces
    shape = shape_of(lying.outline)
    assert shape.area == pytest.approx(shape_of(sample.outline).area, rel=1e-12)
    assert shapely.union_all(windows(tiling)).buffer(1e-6).contains(shape)
    parts = [shapely.intersection(shape, part).area for part in joints(tiling)]
    assert min(parts) > 0
    assert sum(parts) == pytest.approx(shape.area, rel=1e-9)


def test_neighbours_share_a_strip_of_10_mm():
    tiling = tiled(SHIN, Printing())
    by_place = {(tile.row, tile.column): tile for tile in tiling.tiles}
    assert by_place[0, 1].x - by_place[0, 0].x == pytest.approx(tiling.window[0] - OVERLAP)
    assert by_place[0, 0].y - by_place[1, 0].y == pytest.approx(tiling.window[1] - OVERLAP)


def test_a_row_has_as_many_sheets_as_it_needs():
    tiling = tiled(CORNER, Printing())
    assert len({tiling.in_row(row) for row in range(tiling.rows)}) > 1
    assert len(tiling.tiles) < 7


def test_a_long_strap_lies_on_sheets_on_their_side():
    # 500 mm on A4: 3 windows upright (194 wide), 2 on the side (281 wide).
    tiling = tiled(STRAP, Printing())
    assert tiling.page == (297.0, 210.0)
    assert [tile.name for tile in tiling.tiles] == ["D1", "D2"]


def test_a_piece_is_turned_where_that_saves_a_sheet():
    """A strap of 300 × 20 mm is longer than A4's window of 281 × 186 mm, and shorter than its diagonal of 337 mm."""
    tiling = tiled(box(0, 0, 300, 20), Printing())
    assert len(tiling.tiles) == 1
    (lying,) = tiling.pieces
    assert np.ptp(lying.outline.points[:, 1]) > 100
    assert shapely.union_all(windows(tiling)).contains(shape_of(lying.outline))
    # Where nothing is saved, it lies as it is worn.
    (level,) = tiled(box(0, 0, 500, 20), Printing()).pieces
    assert bounds(level.outline)[3] == 20.0


@pytest.mark.parametrize("edge", [0.0, 3.0, 15.0, 25.0])
def test_margins_are_what_the_printer_leaves_blank(edge):
    tiling = tiled(SHIN, Printing("A3", edge))
    assert tiling.edge == edge
    assert tiling.page[0] - tiling.window[0] == pytest.approx(2 * edge)
    assert tiling.page[1] - tiling.window[1] == pytest.approx(2 * edge + 8.0)


def inscribed(*boxes, kind="name", of=SHIN):
    inscriptions = [
        Inscription(kind, np.array([[x, y], [x + w, y], [x + w, y + h], [x, y + h]], float)) for x, y, w, h in boxes
    ]
    return replace(of, inscriptions=tuple(inscriptions))


def cut_by(tiling):
    """What is read on the piece and lies in no sheet's seen part as a whole."""
    (lying,) = tiling.pieces
    parts = joints(tiling)
    boxes = [shapely.Polygon(each.box) for each in inscriptions_of(lying)]
    return [each for each in boxes if not any(part.buffer(1e-6).contains(each) for part in parts)]


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("seed", range(6))
def test_joints_pass_by_what_is_read(seed, paper):
    """A name and a check line anywhere on a guard; on larger sheets an arrow too, as long as they are at most."""
    chance = np.random.default_rng(seed)
    sizes = ((85, 40), (100, 15), (20, 120))[: 3 if paper in ("A3", "Tabloid") else 2]
    sample = inscribed(*((chance.uniform(-90, 80 - w), chance.uniform(20, 370 - h), w, h) for w, h in sizes))
    tiling = tiled(sample, Printing(paper))
    assert not cut_by(tiling)
    assert not tiling.cuts


def test_a_joint_through_what_is_longer_than_a_sheet_is_told():
    tiling = tiled(inscribed((-60, 20, 40, 350), (-60, 20, 150, 40)), Printing("A4"))
    assert tiling.cuts
    assert cut_by(tiling)
    assert not tiled(inscribed((-60, 20, 40, 250)), Printing("A3")).cuts


def test_papers_have_their_published_sizes():
    # A4 210 × 297 and A3 297 × 420 (ISO 216), Letter 215.9 × 279.4 and Tabloid 279.4 × 431.8 mm (ANSI A and B).
    assert paper_size("A4") == (210.0, 297.0)
    assert paper_size("A3") == (297.0, 420.0)
    assert paper_size("Letter") == pytest.approx((8.5 * 25.4, 11 * 25.4), rel=1e-15)
    assert paper_size("Tabloid") == pytest.approx((11 * 25.4, 17 * 25.4), rel=1e-15)


def test_an_unknown_paper_is_refused():
    with pytest.raises(PaperError, match=r"'A5'.*A4, Letter, A3, Tabloid or one page"):
        sheets_of([SHIN], Printing("A5"))


@pytest.mark.parametrize(("number", "name"), [(0, "D"), (22, "Z"), (23, "DD"), (551, "ZZ"), (552, "DDD")])
def test_letters_go_on_after_z(number, name):
    assert letter_of(number) == name


def test_no_sheet_is_called_like_a_format_of_paper():
    letters = [letter_of(number) for number in range(800)]
    assert len(set(letters)) == 800
    assert not set("".join(letters)) & set("ABC")


def test_every_sheet_of_a_job_has_a_name_of_its_own():
    pattern = sheets_of([SHIN, box(0, 0, 60, 60), SHIN, box(0, 0, 60, 60)], Printing())
    mockup = sheets_of([SHIN], Printing(), first=len(pattern.tilings))
    tilings = [*pattern.tilings, *mockup.tilings]
    assert [tiling.letter for tiling in tilings] == ["D", "E", "F", "G"]
    names = [tile.name for tiling in tilings for tile in tiling.tiles]
    assert len(set(names)) == len(names)
    assert [tile.name for tile in tilings[1].tiles] == ["E1"]


def apart(tiling):
    shapes = [shape_of(each.outline) for each in tiling.pieces]
    return min((a.distance(b) for a, b in itertools.combinations(shapes, 2)), default=np.inf)


@pytest.mark.parametrize("seed", range(4))
def test_small_pieces_share_sheets_and_do_not_touch(seed):
    chance = np.random.default_rng(seed)
    pieces = []
    for _ in range(14):
        corners = chance.uniform(0, 1, (8, 2)) * chance.uniform(60, 180, 2)
        hull = shapely.MultiPoint(corners).convex_hull
        pieces.append(piece(*shapely.get_coordinates(hull)[:0:-1]))
    sheets = sheets_of(pieces, Printing())
    assert len(sheets.tilings) < 8
    assert sum(len(tiling.pieces) for tiling in sheets.tilings) == len(pieces)
    areas = sorted(shape_of(each.outline).area for each in pieces)
    lying = sorted(shape_of(each.outline).area for tiling in sheets.tilings for each in tiling.pieces)
    assert lying == pytest.approx(areas, rel=1e-9)
    for tiling in sheets.tilings:
        (window,) = windows(tiling)
        assert all(window.contains(shape_of(each.outline)) for each in tiling.pieces)
        assert apart(tiling) >= APART - 0.5


def test_all_pieces_lie_on_one_page_of_their_own_size():
    (tiling,) = sheets_of([SHIN, STRAP, SHIN], Printing("one page", 5.0)).tilings
    assert len(tiling.pieces) == 3
    assert [tile.name for tile in tiling.tiles] == ["D1"]
    assert tiling.page[0] <= PLOTTER
    assert apart(tiling) >= BETWEEN - 1e-9
    (window,) = windows(tiling)
    boxes = shapely.MultiPolygon([shapely.box(*bounds(each.outline)) for each in tiling.pieces])
    assert window.contains(boxes)
    assert np.array(window.bounds) - boxes.bounds == pytest.approx([-3, -3, 3, 3])


def test_a_page_that_no_reader_shows_is_refused():
    with pytest.raises(PaperError, match=rf"5\d\d\d mm.*{LONGEST:.0f} mm.*A3"):
        sheets_of([box(0, 0, 40, 5100)], Printing("one page"))


def test_pieces_side_by_side_do_not_touch_and_stand_on_one_line():
    placed = side_by_side([SHIN, STRAP, SHIN])
    boxes = [bounds(item.outline) for item in placed]
    assert [box[1] for box in boxes] == [0, 0, 0]
    assert [b[0] - a[2] for a, b in itertools.pairwise(boxes)] == pytest.approx([BETWEEN, BETWEEN])
    assert side_by_side([]) == ()


@pytest.fixture(scope="module")
def made():
    from tests.flat_panels import opened_frustum, piece_from

    return piece_from(opened_frustum(gap=25.0), side="left", job="watch", thickness=3.2)


def test_moving_a_piece_moves_all_that_is_on_it(made):
    moved = moved_piece(made, 11.0, -7.0)
    shift = [11.0, -7.0]
    np.testing.assert_allclose(moved.outline.points, made.outline.points + shift)
    for before, after in zip(made.holes + made.labels, moved.holes + moved.labels, strict=True):
        assert (after.x - before.x, after.y - before.y) == pytest.approx(shift)
    for before, after in zip(made.marks, moved.marks, strict=True):
        np.testing.assert_allclose(after.path.points, before.path.points + shift)
    for before, after in zip(made.inscriptions, moved.inscriptions, strict=True):
        np.testing.assert_allclose(after.box, before.box + shift)


def boxed(piece):
    return [shapely.Polygon(text_box(label)) for label in piece.labels]


@pytest.mark.parametrize("degrees", [-180, -90, -37.5, 20, 45, 90, 135, 180])
def test_turning_a_piece_turns_all_and_its_texts_stay_where_they_can_be_read(made, degrees):
    turned = turned_piece(made, np.radians(degrees))

    def turn(shape):
        return shapely.affinity.rotate(shape, degrees, origin=(0, 0))

    assert turn(shape_of(made.outline)).symmetric_difference(shape_of(turned.outline)).area < 1e-6
    for before, after in zip(made.marks, turned.marks, strict=True):
        there = shapely.get_coordinates(turn(shapely.LineString(before.path.points)))
        np.testing.assert_allclose(after.path.points, there, atol=1e-9)
    # Read from below or from the right.
    assert all(np.cos(label.angle - np.radians(45)) >= np.cos(np.radians(135)) - 1e-9 for label in turned.labels)
    # Each inscription fills its own box still, its texts in the order in which they are read.
    for whole, before in zip(turned.inscriptions, made.inscriptions, strict=True):
        np.testing.assert_allclose(whole.box, shapely.get_coordinates(turn(shapely.Polygon(before.box)))[:4], atol=1e-9)
    wholes = [shapely.Polygon(each.box).buffer(1e-6) for each in turned.inscriptions]
    for shape in boxed(turned):
        assert any(whole.contains(shape) for whole in wholes)
    block = [label for label in turned.labels if any("leather" in label.text or "shin" in t for t in [label.text])]
    down = [label.x * -np.sin(label.angle) + label.y * np.cos(label.angle) for label in block]
    assert down == sorted(down, reverse=True)
    assert len(block) == 2
