"""Over and under alternate along every strand, on curves with known counts and on random ones."""

import itertools
from math import gcd

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.spatial import KDTree

from flatten.ornament.crossings import crossings_of
from flatten.ornament.model import Region, Strand
from flatten.ornament.trouble import TroubleError
from flatten.ornament.weave import woven
from tests.ornament.drawn import brute_crossings, closed_curve, turks_head

SQUARE = Region((np.array([[0.0, 0.0], [100.0, 0.0], [100.0, 100.0], [0.0, 100.0]]),))


def assert_woven(strands):
    """A weave that alternates by crossings that were found in another way; its crossings."""
    weave = woven(strands)
    places, visits = brute_crossings(strands)
    assert len(weave.crossings) == len(visits)
    if not visits:
        return weave
    found = np.array([(each.x, each.y) for each in weave.crossings])
    off, at = KDTree(found).query(places)
    assert off.max() < 1e-6
    assert len(set(at.tolist())) == len(visits)
    passes = {}
    for number, pair in zip(at.tolist(), visits, strict=True):
        over = weave.crossings[number].over
        own = [owner == over.strand and abs(along - over.along) < 1e-6 for owner, along in pair]
        # A place at the closing point may be told by 0 or by the whole length.
        assert sum(own) == 1
        for (owner, along), is_over in zip(pair, own, strict=True):
            passes.setdefault(owner, []).append((along, is_over))
    assert sum(map(len, passes.values())) == 2 * len(visits)
    for owner, own in passes.items():
        ways = [over for _, over in sorted(own)]
        follow = zip(ways, ways[1:] + ways[:1] * strands[owner].closed, strict=False)
        assert all(one != other for one, other in follow)
        if strands[owner].closed:
            assert len(ways) % 2 == 0
    return weave


@pytest.mark.parametrize(("leads", "bights"), [(p, q) for p in range(2, 8) for q in (3, 4, 5, 8, 12)])
def test_a_turks_head_alternates_and_has_its_count(leads, bights):
    """q(p - 1) crossings and gcd(p, q) strands: knot tyers' rule, from memory; by the phases of its drawing here each
    of p(p - 1)/2 pairs crosses twice in each of q/p swings."""
    weave = assert_woven(turks_head(leads, bights))
    assert len(weave.crossings) == bights * (leads - 1)
    assert len(weave.strands) == gcd(leads, bights)
    assert set(weave.parts) == {0}


@pytest.mark.parametrize(("leads", "bights"), [(2, 4), (4, 4), (5, 8), (4, 6)])
def test_crossings_of_a_turks_head_at_corners_count_once(leads, bights):
    weave = woven(turks_head(leads, bights, shift=0.0))
    assert len(weave.crossings) == bights * (leads - 1)


@pytest.mark.parametrize(("a", "b"), [(2, 3), (3, 4), (3, 5), (5, 7), (4, 9)])
def test_a_lissajous_curve_has_its_double_points(a, b):
    """2ab - a - b for coprime frequencies in general phase: Bogle, Hearst, Jones and Stoilov, Lissajous knots, J. Knot
    Theory Ramif. 3, 1994, from memory."""
    strand = closed_curve(lambda t: (50 * np.cos(a * t + 0.2), 50 * np.cos(b * t + 0.1)), 400 * b)
    assert len(assert_woven([strand]).crossings) == 2 * a * b - a - b


@pytest.mark.parametrize(("p", "q"), [(2, 3), (3, 4), (3, 5), (4, 5), (5, 8), (3, 7)])
def test_a_torus_knot_has_its_crossings(p, q):
    """min(p(q - 1), q(p - 1)): Murasugi, On the braid index of alternating links, Trans. AMS 326, 1991, prop. 7.5, from
    memory. Its usual picture, p strands braided round the hole, seen from above, reaches q(p - 1), the less for p < q;
    alternated it is another knot on the same shadow."""
    strand = closed_curve(
        lambda t: ((60 + 20 * np.cos(q * t)) * np.cos(p * t), (60 + 20 * np.cos(q * t)) * np.sin(p * t)), 300 * p
    )
    assert len(assert_woven([strand]).crossings) == min(p * (q - 1), q * (p - 1))


@pytest.mark.parametrize("petals", [3, 4, 5, 7, 10])
def test_a_hypotrochoid_with_loops_has_one_crossing_for_each(petals):
    """A pen near beyond the rolling circle's rim makes one small loop for each cusp."""
    rolling = 10.0
    pen = 1.2 * rolling
    rest = (petals - 1) * rolling
    strand = closed_curve(
        lambda t: (
            rest * np.cos(t) + pen * np.cos((petals - 1) * t),
            rest * np.sin(t) - pen * np.sin((petals - 1) * t),
        ),
        1200,
    )
    assert len(assert_woven([strand]).crossings) == petals


