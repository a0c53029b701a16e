"""Small pieces: what gives way on them, and what stays."""

import numpy as np
import pytest

from flatten.pattern.clashes import clashes
from flatten.pattern.edging import POINTED
from flatten.pattern.facing import way_to_front
from flatten.pattern.labelling import GIVES_WAY
from flatten.pattern.model import PatternError
from flatten.pattern.piece import TitleBlock, pattern_from
from tests.flat_panels import grid_faces, grid_panel

JOB = "Harbour watch, guard 3"


def plate(width, height, *, side="left", job=JOB):
    """A flat plate of `width` by `height` mm on the outside of a limb of 60 mm radius, without any seam."""
    columns, rows = 24, 12
    index, faces = grid_faces(columns, rows)
    x, y = np.meshgrid(np.linspace(-0.5, 0.5, columns + 1) * width, np.linspace(0.0, height, rows + 1))
    x, y = x.ravel(), y.ravel() + 100.0
    bearings = np.pi / 2 + x / 60.0
    points = np.column_stack([60.0 * np.cos(bearings), 60.0 * np.sin(bearings), y])
    flat = grid_panel(
        points, np.column_stack([x, y]), y, bearings, index, faces, name="plate 1", kind="edge", seam="rim"
    )
    title = TitleBlock(job, side, 3.2, "shin guard", "plate")
    return pattern_from((flat,), title, mirrored=side == "right", edging=POINTED).pieces[0]


def borne(piece):
    """The texts of a piece's labels, and whether it has a grain arrow."""
    return [label.text for label in piece.labels], any(mark.kind == "grain" for mark in piece.marks)


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(("width", "height"), [(160.0, 60.0), (120.0, 40.0), (80.0, 40.0), (60.0, 60.0), (40.0, 110.0)])
def test_plates_and_lames_bear_name_side_top_and_grain(width, height, side):
    piece = plate(width, height, side=side)
    texts, grain = borne(piece)
    assert clashes(piece) == ()
    assert grain
    assert any(text.startswith("TOP") for text in texts)
    said = " ".join(texts)
    assert "plate 1" in said
    assert side.upper() in said or f"plate 1 {side[0].upper()}" in said


@pytest.mark.parametrize(("width", "height"), [(44.0, 18.0), (36.0, 24.0), (30.0, 30.0)])
def test_a_plate_of_a_few_cm_still_says_what_it_is(width, height):
    piece = plate(width, height)
    texts, _ = borne(piece)
    assert clashes(piece) == ()
    assert any(text.startswith("plate") for text in texts)


def test_less_is_written_the_smaller_a_plate_is_and_the_top_stays_longer_than_the_job():
    counts = [len(plate(width, 0.6 * width).labels) for width in (160.0, 90.0, 60.0, 40.0, 20.0)]
    assert counts == sorted(counts, reverse=True)
    assert counts[-1] == 1
    assert GIVES_WAY.index("numbers") < GIVES_WAY.index("seams") < GIVES_WAY.index("job") < GIVES_WAY.index("top")


def test_a_plate_without_room_for_two_letters_is_refused():
    with pytest.raises(PatternError, match=r"'shin guard, plate 1' has no free place of \d+ × 6 mm for “pl”"):
        plate(11.0, 8.0)


@pytest.mark.parametrize(("side", "ahead"), [("left", -1.0), ("right", 1.0)])
def test_a_plate_on_the_outside_says_which_way_the_front_is(side, ahead):
    """Grain side up, a left leg's outside is to the right of its front, so the front is to the left."""
    piece = plate(100.0, 110.0, side=side)
    shaft, _ = (mark.path.points for mark in piece.marks if mark.kind == "way")
    tail, tip = shaft
    assert tip[0] - tail[0] == pytest.approx(ahead * np.hypot(*(tip - tail)), rel=1e-6)
    assert "to the front" in {label.text for label in piece.labels}


def test_a_plate_behind_or_in_front_needs_no_such_arrow():
    assert way_to_front(*(np.array(each) for each in ([[0.0, 0.0], [50.0, 90.0]], [3.0, 3.4], [0.0, 90.0]))) is None
    assert not any(mark.kind == "way" for mark in plate(300.0, 110.0).marks)
