"""Borders close evenly round any outline, lie inside it, mirror exactly, and cross cleanly."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from flatten.ornament.border import Border, border
from flatten.ornament.filling import LEAST_ANGLE
from flatten.ornament.model import Field, NoRoomError, OrnamentError, Region
from flatten.ornament.rail import rails, reflected
from flatten.ornament.weave import woven
from tests.ornament_fields import any_field, box, double_points, field, shin

ASKED = (Border(3, 2.5, 0.8), Border(4, 2.0, 0.6, reeds=2), Border(2, 3.0, 0.8), Border(4, 2.0, 0.6, reeds=1))
SEEDS = [*range(6), *(pytest.param(seed, marks=pytest.mark.full) for seed in range(6, 80))]


SHARES = tuple(count / 20.0 for count in range(19, 4, -1))


def narrowed(asked, share):
    return replace(asked, width=np.floor(10 * share * asked.width) / 10, apart=share * asked.apart)


@pytest.mark.parametrize("seed", SEEDS)
def test_borders_of_any_field(seed):
    whole, asked = any_field(seed), ASKED[seed % len(ASKED)]
    try:
        made = border(whole, asked)
    except OrnamentError as error:
        # A neck or a hole may leave no room at a sharp bend.
        words = str(error)
        assert "does not fit the field of panel" in words
        if "mm wide fit" in words:
            width = float(words.split(" mm wide fit")[0].split()[-1])
            assert border(whole, narrowed(asked, next(s for s in SHARES if width == narrowed(asked, s).width)))
        return
    assert len(made.strands) == asked.strands * len(made.repeats)
    inside = shapely.buffer(whole.region.shape, 0.01 - asked.width / 2)
    found = double_points([strand.points for strand in made.strands])
    for strand in made.strands:
        assert strand.closed
        assert shapely.covers(inside, shapely.LinearRing(strand.points))
    assert found[:, 2].min() >= LEAST_ANGLE - 1e-6
    weave = woven(made.strands, field=whole.region)
    assert len(weave.crossings) == len(found)
    if whole.even:
        mine = np.concatenate([strand.points for strand in made.strands])
        lines = shapely.MultiLineString([np.vstack([s.points, s.points[:1]]) for s in made.strands])
        assert shapely.distance(shapely.points(reflected(mine, whole.centre)), lines).max() <= 1e-3
    bands = shapely.union_all([shapely.buffer(shapely.LinearRing(s.points), asked.width / 2) for s in made.strands])
    assert shapely.area(shapely.difference(bands, made.strip.shape)) <= 1e-3 * shapely.area(bands)


def test_round_a_disc_all_repeats_are_alike():
    """On a circle every repeat is the one before, turned: three waves cross each other twice a repeat, 6 crossings."""
    disc = field(shapely.Point(0.0, 0.0).buffer(100.0, quad_segs=256), even=False)
    made = border(disc, Border(3, 4.0))
    (count,) = made.repeats
    assert made.pitches[0] == pytest.approx(made.pitches[1])
    found = double_points([strand.points for strand in made.strands])[:, :2]
    assert len(found) == 6 * count
    angle = 2 * np.pi / count
    turned = found @ np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
    nearest = np.hypot(*(turned[:, None] - found[None]).transpose(2, 0, 1)).min(axis=1)
    assert nearest.max() <= 0.1


@pytest.mark.parametrize(
    ("asked", "crossings"), [(Border(2, 3.0), 2), (Border(3, 3.0), 6), (Border(4, 2.5, reeds=2), 10)]
)
def test_crossings_of_a_repeat(asked, crossings):
    """n waves cross as a Turk's head's leads do, 2 (n − 1) n / 2 times a repeat; a reed meets each wave twice."""
    made = border(shin(), asked)
    assert len(double_points([strand.points for strand in made.strands])) == crossings * made.repeats[0]


def test_a_corner_of_a_box_carries_a_mirror_line():
    """Reflected about its diagonal, a square's border at the corner is itself."""
    whole = box(200.0, 200.0)
    made = border(whole, Border(3, 4.0))
    lines = shapely.MultiLineString([np.vstack([s.points, s.points[:1]]) for s in made.strands])
    points = np.concatenate([strand.points for strand in made.strands])
    near = points[(points[:, 0] < -55.0) & (points[:, 1] > 155.0)]
    image = reflected(near, np.array([[-100.0, 200.0], [0.0, 100.0]]))
    assert len(near) > 50
    assert shapely.distance(shapely.points(image), lines).max() <= 0.3
    assert made.pitches[1] / made.pitches[0] <= 1.25


