"""Rows of lames on a cylinder, against the side view written out anew."""

import numpy as np
import pytest

from flatten.worn.curves import Edge
from flatten.worn.lames import Hinge, LameError, Row, check_reach, out_of_step, pair_of
from tests.limbs import cylinder

RADIUS, FACE, TOP, WIDTH = 60.0, 3.2, 250.0, 60.0


def row(**given):
    hinge = {"height": 290.0, "ahead": 0.0, "bend": np.radians(30.0), "forward": False, **given.pop("hinge", {})}
    usual = {
        "name": "lame",
        "count": 2,
        "width": WIDTH,
        "overlap": 36.0,
        "thickness": 3.2,
        "edge": Edge("top edge", np.zeros(1), np.array([TOP])),
        "upward": True,
        "front": True,
        "hinge": Hinge(**hinge),
        "rivet": 4.0,
        "away": 8.0,
        "play": 1.0,
        "ends": 15.0,
    }
    return Row(**{**usual, **given})


def by_complex(points, pivot, angle):
    """Points, ahead + i·up, turned counter-clockwise: up goes back."""
    return pivot + (points - pivot) * np.exp(1j * angle)


@pytest.mark.parametrize("ahead", [-20.0, 0.0, 25.0])
@pytest.mark.parametrize("degrees", [5.0, 20.0])
def test_overlaps_and_slots_of_a_row_above_an_edge_that_bends_back(ahead, degrees):
    """In the side view a cylinder is a strip; a lame's edge is a level line that turns about the pivot as a whole."""
    angle, radius = np.radians(degrees), RADIUS + FACE
    asked = row(count=1, hinge={"ahead": ahead, "bend": angle})
    pair = pair_of(cylinder(RADIUS), asked, 1, face=FACE)
    pivot = ahead + 1j * (TOP - 18.0)
    at = np.arccos(ahead / radius)
    np.testing.assert_allclose(pair.pivots, [[TOP - 18.0, at], [TOP - 18.0, -at]], atol=1e-6)
    front, end = radius + 1j * (TOP - 36.0), radius * np.cos(at + 15.0 / RADIUS) + 1j * (TOP - 36.0)
    lifts = [(by_complex(place, pivot, angle) - place).imag for place in (front, end)]
    assert pair.middle == pytest.approx(36.0 - lifts[0], abs=1e-6)
    assert pair.ends == pytest.approx(36.0 - lifts[1], abs=1e-3)
    # It opens in front of the pivots and gathers behind them.
    assert pair.least == pair.middle < 36.0 < pair.most
    for slot, share in zip(pair.slots, (-0.5, 0.0, 0.5), strict=True):
        rivet = radius * np.cos(share * at) + 1j * (TOP - 36.0 + 8.0)
        assert slot.travel == pytest.approx(abs(rivet - pivot) * angle, abs=1e-6)
        assert slot.run == pytest.approx(slot.travel + 1.0)
        # The slot lies about the middle of the rivet's way, which ends where the upper lame has carried it.
        moved = by_complex(rivet, pivot, angle)
        assert slot.ends[:, 0].mean() == pytest.approx(0.5 * (rivet + moved).imag, abs=1e-6)
        assert slot.ends[1, 0] > slot.ends[0, 0]
        side = radius * np.sin(share * at)
        carried = np.arctan2(side, moved.real)
        assert slot.ends[:, 1].mean() == pytest.approx(0.5 * (share * at + carried), abs=1e-6)


@pytest.mark.parametrize(
    ("upward", "front", "forward"), [(up, f, w) for up in (True, False) for f in (True, False) for w in (True, False)]
)
def test_a_row_opens_where_its_joint_bends_away_and_gathers_where_it_bends_to(upward, front, forward):
    asked = row(count=1, upward=upward, front=front, hinge={"forward": forward, "bend": 0.1})
    pair = pair_of(cylinder(RADIUS), asked, 1, face=FACE)
    assert (pair.middle < 36.0) == (front != forward)
    assert (pair.ends > 36.0) == (front != forward)
    # Its rivets slide towards the far edge of what lies beneath where it opens.
    up = pair.slots[1].ends[1, 0] > pair.slots[1].ends[0, 0]
    assert up == (upward == (front != forward))
    # By 0.1 rad about 18 mm: the level edge beside the pivots tilts, and sinks by 18 (1 − cos 0.1).
    lift = (RADIUS + FACE) * np.sin(0.1)
    assert abs(pair.middle - 36.0) == pytest.approx(lift, abs=0.1)


