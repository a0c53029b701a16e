"""Bands are true to width, break where they pass under, and fill the field with what lies between them."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from flatten.ornament.bands import carved
from flatten.ornament.model import OrnamentError, Region, Strand
from flatten.ornament.trouble import TroubleError
from flatten.ornament.weave import woven
from tests.ornament.drawn import closed_curve, turks_head

SQUARE = Region.of(shapely.box(0.0, 0.0, 100.0, 100.0))


def lines(*ends):
    return [Strand(np.array(each, dtype=float)) for each in ends]


def whole(strand):
    return shapely.LinearRing(strand.points) if strand.closed else shapely.LineString(strand.points)


def waves(count, *, length=160.0, middle=30.0, swing=17.0, period=80.0):
    x = np.linspace(-20.0, length + 20.0, 501)
    phases = 2 * np.pi * np.arange(count) / count + 0.3
    return [Strand(np.stack([x, middle + swing * np.sin(2 * np.pi * x / period + phase)], axis=1)) for phase in phases]


DRAWINGS = {
    "turk's head": (
        turks_head(4, 7, swing=26.0),
        shapely.Point(0, 0).buffer(95).difference(shapely.Point(0, 0).buffer(25)),
    ),
    "three loops": (turks_head(3, 6), shapely.Point(0, 0).buffer(82)),
    "plait": (waves(3), shapely.box(0, 0, 160, 60)),
    "cut short": (waves(4, swing=26.0), shapely.box(3.0, 12.0, 151.0, 49.0)),
}


@pytest.mark.parametrize("name", DRAWINGS)
@pytest.mark.parametrize(("width", "apart"), [(6.0, 1.2), (3.0, 0.0)])
def test_bands_distances_and_background_add_up_to_the_field(name, width, apart):
    strands, shape = DRAWINGS[name]
    carving = carved(woven(strands), width=width, apart=apart, field=Region.of(shape))
    bands = shapely.union_all([band.shape for band in carving.bands])
    parts = [*(band.area for band in carving.bands), carving.distances.area, carving.background.area]
    assert sum(parts) == pytest.approx(shapely.area(shape), rel=1e-6)
    # All of it within half a width of the strands, by another program's buffer.
    lines = shapely.union_all([whole(each) for each in strands])
    buffered = shapely.intersection(shapely.buffer(lines, 0.5 * width, quad_segs=64), shape)
    covered = shapely.union_all([bands, carving.distances.shape])
    assert shapely.area(covered) == pytest.approx(shapely.area(buffered), rel=1e-3)
    assert (carving.distances.area == 0.0) == (apart == 0.0)


@pytest.mark.parametrize("name", DRAWINGS)
def test_every_carved_line_lies_half_a_width_from_its_strand_and_turns_its_back_on_it(name):
    strands, shape = DRAWINGS[name]
    carving = carved(woven(strands), width=6.0, apart=1.2, field=Region.of(shape))
    drawn = shapely.union_all([whole(each) for each in strands])
    bands = shapely.union_all([band.shape for band in carving.bands])
    assert len(carving.bevels) == len(carving.lines)
    for bevel, line in zip(carving.bevels, carving.lines, strict=True):
        assert shapely.length(whole(line)) == pytest.approx(shapely.length(shapely.LineString(bevel.points)))
        inner = shapely.line_interpolate_point(
            shapely.LineString(bevel.points), np.linspace(0.1, 0.9, 7), normalized=True
        )
        # No further than half a width from the nearest strand: an over strand's edge lies nearer to the one beneath;
        # at a point of the polyline, which turns by 4 degrees at most, the mitre is a little further out.
        assert shapely.distance(drawn, inner).max() <= 3.0 / np.cos(np.radians(2.0))
        steps = np.diff(bevel.points, axis=0)
        at = np.argmax(np.hypot(*steps.T))
        left = np.array([-steps[at][1], steps[at][0]]) / np.hypot(*steps[at])
        out = left if bevel.side == "left" else -left
        middle = 0.5 * (bevel.points[at] + bevel.points[at + 1])
        assert not shapely.contains_xy(shapely.buffer(bands, -0.01), *(middle + 0.05 * out))
        assert shapely.contains_xy(bands, *(middle - 0.05 * out))


def random_bands(seed):
    """One to three closed curves of three harmonics, carved in a disc that cuts them off, or None without room."""
    chance = np.random.default_rng(seed)
    strands = []
    for _ in range(chance.integers(1, 4)):
        c = chance.uniform(-40.0, 40.0, (2, 3, 2))

        def at(t, c=c):
            return [sum(own[n] @ [np.cos((n + 1) * t), np.sin((n + 1) * t)] for n in range(3)) for own in c]

        strands.append(closed_curve(at, 300))
    shape = shapely.Point(chance.uniform(-20.0, 20.0), 0.0).buffer(chance.uniform(30.0, 90.0))
    width = chance.choice([0.5, 1.0, 2.0])
    try:
        return carved(woven(strands), width=width, apart=0.3, field=Region.of(shape)), strands, shape, width
    except TroubleError:
        return None


@pytest.mark.parametrize(
    "seeds", [range(40), *(pytest.param(range(n, n + 100), marks=pytest.mark.full) for n in range(0, 600, 100))]
)
def test_random_bands_are_those_that_a_buffer_draws(seeds):
    """Where there is room for bands at all, which is for a fifth to a third of such curves."""
    told = [each for each in map(random_bands, seeds) if each is not None]
    assert len(told) >= len(seeds) // 10
    for carving, strands, shape, width in told:
        parts = [*(band.area for band in carving.bands), carving.distances.area, carving.background.area]
        assert sum(parts) == pytest.approx(shapely.area(shape), rel=1e-9)
        buffered = shapely.buffer(shapely.union_all([whole(each) for each in strands]), 0.5 * width, quad_segs=64)
        covered = shapely.area(shapely.intersection(buffered, shape))
        assert shapely.area(shape) - carving.background.area == pytest.approx(covered, rel=1e-3)
        # No crumbs: what is carved can be carved.
        assert all(shapely.length(whole(each)) > 0.01 for each in carving.lines)


def test_two_bands_at_right_angles_are_as_reckoned():
    weave = woven(lines([(0, 50), (100, 50)], [(50, 0), (50, 100)]), field=SQUARE)
    carving = carved(weave, width=10.0, apart=2.0, field=SQUARE)
    # The upright has the lowest point, so it goes over; the other is cut 10 + 2 · 2 mm short.
    assert [band.area for band in carving.bands] == pytest.approx([860.0, 1000.0])
    assert carving.distances.area == pytest.approx(40.0)
    assert carving.background.area == pytest.approx(8100.0)
    assert sorted(shapely.length(whole(each)) for each in carving.lines) == pytest.approx([43.0] * 4 + [100.0] * 2)


def test_a_slanting_crossing_may_take_more_room_than_the_square_one_beside_it():
    """By x = 50 + 5/tan 30 + 4/sin 30 the slanting band ends on the horizontal one, at x = 68 the upright begins."""
    slope = np.tan(np.radians(30.0))
    strands = lines([(0, 50), (100, 50)], [(0, 50 - 50 * slope), (100, 50 + 50 * slope)], [(72, 0), (72, 100)])
    carving = carved(woven(strands, field=SQUARE), width=8.0, apart=1.0, field=SQUARE)
    parts = [*(band.area for band in carving.bands), carving.distances.area, carving.background.area]
    assert sum(parts) == pytest.approx(10000.0)


def test_a_corner_keeps_the_width_and_its_point():
    square = Strand(np.array([[20.0, 20.0], [80.0, 20.0], [80.0, 80.0], [20.0, 80.0]]), closed=True)
    fine = Strand(shapely.get_coordinates(shapely.segmentize(whole(square), 0.7))[:-1], closed=True)
    for strand in (square, fine):
        carving = carved(woven([strand]), width=8.0, apart=1.0, field=SQUARE)
        assert carving.bands[0].area == pytest.approx(68.0**2 - 52.0**2)
        assert sorted(shapely.length(whole(each)) for each in carving.lines) == pytest.approx([4 * 52.0, 4 * 68.0])
        assert all(each.closed for each in carving.lines)


def test_a_band_is_full_where_it_leaves_the_field_aslant():
    slant = lines([(0, 30), (100, 60)])
    carving = carved(woven(slant, field=SQUARE), width=8.0, apart=1.0, field=SQUARE)
    # A strip between parallels: its height on an upright, 8 / cos, times 100.
    assert carving.bands[0].area == pytest.approx(100.0 * 8.0 * np.hypot(100.0, 30.0) / 100.0)


def circle(x, y, radius, count=200):
    return closed_curve(lambda t: (x + radius * np.cos(t), y + radius * np.sin(t)), count)


@pytest.mark.parametrize(
    ("strands", "kind"),
    [
        ([circle(50, 50, 3.5)], "tight"),
        ([circle(50, 50, 30), circle(50, 50, 25)], "near"),
        (lines([(0, 0), (60, 50), (0, 100)]), None),
        (lines([(0, 45), (90, 50), (0, 55)]), "tight"),
        (lines([(0, 48), (100, 52)], [(0, 52), (100, 48)]), "flat"),
        (lines([(0, 50), (100, 50)], [(47, 0), (47, 100)], [(55, 0), (55, 100)]), "near"),
        (lines([(0, 50), (60, 50)]), "end"),
    ],
)
def test_what_a_band_cannot_follow_is_told(strands, kind):
    weave = woven(strands)
    if kind is None:
        carved(weave, width=8.0, apart=1.0, field=SQUARE)
        return
    with pytest.raises(TroubleError) as told:
        carved(weave, width=8.0, apart=1.0, field=SQUARE)
    assert {each.kind for each in told.value.troubles} == {kind}
    assert all(shapely.contains_xy(SQUARE.shape, each.x, each.y) for each in told.value.troubles)
    assert kind == "end" or "8 mm wide" in str(told.value)


def test_a_bend_as_wide_as_the_band_allows_is_carved():
    carved(woven([circle(50, 50, 4.2)]), width=8.0, apart=1.0, field=SQUARE)


def mirrored(strands):
    return [Strand(each.points * [-1.0, 1.0], each.closed) for each in strands]


def half_strands():
    """Three open strands on x >= 0 that meet the centre line square and cross each other."""
    t = (np.arange(301) / 300) * np.pi - np.pi / 2
    return [
        np.stack([40 * np.cos(t) + 8 * np.sin(2 * t + np.pi), y + 22 * np.sin(t) + bump * np.cos(t) ** 2], axis=1)
        for y, bump in ((0.0, 0.0), (14.0, 3.0), (28.0, -4.0))
    ]


def joined(halves):
    """Each half with its mirror image as one closed strand; its ends stand once."""
    return [Strand(np.concatenate([half, (half * [-1.0, 1.0])[-2:0:-1]]), closed=True) for half in halves]


def as_drawn(region):
    return shapely.boundary(region.shape)


def test_a_mirrored_drawing_has_the_same_bands_and_changes_over_and_under_across_its_middle():
    halves = [np.where(np.abs(half) < 1e-9, 0.0, half) for half in half_strands()]
    strands = joined(halves)
    field = Region.of(shapely.box(-60.0, -40.0, 60.0, 70.0))
    weave = woven(strands, field=field)
    carving = carved(weave, width=4.0, apart=1.0, field=field)
    image = carved(woven(mirrored(strands), field=field), width=4.0, apart=1.0, field=field)
    for one, other in zip(carving.bands, image.bands, strict=True):
        assert shapely.hausdorff_distance(as_drawn(one), as_drawn(other)) <= 0.001
    turned = Region(tuple(rim * [-1.0, 1.0] for rim in carving.background.rims))
    assert shapely.hausdorff_distance(as_drawn(carving.background), as_drawn(turned)) <= 0.001
    # Every crossing off the middle has an image with the other strand over.
    over = {(round(each.x, 3), round(each.y, 3)): each for each in weave.crossings}
    beside = [each for each in weave.crossings if each.x > 0.01]
    assert len(beside) >= 3
    for each in beside:
        like = over[(round(-each.x, 3), round(each.y, 3))]
        assert (like.over.strand, like.under.strand) == (each.under.strand, each.over.strand)


def test_a_half_has_the_bands_of_the_whole_up_to_the_swap():
    halves = [np.where(np.abs(half) < 1e-9, 0.0, half) for half in half_strands()]
    field = Region.of(shapely.box(0.0, -40.0, 60.0, 70.0))
    half = woven([Strand(each) for each in halves], field=field)
    all_of_it = woven(joined(halves))
    part = carved(half, width=4.0, apart=1.0, field=field)
    same = carved(all_of_it, width=4.0, apart=1.0, field=field)
    assert shapely.hausdorff_distance(as_drawn(part.background), as_drawn(same.background)) <= 0.001
    over = {(round(each.x, 3), round(each.y, 3)): each.over.strand for each in all_of_it.crossings}
    equal = {over[(round(each.x, 3), round(each.y, 3))] == each.over.strand for each in half.crossings}
    assert len(equal) == 1
    # The bands themselves, once over and under are what they are in the whole.
    if equal == {False}:
        turned = tuple(replace(each, over=each.under, under=each.over) for each in half.crossings)
        part = carved(replace(half, crossings=turned), width=4.0, apart=1.0, field=field)
    for one, other in ((part.bands, same.bands), ((part.distances,), (same.distances,))):
        seen, wanted = (shapely.union_all([each.shape for each in those]) for those in (one, other))
        assert shapely.hausdorff_distance(shapely.boundary(seen), shapely.boundary(wanted)) <= 0.001
        assert shapely.symmetric_difference(seen, wanted).area <= 0.01


@pytest.mark.parametrize(("width", "apart"), [(0.0, 1.0), (-2.0, 1.0), (5.0, -0.1), (float("nan"), 1.0)])
def test_measures_that_are_none_are_refused(width, apart):
    with pytest.raises(OrnamentError, match="give a width above 0"):
        carved(woven([]), width=width, apart=apart, field=SQUARE)


def test_no_strands_leave_the_field_as_background():
    carving = carved(woven([]), width=5.0, apart=1.0, field=SQUARE)
    assert carving.background.area == 10000.0
    assert carving.lines == ()
