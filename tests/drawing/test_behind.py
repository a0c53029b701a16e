"""A sheet's large name lies where no text is, where the sheet has such a place."""

import pytest
import shapely

from flatten.drawing.behind import behind
from flatten.drawing.ink import ready_font, text_size
from flatten.pattern.lettering import text_box
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of
from tests.flat_panels import opened_frustum, piece_from


@pytest.fixture(scope="module")
def tilings():
    ready_font()
    piece = piece_from(opened_frustum(gap=25.0, arch=15.0), side="left", job="watch", thickness=3.2)
    return sheets_of([piece], Printing("A4")).tilings


def box(tiling, tile, place):
    """The ground of a name at a place of a tile's window, on the pieces."""
    half = 0.5 * text_size(tile.name, 30.0)
    x, y = tile.x + place[0], tile.y + place[1]
    return shapely.box(x - half, y, x + half, y + 30.0)


def test_the_name_is_whole_within_its_sheet_and_on_no_text(tilings):
    moved = 0
    for tiling in tilings:
        texts = [shapely.Polygon(text_box(label)) for piece in tiling.pieces for label in piece.labels]
        window = tiling.window
        for tile in tiling.tiles:
            place = behind(tiling, tile, (tile.name, "LEFT", "guard"))
            sheet = shapely.box(tile.x, tile.y, tile.x + window[0], tile.y + window[1])
            assert shapely.contains(sheet, box(tiling, tile, place))
            middle = 0.5 * window[0], 0.5 * window[1]
            hidden = [shapely.union_all(texts).intersection(box(tiling, tile, at)).area for at in (place, middle)]
            assert hidden[0] <= hidden[1]
            assert hidden[0] < 20.0
            moved += place != middle
    assert moved > 0