def test_lames_lie_one_after_another_and_share_the_bend():
    asked = row(count=3)
    for number in (1, 2, 3):
        pair = pair_of(cylinder(RADIUS), asked, number, face=FACE)
        # Each shows 24 mm, and is pivoted in the middle of its overlap.
        assert pair.pivot[1] == pytest.approx(TOP - 18.0 + 24.0 * (number - 1), abs=1e-9)
        assert pair.middle == pytest.approx(36.0 - (RADIUS + FACE) * np.sin(np.radians(10.0)), abs=0.3)


def test_a_row_whose_pivots_lie_at_the_hinge_follows_the_joint_and_others_by_a_chord():
    """One lame: turned about a pivot d below the hinge it ends up 2 d sin(bend/2) off, wherever one looks."""
    pairs = (pair_of(cylinder(RADIUS), row(count=1), 1, face=FACE),)
    point = np.array([63.0, 270.0])
    at_it = row(count=1, hinge={"height": TOP - 18.0})
    assert out_of_step(at_it, pairs, point) == pytest.approx(0.0, abs=1e-9)
    off = out_of_step(row(count=1, hinge={"height": TOP + 22.0}), pairs, point)
    assert off == pytest.approx(2 * 40.0 * np.sin(np.radians(15.0)), abs=1e-9)
    # Two lames, the second carried by the first: its own turn first, then both.
    asked = row(count=2, hinge={"height": TOP})
    pairs = tuple(pair_of(cylinder(RADIUS), asked, number, face=FACE) for number in (1, 2))
    low, high = 1j * (TOP - 18.0), 1j * (TOP + 6.0)
    chain = by_complex(by_complex(63.0 + 270.0j, high, np.radians(15.0)), low, np.radians(15.0))
    meant = by_complex(63.0 + 270.0j, 1j * TOP, np.radians(30.0))
    assert out_of_step(asked, pairs, point) == pytest.approx(abs(chain - meant), abs=1e-9)


def test_what_no_row_can_do_is_refused():
    with pytest.raises(LameError, match=r"reach up to 442 mm, and the surface can be trusted only up to 400 mm"):
        check_reach(cylinder(RADIUS), row(count=8))
    with pytest.raises(LameError, match=r"reach down to -36 mm, and the surface can be trusted only down to -20 mm"):
        check_reach(cylinder(RADIUS), row(upward=False, edge=Edge("bottom edge", np.zeros(1), np.array([12.0]))))
    with pytest.raises(LameError, match=r"lies 70 mm ahead of the limb's middle line, where they do not reach"):
        pair_of(cylinder(RADIUS), row(hinge={"ahead": 70.0}), 1, face=FACE)


def test_rivets_keep_their_distance_from_an_edge_that_runs_aslant():
    """Developed, a cylinder is a plane: the distance there of a rivet from a swept edge, not that along the height."""
    swept = Edge("top edge", np.arange(4) * 0.5 * np.pi, np.array([TOP, TOP - 30.0, TOP - 60.0, TOP - 30.0]))
    asked = row(count=1, edge=swept, hinge={"bend": 0.2})
    pair = pair_of(cylinder(RADIUS), asked, 1, face=FACE)
    around = np.linspace(-2.0, 2.0, 20001)
    edges = [np.column_stack([RADIUS * around, asked.heights(beyond, around)]) for beyond in (asked.near(1), 0.0)]
    for slot in pair.slots:
        place = np.array([RADIUS * slot.rivet[1], slot.rivet[0]])
        # The edge bends on a radius of 80 mm or more: 8²/(2·80) · (slope) of the foot's place, 0.1 mm.
        assert np.hypot(*(edges[0] - place).T).min() == pytest.approx(8.0, abs=0.1)
    aslant = pair.slots[0]
    rise = aslant.rivet[0] - asked.heights(asked.near(1), aslant.rivet[1:])[0]
    assert rise == pytest.approx(8.0 * np.hypot(1.0, 0.5 * np.sin(aslant.rivet[1])), abs=0.1)
    # It opens most in front, where the edge is level; there two edges keep the rivets 8 mm each.
    assert pair.tightest == (pytest.approx(pair.middle), pytest.approx(16.0, abs=1e-6))
