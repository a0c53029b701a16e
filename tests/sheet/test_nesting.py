"""Pieces on hides and beds: apart, inside, along the grain, off flaws, mates on like leather, and on little leather."""

import math
from dataclasses import replace

import numpy as np
import pytest
import rectpack
import shapely
from shapely import affinity

from flatten.sheet.ground import LIKE, Ground, bed_outline
from flatten.sheet.hides import CUTS, belly_strips, cut_outline
from flatten.sheet.nesting import nested
from flatten.sheet.spots import EXACT, Item, laid_shape

ALLOWED = EXACT + 0.005
"""mm by which pieces may be nearer than asked: what the search allows itself, and rounding."""

SOME = (1, 2)
"""Random sets that are tried each time; all of them are by `pytest -m full`."""

UP = 0.5 * math.pi


def panel(chance):
    """A made-up piece: wide on top, narrow below, its sides hollow, as a shin guard lies flat."""
    high, top, low = chance.uniform(80, 330), chance.uniform(60, 330), chance.uniform(50, 250)
    hollow, rise = chance.uniform(0, 25), chance.uniform(-30, 40)
    t = np.linspace(0, 1, 12)
    right = np.column_stack([low / 2 + (top - low) / 2 * t - hollow * np.sin(np.pi * t), high * t])
    s = np.linspace(1, -1, 12)[1:-1]
    upper = np.column_stack([top / 2 * s, high + rise * (1 - s**2)])
    lower = np.column_stack([-low / 2 * s, 0.3 * rise * (1 - s**2)])
    shape = shapely.Polygon(np.vstack([right, upper, right[::-1] * [-1, 1], lower]))
    assert shape.is_valid
    return affinity.skew(shape, chance.uniform(-12, 12))


def mirrored(shape):
    return affinity.scale(shape, -1.0, 1.0, origin=(0.0, 0.0))


def pairs(chance, count):
    items = []
    for k in range(count):
        shape = panel(chance)
        items += [Item(shape, UP, mate=2 * k + 1), Item(mirrored(shape), UP, mate=2 * k)]
    return items


def hide(name, **more):
    cut = CUTS[name]
    outline = cut_outline(cut, length=cut.length, width=cut.width)
    soft = belly_strips(outline, strip=cut.belly * cut.width, both=cut.both)
    return Ground("hide", name, 3.2, outline, 10.0, 5.0, soft=soft, **more)


def flaw(x, y, size):
    return shapely.get_coordinates(shapely.Point(x, y).buffer(size / 2))[:-1]


def random_set(number):
    """Items and the ground that they are laid on: beds and hides in turn, with flaws, turns and margins by chance."""
    chance = np.random.default_rng(1000 + number)
    if number % 2:
        items = [Item(panel(chance), float(chance.uniform(0.0, math.pi))) for _ in range(chance.integers(3, 9))]
        width, height = chance.uniform(380, 1200), chance.uniform(380, 800)
        ground = Ground("bed", "bed", 3.2, bed_outline(width, height), chance.uniform(0, 12), chance.uniform(0, 10))
        return items, replace(ground, turn=float(chance.choice([0.0, 0.2])), upright=bool(chance.integers(2)))
    items = pairs(chance, int(chance.integers(1, 5)))
    name = str(chance.choice(["side", "bend", "shoulder", "double shoulder"]))
    spots = [(chance.uniform(50, 700), chance.uniform(-500, 500), chance.uniform(5, 90)) for _ in range(4)]
    turn = float(chance.choice([0.0, math.radians(15)]))
    ways = bool(chance.integers(2))
    return items, hide(name, flaws=tuple(flaw(*spot) for spot in spots), turn=turn, both_ways=ways)


def check(items, ground, found):
    """That nothing lies over anything, told by polygons; each grain is as it may be."""
    belly = shapely.union_all([shapely.Polygon(soft) for soft in ground.soft])
    inner = shapely.Polygon(ground.outline)
    for number in range(len(found.grounds)):
        shapes = [laid_shape(items[k].shape, found.places[k]) for k in found.on(number)]
        for k, shape in zip(found.on(number), shapes, strict=True):
            assert inner.buffer(ALLOWED, join_style="mitre").covers(shape)
            assert shape.distance(inner.exterior) >= ground.margin - ALLOWED or ground.margin == 0.0
            assert all(shape.distance(shapely.Polygon(rim)) >= ground.space - ALLOWED for rim in ground.flaws)
            if ground.belly == "none":
                assert shapely.area(shapely.intersection(shape, belly)) < 1.0
            along = UP if ground.upright else 0.0
            off = math.remainder(
                items[k].grain + found.places[k].turn - along, math.pi if ground.both_ways else math.tau
            )
            assert abs(off) <= ground.turn + 1e-9
        for first in range(len(shapes)):
            for second in range(first):
                assert shapes[first].distance(shapes[second]) >= ground.space - ALLOWED
                assert not shapes[first].intersects(shapes[second]) or ground.space == 0.0
    for k, item in enumerate(items):
        place = found.places[k]
        if item.mate is not None and place is not None and place.like:
            other = found.places[item.mate]
            one, two = (laid_shape(items[n].shape, found.places[n]).centroid.y for n in (k, item.mate))
            assert other.ground == place.ground
            if ground.two_sided:
                assert one == pytest.approx(-two, abs=1e-6)
                assert place.x == pytest.approx(other.x, abs=1e-6)
            else:
                assert abs(one - two) <= LIKE


