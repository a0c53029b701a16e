"""Where a piece that is too large for a bed is split: on a flat tube, whose bearings are shares of its width."""

import numpy as np
import pytest
import shapely

from flatten.sheet.ground import Ground, bed_outline
from flatten.sheet.splits import OVERLAP, SPARE, fits, least_bed, split_of

WIDE, HIGH, HAIR = 400.0, 300.0, 1e-3


def tube(*, start=-170, end=170, columns=35, rows=7):
    """A rectangle of WIDE by HIGH, as a mesh whose bearings run from start to end (degrees) over its width."""
    x, y = np.meshgrid(np.linspace(0, WIDE, columns), np.linspace(0, HIGH, rows))
    uv = np.column_stack([x.ravel(), y.ravel()])
    n = np.arange(rows * columns).reshape(rows, columns)
    a, b, c, d = n[:-1, :-1].ravel(), n[:-1, 1:].ravel(), n[1:, 1:].ravel(), n[1:, :-1].ravel()
    faces = np.concatenate([np.column_stack([a, b, c]), np.column_stack([a, c, d])])
    return uv, faces, np.radians(start + (end - start) * uv[:, 0] / WIDE)


def bed(width, height, **more):
    return Ground("bed", "bed", 3.2, bed_outline(width, height), 5.0, 5.0, **more)


def split(width, height, *, start=-170, end=170, barred=(), **more):
    uv, faces, bearings = tube(start=start, end=end)
    # A hair larger than its mesh, as a piece may be.
    shape = shapely.box(-HAIR, -HAIR, WIDE + HAIR, HIGH + HAIR)
    ground = bed(width, height, **more)
    return split_of(3, shape, np.pi / 2, uv=uv, faces=faces, bearings=bearings, ground=ground, barred=barred)


def test_a_tube_is_split_in_front_where_its_halves_then_fit():
    found = split((1 + SPARE) * (WIDE / 2 + OVERLAP) + 10.01, (1 + SPARE) * HIGH + 10.01)
    assert found.seams == (0,)
    assert found.parts == (pytest.approx((222, 300), abs=0.01), pytest.approx((222, 300), abs=0.01))
    assert found.size == pytest.approx((WIDE, HIGH), abs=0.01)
    assert found.bed == pytest.approx((410, 310), abs=0.01)


def test_a_bed_that_is_smaller_by_a_hair_takes_two_seams():
    found = split((1 + SPARE) * (WIDE / 2 + OVERLAP) + 9.9, (1 + SPARE) * HIGH + 10.01)
    assert len(found.seams) == 2
    assert sum(width for width, _ in found.parts) == pytest.approx(WIDE + 4 * OVERLAP, abs=0.01)
    assert max(width for width, _ in found.parts) <= WIDE / 2 + OVERLAP + 0.01


def test_where_no_middle_of_a_side_serves_a_bearing_does():
    """From 100° to 170° there is no side's middle on the piece."""
    found = split(280, 320, start=100, end=170)
    assert found.seams in ((130,), (140,))


def test_no_seam_is_put_where_something_lies_on_the_piece():
    """A degree is 400 / 340 mm, so that 22 mm are 18.7 of them: beside ±15° that is ±34°."""
    assert split(280, 320).seams == (0,)
    found = split(300, 320, barred=[(np.radians(-15), np.radians(15))])
    assert found.seams in ((40,), (-40,))
    # Told in another turn of the limb it bars the same places.
    assert split(300, 320, barred=[(np.radians(345), np.radians(375))]).seams == found.seams


def test_what_is_too_high_no_seam_up_the_limb_makes_fit():
    assert split(290, 290).seams == ()


def test_a_piece_fits_a_bed_by_its_box_in_some_turn():
    strip = shapely.box(0, 0, 290, 10)
    assert not fits(strip, 0.0, bed(260, 210))
    assert fits(strip, 0.0, bed(260, 210, turn=np.radians(40)))
    assert fits(shapely.box(0, 0, 100, 300), 0.0, bed(310, 110))
    assert least_bed(shapely.box(0, 0, 100, 300), 0.0, bed(50, 50)) == pytest.approx((310, 110))
