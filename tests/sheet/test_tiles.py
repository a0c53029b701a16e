import itertools

import numpy as np
import pytest
import shapely

from flatten.pattern.model import Path, Piece
from flatten.pattern.outline import shape_of
from flatten.pattern.path import bounds
from flatten.sheet.layout import BETWEEN, moved_piece, side_by_side
from flatten.sheet.paper import PaperError, paper_size
from flatten.sheet.tiles import OVERLAP, core, row_name, tiled


def piece(*points):
    return Piece("guard", "left", Path(np.array(points, float), np.zeros(len(points)), True), (), (), (), 3.2)


SHIN = piece((-100, 0), (90, 10), (190, 380), (-180, 400))
STRAP = piece((0, 0), (500, 0), (500, 40), (0, 40))
CORNER = piece((0, 0), (600, 0), (600, 30), (30, 30), (30, 800), (0, 800))


def windows(tiling):
    return [shapely.box(t.x, t.y, t.x + tiling.window[0], t.y + tiling.window[1]) for t in tiling.tiles]


@pytest.mark.parametrize("paper", ["A4", "Letter"])
@pytest.mark.parametrize("sample", [SHIN, STRAP, CORNER], ids=["shin", "strap", "corner"])
def test_sheets_put_together_cover_the_piece_and_none_is_empty(sample, paper):
    tiling = tiled(sample, paper)
    shape = shape_of(sample.outline)
    assert shapely.union_all(windows(tiling)).buffer(1e-6).contains(shape)
    assert all(shapely.intersection(shape, core(tiling, tile)).area > 0 for tile in tiling.tiles)
    cores = [shapely.intersection(shape, core(tiling, tile)).area for tile in tiling.tiles]
    assert sum(cores) == pytest.approx(shape.area, rel=1e-9)


def test_neighbours_share_a_strip_of_10_mm():
    tiling = tiled(SHIN, "A4")
    by_place = {(tile.row, tile.column): tile for tile in tiling.tiles}
    assert by_place[0, 1].x - by_place[0, 0].x == pytest.approx(tiling.window[0] - OVERLAP)
    assert by_place[0, 0].y - by_place[1, 0].y == pytest.approx(tiling.window[1] - OVERLAP)


def test_blank_sheets_are_left_out():
    tiling = tiled(CORNER, "A4")
    assert len(tiling.tiles) < tiling.rows * tiling.columns


def test_a_long_strap_lies_on_sheets_on_their_side():
    # 500 mm on A4: 3 windows upright (194 wide), 2 on the side (281 wide).
    tiling = tiled(STRAP, "A4")
    assert tiling.page == (297.0, 210.0)
    assert [tile.name for tile in tiling.tiles] == ["A1", "A2"]


def test_papers_have_their_published_sizes():
    # A4 210 × 297 (ISO 216), Letter 215.9 × 279.4 mm.
    assert paper_size("A4") == (210.0, 297.0)
    assert paper_size("Letter") == pytest.approx((8.5 * 25.4, 11 * 25.4), rel=1e-15)


def test_an_unknown_paper_is_refused():
    with pytest.raises(PaperError, match=r"'A3'.*A4 or Letter"):
        tiled(SHIN, "A3")


@pytest.mark.parametrize(("row", "name"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")])
def test_rows_are_named_by_letters(row, name):
    assert row_name(row) == name


def test_pieces_side_by_side_do_not_touch_and_stand_on_one_line():
    placed = side_by_side([SHIN, STRAP, SHIN])
    boxes = [bounds(item.outline) for item in placed]
    assert [box[1] for box in boxes] == [0, 0, 0]
    assert [b[0] - a[2] for a, b in itertools.pairwise(boxes)] == pytest.approx([BETWEEN, BETWEEN])
    assert side_by_side([]) == ()


def test_moving_a_piece_moves_all_that_is_on_it():
    from tests.flat_panels import opened_frustum, piece_from

    made = piece_from(opened_frustum(gap=25.0), side="left", job="watch", thickness=3.2)
    moved = moved_piece(made, 11.0, -7.0)
    shift = [11.0, -7.0]
    np.testing.assert_allclose(moved.outline.points, made.outline.points + shift)
    for before, after in zip(made.holes + made.labels, moved.holes + moved.labels, strict=True):
        assert (after.x - before.x, after.y - before.y) == pytest.approx(shift)
    for before, after in zip(made.marks, moved.marks, strict=True):
        np.testing.assert_allclose(after.path.points, before.path.points + shift)