def check_set(number):
    items, ground = random_set(number)
    found = nested(items, [ground], more=20)
    check(items, ground, found)
    return found


@pytest.mark.parametrize("number", SOME)
def test_pieces_of_a_random_set_lie_apart_and_inside(number):
    found = check_set(number)
    assert any(place is not None for place in found.places)


@pytest.mark.full
def test_pieces_of_a_hundred_random_sets_lie_apart_and_inside():
    found = [check_set(number) for number in range(100)]
    assert sum(place is not None for one in found for place in one.places) > 300


def test_the_same_set_has_the_same_places():
    items, ground = random_set(0)
    assert nested(items, [ground], more=3).places == nested(items, [ground], more=3).places


def test_rectangles_that_just_fit_fill_a_bed():
    """Four of 145 × 95 mm, 5 mm apart and 5 mm off the edge, are exactly 305 × 205 mm."""
    items = [Item(shapely.box(0, 0, 145, 95), 0.0) for _ in range(4)]
    ground = Ground("bed", "bed", 3.2, bed_outline(305.0, 205.0), 5.0, 5.0)
    found = nested(items, [ground], more=4)
    check(items, ground, found)
    assert len(found.grounds) == 1


def test_pieces_are_moved_on_until_they_meet():
    """Cells are 1.5 mm here; what a piece lies on its corner too far off by is made good to an eighth of one."""
    items = [Item(shapely.box(0, 0, wide, 250), 0.0) for wide in (133.37, 120.81, 90.53)]
    ground = Ground("bed", "bed", 3.2, bed_outline(500.0, 270.0), 5.0, 5.0)
    found = nested(items, [ground], more=0)
    check(items, ground, found)
    ends = max(laid_shape(item.shape, place).bounds[2] for item, place in zip(items, found.places, strict=True))
    assert ends == pytest.approx(5 + 133.37 + 5 + 120.81 + 5 + 90.53, abs=3 * 1.5 / 8 + ALLOWED)


def test_what_is_too_large_lies_nowhere_and_the_rest_does():
    items = [Item(shapely.box(0, 0, 400, 390), 0.0), Item(shapely.box(0, 0, 50, 60), 0.0)]
    found = nested(items, [Ground("bed", "bed", 3.2, bed_outline(300.0, 400.0), 0.0, 5.0)], more=4)
    assert found.places[0] is None
    assert found.places[1] is not None


def test_a_flaw_in_the_middle_is_gone_round():
    """On 210 × 210 mm a square of 100 has room in a corner; a hole of 20 mm in the middle leaves 95 mm beside it."""
    ground = Ground("bed", "bed", 3.2, bed_outline(210.0, 210.0), 0.0, 0.0)
    square = [Item(shapely.box(0, 0, 100, 100), 0.0)]
    assert nested(square, [ground], more=0).places[0] is not None
    holed = replace(ground, flaws=(flaw(105, 105, 20),))
    check(square, holed, nested(square, [holed], more=0))
    wide = replace(ground, flaws=(flaw(105, 105, 60),))
    assert nested([Item(shapely.box(0, 0, 100, 140), 0.0)], [wide], more=0).places[0] is None


def test_grain_that_may_turn_lays_a_long_piece_aslant():
    """A strip of 290 × 10 mm goes on 250 × 200 mm only where it may lie 36° or so off the grain."""
    strip = [Item(shapely.box(0, 0, 290, 10), 0.0)]
    ground = Ground("bed", "bed", 3.2, bed_outline(250.0, 200.0), 0.0, 0.0)
    assert nested(strip, [ground], more=0).places[0] is None
    assert nested(strip, [replace(ground, turn=math.radians(30))], more=0).places[0] is None
    turned = replace(ground, turn=math.radians(40))
    found = nested(strip, [turned], more=0)
    check(strip, turned, found)
    assert found.places[0] is not None