def test_pitch_and_amplitude_are_kept_to():
    made = border(shin(), Border(2, 3.0, amplitude=8.0, pitch=40.0))
    (rail,) = rails(shin(), 8.0 + 1.5 + 0.05, radius=1.9 * 9.5)
    assert made.repeats[0] == pytest.approx(rail.length / 40.0, abs=1.5)
    far = shapely.distance(
        shapely.points(np.concatenate([strand.points for strand in made.strands])), shapely.LinearRing(rail.knots)
    )
    assert far.max() == pytest.approx(8.0, abs=0.1)


def test_a_border_goes_round_each_island():
    apart = shapely.union(shapely.box(-160, 0, -20, 140), shapely.box(20, 0, 160, 140))
    made = border(field(apart), Border(2, 3.0))
    assert len(made.repeats) == 2
    assert made.repeats[0] == made.repeats[1]


def test_the_same_is_asked_the_same_is_drawn():
    first, again = border(shin(), Border(3, 4.0)), border(shin(), Border(3, 4.0))
    assert [s.points.tobytes() for s in first.strands] == [s.points.tobytes() for s in again.strands]


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (Border(1, 3.0), "a border has 1 strands, 0 of them reeds"),
        (Border(5, 3.0, reeds=2), "take no reed or one and two waves"),
        (Border(3, -1.0), "its width must be above 0"),
        (Border(3, 12.0), r"has no room for lines .* largest in it has 50\.\d mm"),
        (
            Border(2, 3.0, amplitude=4.0, pitch=70.0),
            r"crosses itself at 34° on the middle, 94 mm up; .* shorter pitch",
        ),
        (Border(3, 6.0, amplitude=6.0, pitch=16.0), r"does not fit the field of panel: .* Bands \d\.\d mm wide fit"),
    ],
)
def test_what_cannot_be_is_refused(asked, words):
    with pytest.raises(OrnamentError, match=words):
        border(box(100.0, 100.0), asked)


def test_the_width_that_is_told_fits_and_a_twentieth_more_does_not():
    """In a field with a notch, round which a border of 5 mm has no room."""
    notched = field(shapely.difference(shapely.box(-80, 0, 80, 120), shapely.box(-5, 105, 5, 120)))
    asked = Border(3, 5.0, 1.2, reeds=1)
    with pytest.raises(NoRoomError, match="mm wide fit") as refused:
        border(notched, asked)
    fits = next(k for k, share in enumerate(SHARES) if narrowed(asked, share).width == refused.value.width)
    assert 0 < fits < 12
    assert border(notched, narrowed(asked, SHARES[fits]))
    with pytest.raises(OrnamentError):
        border(notched, narrowed(asked, SHARES[fits - 1]))


def test_a_border_leaves_a_hole_within_alone():
    """A hole in the middle that leaves no room for a ring between it and the rim does not turn the border inwards."""
    whole = shin()
    middle = shapely.box(-45.0, 110.0, 45.0, 230.0)
    holed = Field("panel", Region.of(shapely.difference(whole.region.shape, middle)), whole.centre, True)
    plain, around = border(whole, Border(3, 3.0)), border(holed, Border(3, 3.0))
    for one, other in zip(plain.strands, around.strands, strict=True):
        np.testing.assert_allclose(one.points, other.points, atol=0.01)


def test_a_border_goes_round_a_hole_at_the_rim():
    whole = shin()
    hole = shapely.Point(0.0, 280.0).buffer(6.0)
    holed = Field("panel", Region.of(shapely.difference(whole.region.shape, hole)), whole.centre, True)
    lines = [shapely.LinearRing(strand.points) for strand in border(holed, Border(3, 3.0)).strands]
    assert min(line.distance(hole) for line in lines) >= 1.5 - 0.01
    assert not any(shapely.Polygon(line).contains(hole) for line in lines)


@pytest.mark.parametrize("reeds", [0, 1, 2])
def test_waves_and_reeds_mirror_where_the_field_does(reeds):
    """Two waves beside one reed are a third of a turn apart: only about one place of a repeat are they even."""
    whole = shin()
    made = border(whole, Border(2 + reeds, 2.0, 0.6, reeds=reeds))
    points = np.concatenate([strand.points for strand in made.strands])
    lines = shapely.MultiLineString([np.vstack([s.points, s.points[:1]]) for s in made.strands])
    assert shapely.distance(shapely.points(reflected(points, whole.centre)), lines).max() <= 1e-3
