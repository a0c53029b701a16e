"""Where a sheet that hardly gives cannot lie on what it was laid flat from."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.leather.unclosed import NOTICED, unclosed
from flatten.limb.kind import FOREARM, LOWER_LEG
from flatten.unwrap.panel import flatten_panel
from flatten.worn.curves import Edge, Seam
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from tests.limbs import cone, cylinder

RADIUS, LOW, HIGH, GAP = 60.0, 20.0, 320.0, 24.0


def laid(skin):
    """The panel between two level edges, laid flat as isometrically as can be."""
    zero = np.zeros(1)
    cuts = Cuts(
        Edge("bottom edge", zero, zero + LOW),
        Edge("top edge", zero, zero + HIGH),
        (Seam("back", "laced", GAP, zero, zero + np.pi),),
    )
    (panel,) = cut_panels(skin, cuts, edge_length=6.0)
    return flatten_panel(panel)


@pytest.fixture(scope="module")
def flat():
    return laid(cylinder(RADIUS))


def found(flat, *, wide=1.0, tall=1.0, kind=LOWER_LEG, gives=0.005):
    """What is told of the flat panel made `wide` times as wide and `tall` times as tall."""
    return unclosed(replace(flat, uv=flat.uv * np.array([wide, tall])), kind=kind, gives=gives)


def test_paper_closes_over_what_can_be_unrolled(flat):
    assert found(flat) == ()
    assert unclosed(laid(cone(40.0, 0.1)), kind=LOWER_LEG, gives=0.005) == ()


def test_paper_that_is_too_narrow_is_short_by_what_it_does_not_give(flat):
    by_region = {(each.side, each.level): each for each in found(flat, wide=0.96)}
    assert len(by_region) == 12
    front = by_region["front", "middle"]
    # A quarter of the girth; the paper there is 0.96 of it, and gives half a per cent. Whole faces count to a region,
    # so that its ends are uncertain by an edge of 6 mm, 4 % of which is 0.24 mm.
    quarter = np.pi / 2 * RADIUS
    assert (front.way, front.off) == ("round", 0.0)
    assert front.short == pytest.approx(quarter * (1.0 - 1.005 * 0.96), abs=0.25)


def test_paper_that_is_too_wide_stands_off_as_an_arc_does(flat):
    front = next(each for each in found(flat, wide=1.04) if (each.side, each.level) == ("front", "middle"))
    quarter = np.pi / 2 * RADIUS
    excess = quarter * (0.995 * 1.04 - 1.0)
    assert front.short == pytest.approx(-excess, abs=0.25)
    assert front.off == pytest.approx(np.sqrt(3.0 / 8.0 * -front.short * quarter), abs=0.5)
    # An arc of that height over that chord is as much longer, by its own formula.
    radius = (front.off**2 + (quarter / 2) ** 2) / (2 * front.off)
    arc = 2 * radius * np.arcsin(quarter / 2 / radius)
    assert arc - quarter == pytest.approx(-front.short, rel=0.03)


def test_paper_that_is_too_short_up_the_limb_is_told_as_such(flat):
    told = {(each.side, each.level): each for each in found(flat, tall=0.97)}
    middle = told["outside", "middle"]
    assert middle.way == "up"
    assert middle.short == pytest.approx((HIGH - LOW) / 3 * (1.0 - 1.005 * 0.97), abs=0.25)


def test_what_hands_hide_is_not_told_and_the_worst_stands_first(flat):
    enough = NOTICED / (np.pi / 2 * RADIUS)
    assert found(flat, wide=1.0 - 0.7 * enough, gives=0.0) == ()
    told = found(flat, wide=1.0 - 1.4 * enough, gives=0.0)
    assert told
    assert [abs(each.short) for each in told] == sorted((abs(each.short) for each in told), reverse=True)
    assert found(flat, wide=1.0 - 1.4 * enough, gives=0.02) == ()


def test_sides_are_the_limbs_own(flat):
    assert {each.side for each in found(flat, wide=0.95, kind=FOREARM)} == set(FOREARM.sides)