def test_only_small_pieces_lie_on_the_belly():
    """A bend's width of good leather with a strip of belly beside it."""
    outline = bed_outline(300.0, 500.0)
    ground = Ground(
        "hide",
        "side",
        3.2,
        outline,
        0.0,
        5.0,
        soft=belly_strips(outline, strip=200.0, both=False),
        belly="small pieces",
    )
    items = [Item(shapely.box(0, 0, 290, 290), 0.0), Item(shapely.box(0, 0, 90, 90), 0.0, small=True)]
    found = nested(items, [ground], more=0)
    assert all(place is not None for place in found.places)
    assert laid_shape(items[1].shape, found.places[1]).bounds[1] > 290
    assert nested([items[0], replace(items[1], small=False)], [ground], more=0).places.count(None) == 1
    assert nested(items, [replace(ground, belly="none")], more=0).places.count(None) == 1
    large = [Item(shapely.box(0, 0, 290, 490), 0.0)]
    assert nested(large, [replace(ground, belly="all")], more=0).places[0] is not None


@pytest.mark.parametrize("turn", [0.0, math.radians(15)])
def test_a_pair_on_a_double_shoulder_lies_mirrored_about_the_backbone(turn):
    items = pairs(np.random.default_rng(3), 2)
    ground = hide("double shoulder", flaws=(flaw(120, 200, 60),), turn=turn)
    found = nested(items, [ground], more=0)
    check(items, ground, found)
    assert all(place.like for place in found.places)
    one, two = (laid_shape(items[k].shape, found.places[k]) for k in (0, 1))
    image = affinity.scale(one, 1.0, -1.0, origin=(0.0, 0.0))
    assert shapely.hausdorff_distance(image, two) < 1e-6


def test_a_pair_of_unequal_scans_still_lies_equally_far_from_the_backbone():
    chance = np.random.default_rng(4)
    items = [Item(panel(chance), UP, mate=1), Item(panel(chance), UP, mate=0)]
    found = nested(items, [hide("double shoulder")], more=0)
    one, two = (laid_shape(items[k].shape, found.places[k]).centroid.y for k in (0, 1))
    assert abs(abs(one) - abs(two)) <= LIKE
    assert found.places[0].like


def boxes_packed(items, ground):
    """The least length of a bed as high as this one that takes all bounding boxes, packed by a library in several
    ways; whole sets lie along or across, as pieces do."""
    best = math.inf
    high = ground.size[1] - 2 * ground.margin + ground.space
    for turned in (False, True):
        sizes = [np.ptp(shapely.get_coordinates(item.shape), axis=0)[:: -1 if turned else 1] for item in items]
        if max(size[1] for size in sizes) > high - ground.space:
            continue
        boxes = [tuple(math.ceil(10 * (side + ground.space)) for side in size) for size in sizes]
        for algorithm in (rectpack.MaxRectsBssf, rectpack.MaxRectsBl, rectpack.SkylineBl, rectpack.GuillotineBssfSas):
            low, top = 0, 10 * 6000
            while top - low > 20:
                length = (low + top) // 2
                packer = rectpack.newPacker(pack_algo=algorithm, rotation=False)
                packer.add_bin(length, math.floor(10 * high))
                for box in boxes:
                    packer.add_rect(*box)
                packer.pack()
                low, top = (low, length) if len(packer.rect_list()) == len(boxes) else (length, top)
            best = min(best, top / 10 - ground.space)
    return best


def lengths(number):
    """How much of a long bed a random set takes, and how much its bounding boxes take."""
    chance = np.random.default_rng(2000 + number)
    items = [Item(panel(chance), UP) for _ in range(chance.integers(4, 10))]
    ground = Ground("bed", "bed", 3.2, bed_outline(4000.0, 600.0), 5.0, 5.0)
    ends = []
    for upright in (True, False):
        lying = replace(ground, upright=upright)
        found = nested(items, [lying], more=0)
        check(items, lying, found)
        assert None not in found.places
        shapes = [laid_shape(item.shape, place) for item, place in zip(items, found.places, strict=True)]
        ends.append(max(shape.bounds[2] for shape in shapes) - ground.margin)
    return min(ends), boxes_packed(items, ground)


@pytest.mark.parametrize("number", [1])
def test_pieces_take_no_more_of_a_bed_than_their_boxes_packed_by_a_library(number):
    ours, boxes = lengths(number)
    assert ours <= boxes + 0.1


@pytest.mark.full
def test_a_hundred_sets_take_no_more_of_a_bed_than_their_boxes():
    found = np.array([lengths(number) for number in range(100)])
    assert (found[:, 0] <= found[:, 1] + 0.1).all()