@pytest.mark.parametrize("swap", [False, True])
def test_three_rings_hang_together_as_one_part_and_a_fourth_alone(swap):
    rings = [
        closed_curve(lambda t, k=k: (30 * np.cos(t) + 20 * np.cos(k), 30 * np.sin(t) + 20 * np.sin(k)), 200)
        for k in (0.1, 2.2, 4.3)
    ]
    alone = closed_curve(lambda t: (300 + 9 * np.cos(t), 9 * np.sin(t)), 50)
    strands = [alone, *rings] if swap else [*rings, alone]
    weave = assert_woven(strands)
    assert len(weave.crossings) == 6
    assert weave.parts == ((0, 1, 1, 1) if swap else (0, 0, 0, 1))


coefficients = st.lists(st.floats(-1.0, 1.0).map(lambda x: round(x, 6)), min_size=12, max_size=12)


@st.composite
def systems(draw, most=4):
    """Some closed curves of three harmonics each."""
    curves = []
    for own in draw(st.lists(coefficients, min_size=1, max_size=most)):
        c = np.array(own).reshape(2, 3, 2)
        assume(np.abs(c).max(axis=(0, 2))[1:].max() > 0.1)

        def at(t, c=c):
            return [
                40 * sum(c[k, n - 1, 0] * np.cos(n * t) + c[k, n - 1, 1] * np.sin(n * t) for n in (1, 2, 3))
                for k in (0, 1)
            ]

        curves.append(closed_curve(at, 240, shift=0.371))
    return curves


def check_laws(strands):
    try:
        weave = assert_woven(strands)
    except TroubleError as error:
        # Closed curves without degenerate places always alternate.
        assert {each.kind for each in error.troubles} <= {"triple", "touch", "overlap"}  # noqa: PT017
        assume(False)
    # Each part has one solution and its exchange: exchanging one crossing alone breaks a strand that passes it.
    turned = woven([Strand(np.roll(each.points[::-1], 7, axis=0), each.closed) for each in strands[::-1]])
    chosen = {(round(each.x, 5), round(each.y, 5)): direction_over(weave, each) for each in weave.crossings}
    for each in turned.crossings:
        over = direction_over(turned, each)
        like = chosen[(round(each.x, 5), round(each.y, 5))]
        assert abs(over @ like) > 0.999


def direction_over(weave, crossing):
    """The direction of the over strand at a crossing."""
    strand = weave.strands[crossing.over.strand]
    corners = np.concatenate([strand.points, strand.points[:1]])
    steps = np.diff(corners, axis=0)
    lengths = np.hypot(*steps.T)
    at = np.searchsorted(np.cumsum(lengths), crossing.over.along)
    return steps[min(at, len(steps) - 1)] / lengths[min(at, len(steps) - 1)]


def check_uniqueness(strands):
    """Of all ways to choose over and under at each crossing, two for each part that has one alternate."""
    _, visits = brute_crossings(strands)
    assume(0 < len(visits) <= 10)
    try:
        weave = woven(strands)
    except TroubleError:
        assume(False)
    order = {}
    for number, pair in enumerate(visits):
        for which, (owner, along) in enumerate(pair):
            order.setdefault(owner, []).append((along, number, which))
    ways = np.array(list(itertools.product([False, True], repeat=len(visits))))
    good = np.ones(len(ways), dtype=bool)
    for own in order.values():
        overs = [ways[:, number] == (which == 0) for _, number, which in sorted(own)]
        for one, other in zip(overs, overs[1:] + overs[:1], strict=True):
            good &= one != other
    crossed = {weave.parts[owner] for owner in order}
    assert good.sum() == 2 ** len(crossed)


@settings(max_examples=30)
@given(systems(most=2))
def test_random_curves_alternate_in_two_ways_for_each_part(strands):
    check_uniqueness(strands)


@pytest.mark.full
@settings(max_examples=500)
@given(systems(most=2))
def test_all_random_curves_alternate_in_two_ways_for_each_part(strands):
    check_uniqueness(strands)


@settings(max_examples=40)
@given(systems())
def test_random_closed_curves_alternate_whatever_their_order_and_direction(strands):
    check_laws(strands)


@pytest.mark.full
@settings(max_examples=500)
@given(systems())
def test_all_random_closed_curves_alternate_whatever_their_order_and_direction(strands):
    check_laws(strands)


def lines(*ends):
    return [Strand(np.array(each, dtype=float)) for each in ends]


def test_a_crossing_at_corners_and_at_a_closing_point_counts_once():
    diamond = Strand(np.array([[50.0, 20.0], [80.0, 50.0], [50.0, 80.0], [20.0, 50.0]]), closed=True)
    through = lines([(0, 30), (50, 20), (100, 10)], [(50, 100), (50, 80), (50, 50), (80, 50), (100, 40)])
    # The line through the lowest corner touches it; moved to cross both sides it does not.
    found = crossings_of([diamond, through[1]])
    assert [(each.x, each.y) for each in found.crossings] == [(80.0, 50.0), (50.0, 80.0)]
    assert found.troubles == ()
    touching = crossings_of([diamond, through[0]])
    assert [(each.kind, each.x, each.y) for each in touching.troubles] == [("touch", 50.0, 20.0)]
    start = Strand(np.roll(diamond.points, -2, axis=0), closed=True)
    assert len(crossings_of([start, through[1]]).crossings) == 2


@pytest.mark.parametrize(
    ("strands", "kind", "place"),
    [
        (lines([(0, 50), (100, 50)], [(50, 0), (50, 100)], [(0, 0), (100, 100)]), "triple", (50, 50)),
        (lines([(0, 50), (100, 50)], [(0, 0), (50, 50), (100, 0)]), "touch", (50, 50)),
        (lines([(0, 50), (100, 50)], [(0, 0), (30, 50), (60, 50), (100, 100)]), "overlap", (45, 50)),
        (lines([(0, 50), (60, 50)]), "end", (60, 50)),
        (lines([(0, 50), (60, 50)], [(60, 0), (60, 100)]), "end", (60, 50)),
    ],
)
def test_what_cannot_be_woven_is_told_with_its_place(strands, kind, place):
    with pytest.raises(TroubleError) as told:
        woven(strands, field=SQUARE)
    trouble = next(each for each in told.value.troubles if each.kind == kind)
    assert (trouble.x, trouble.y) == pytest.approx(place, abs=20.0 if kind == "overlap" else 0.02)
    assert f"{trouble.x:.0f} mm right of the middle, {trouble.y:.0f} mm up:" in str(told.value)


@pytest.mark.parametrize("above", [1.0, -1.0])
@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize("way", [1, -1])
def test_a_touch_is_one_from_either_side(above, order, way):
    bent = [(0, 50 + 40 * above), (50, 50), (100, 50 + 30 * above)][::way]
    for strands in (lines([(0, 50), (100, 50)], bent), lines([(0, 50), (50, 50), (100, 50)], bent)):
        found = crossings_of(strands[::order])
        assert found.crossings == ()
        assert [(each.kind, each.x, each.y) for each in found.troubles] == [("touch", 50.0, 50.0)]


@pytest.mark.parametrize("ends", [[(0, 50), (50, 20)], [(50, 20), (0, 50)], [(0, 50), (50, 90)], [(50, 90), (0, 50)]])
@pytest.mark.parametrize("order", [1, -1])
def test_an_end_on_another_strand_is_no_crossing(ends, order):
    for other in ([(0, 0), (0, 100)], [(0, 50), (50, 55)]):
        found = crossings_of(lines(ends, other)[::order])
        assert found.crossings == ()
        assert [each.kind for each in found.troubles] == ["touch"]


def test_a_loop_round_an_open_end_outside_the_field_cannot_alternate():
    loop = closed_curve(lambda t: (90 + 20 * np.cos(t), 50 + 20 * np.sin(t)), 60)
    line = lines([(0, 50), (101, 50)])
    with pytest.raises(TroubleError) as told:
        woven([loop, *line], field=SQUARE)
    assert [each.kind for each in told.value.troubles] == ["odd"]


def test_ends_on_the_rim_are_woven():
    weave = woven(
        lines([(0, 40), (100, 40)], [(0, 60), (100, 60)], [(45, 0), (45, 100)], [(55, 0), (55, 100)]), field=SQUARE
    )
    assert len(weave.crossings) == 4
    across = {(round(each.x, 9), round(each.y, 9)): each.over.strand < 2 for each in weave.crossings}
    # The lowest point lies at the foot of the left upright, which so goes over first.
    assert across == {(45.0, 40.0): False, (45.0, 60.0): True, (55.0, 40.0): True, (55.0, 60.0): False}


def test_from_its_lowest_point_a_part_passes_over_to_the_right():
    ring = closed_curve(lambda t: (30 * np.cos(t), 30 * np.sin(t)), 200)
    beside = closed_curve(lambda t: (20 + 30 * np.cos(t), 10 + 30 * np.sin(t)), 200)
    for strands in ([ring, beside], [beside, ring]):
        weave = woven(strands)
        low = min(weave.crossings, key=lambda each: each.y)
        assert strands[low.over.strand] is ring
    for start in range(0, 200, 9):
        for way in (1, -1):
            begun = Strand(np.roll(ring.points[::way], start, axis=0), closed=True)
            weave = woven([begun, beside])
            assert min(weave.crossings, key=lambda each: each.y).over.strand == 0


def test_no_strands_weave_to_nothing():
    assert woven([]).crossings == ()
