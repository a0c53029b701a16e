"""Elbows of forearms and upper arms with a formula: bends, bellies, contradictions, what the scan does not show."""

from dataclasses import replace

import numpy as np
import pytest
from bent_tubes import Tube, bump, turned
from invented_hand import arm as arm_with_hand

from flatten.limb.anatomy.bends import median_radius
from flatten.limb.anatomy.crease import ABOVE_TURN, arm_spreads, elbow_of_arm
from flatten.limb.anatomy.elbow import BEYOND_TURN, UNSEEN, WRIST, elbow_of_forearm
from flatten.limb.anatomy.hand import hand_of
from flatten.limb.anatomy.midline import midline_of
from flatten.limb.anatomy.narrow import wrist_of
from flatten.limb.model import LimbError

THIN = 24.0
USUAL = 160.0 + WRIST[0] + WRIST[1] * THIN
FRONT = np.array([1.0, 0.0, 0.0])


def forearm(elbow, *, belly=4.0, aside=0.0, bend=0.0, above=140.0, thin=THIN):
    """A tube with a palm at 70, a wrist at 160, a belly 70 mm below the elbow; from the elbow on it grows again."""

    def radius(along, bearings):
        grown = np.clip((along - 180.0) / (elbow - 60.0 - 180.0), 0.0, 1.0)
        swell = bump(along, elbow - 70.0, 35.0)
        arm = thin + 0.5 * thin * grown + belly * swell + 0.12 * np.maximum(along - elbow - 10.0, 0.0)
        return arm + 0.6 * thin * bump(along, 70.0, 40.0) + aside * swell * np.cos(bearings)

    return Tube(radius, length=elbow + above, bend=bend, at=elbow, over=18.0)


def elbow(tube, scale=1.0):
    """The elbow told, its sigma and its rivals from the wrist's mark, in mm of the unscaled tube, and its own mark."""
    line = midline_of(turned(scale * tube.points(), 1))
    joint = elbow_of_forearm(line, wrist_of(line))
    straight = midline_of(turned(tube.points(), 1))
    ways = turned(np.concatenate([tube.line(np.array([tube.at]))[0]]), 1)
    return joint, float(straight.nearest(ways)[0]) * scale


@pytest.mark.parametrize("off", [-35.0, 0.0, 35.0])
@pytest.mark.parametrize("degrees", [30.0, 55.0])
def test_a_bent_elbow_is_where_the_line_turns(off, degrees):
    joint, mark = elbow(forearm(USUAL + off, bend=np.radians(degrees)))
    assert joint.along == pytest.approx(mark + BEYOND_TURN, abs=9.0)
    assert joint.sigma <= 15.0
    assert joint.others == ()


@pytest.mark.parametrize("belly", [0.0, 6.0, 14.0])
def test_a_belly_is_not_taken_for_a_straight_elbow(belly):
    # The widest place of the strong one lies 70 mm below the elbow and is half as thick again as the arm.
    joint, mark = elbow(forearm(USUAL + 10.0, belly=belly))
    assert joint.along == pytest.approx(mark, abs=7.0)
    assert joint.sigma < 15.0


@pytest.mark.parametrize("degrees", [0.0, 40.0])
def test_nor_is_one_that_bulges_to_one_side(degrees):
    joint, mark = elbow(forearm(USUAL + 5.0, belly=7.0, aside=9.0, bend=np.radians(degrees)))
    assert joint.along == pytest.approx(mark, abs=20.0)


def test_a_clear_bend_wins_over_proportions_and_a_faint_one_does_not():
    clear, mark = elbow(forearm(USUAL + 60.0, bend=np.radians(60.0)))
    assert clear.along == pytest.approx(mark + BEYOND_TURN, abs=9.0)
    faint, mark = elbow(replace(forearm(USUAL, belly=2.0), bend=np.radians(6.0), at=USUAL - 75.0))
    assert faint.along > mark + 50.0


def test_where_bend_and_proportions_contradict_the_doubt_spans_both():
    joint, mark = elbow(forearm(USUAL + 75.0, belly=0.0, bend=np.radians(25.0)))
    assert joint.sigma > 25.0
    assert joint.others
    assert joint.along == pytest.approx(mark, abs=12.0)
    assert joint.others[0] == pytest.approx(mark - 75.0, abs=20.0)


@pytest.mark.parametrize(("radii", "elbows"), [(1.2, False), (1.8, True)])
def test_a_turn_in_the_scans_ragged_end_is_no_elbow(radii, elbows):
    """So far, in median radii, from the end of a line that is trusted up to 14 mm from it, over the scan's lid."""
    straight = midline_of(turned(forearm(USUAL, belly=0.0, above=80.0).points(), 1))
    at = float(straight.along[-1]) - radii * median_radius(straight)
    turn = np.radians(30.0) / (1 + np.exp(-(straight.along - at) / 8.0))
    way, aside = straight.direction(*straight.trusted), straight.rows[0]
    ways = np.cos(turn)[:, None] * way + np.sin(turn)[:, None] * aside
    ways /= np.linalg.norm(ways, axis=1)[:, None]
    ragged = replace(straight, directions=ways, trusted=(straight.trusted[0], float(straight.along[-1]) - 14.0))
    alone, found = (elbow_of_forearm(line, wrist_of(straight)) for line in (straight, ragged))
    assert bool(abs(found.along - alone.along) > 10.0) == elbows


def test_an_elbow_that_the_scan_ends_below_is_asked_for():
    joint, _ = elbow(forearm(USUAL, above=-35.0))
    assert joint.sigma >= UNSEEN


@pytest.mark.parametrize("tube", [forearm(USUAL + 10.0, bend=np.radians(40.0)), forearm(USUAL + 10.0)])
def test_a_percent_of_size_flips_nothing(tube):
    places = [elbow(tube, scale)[0].along / scale for scale in (0.985, 0.995, 1.0, 1.005, 1.015)]
    # Points fall into other sections, and proportions have a constant of 80 mm.
    assert np.ptp(places) < 8.0


def test_a_thin_wrist_may_be_a_childs_whose_arm_is_shorter():
    thin, usual = (
        elbow(replace(forearm(160.0 + WRIST[0] + WRIST[1] * radius, thin=radius, belly=0.0), length=600.0))[0]
        for radius in (14.0, THIN)
    )
    assert thin.sigma > usual.sigma + 0.5


def test_an_open_hand_makes_it_surer():
    points = arm_with_hand(curl=0.05, high=330.0)
    line = midline_of(points)
    wrist = wrist_of(line)
    alone = elbow_of_forearm(line, wrist)
    both = elbow_of_forearm(line, wrist, hand=hand_of(points, line, wrist))
    assert both.sigma < alone.sigma
    # 1.34 times the hand's 184 mm and 24 mm above the crease at z 0; the wrist says 80 + 6.7 · 24 = 241.
    assert line.place(both.along)[2] == pytest.approx((1.34 * 184 + 24 + 241) / 2, abs=18.0)


def upper_arm(*, degrees, at=170.0, high=430.0, shoulder=True, behind=0.0, fold=0.0):
    """An arm from half of the forearm up: thinnest at the elbow, spreading into the shoulder from 340 on."""

    def radius(along, bearings):
        arm = 38 + 0.04 * np.abs(along - at) + 6 * bump(along, at + 110.0, 50.0)
        spread = 0.9 * np.maximum(along - at - 190.0, 0.0) if shoulder else 0.0
        dents = behind * bump(along, at + 12.0, 18.0) * np.maximum(-np.cos(bearings), 0.0)
        return arm + spread - dents - fold * bump(along, at - 5.0, 14.0) * np.maximum(np.cos(bearings), 0.0)

    # The middle line turns from the forearm, whose far end lies in front, into the arm: up the line, away from +x.
    return Tube(radius, length=high, bend=np.radians(degrees), at=at, over=18.0, closed=False)


def crease(tube, front=FRONT):
    line = midline_of(tube.points())
    joint = elbow_of_arm(line, front)
    return joint, float(line.nearest(tube.line(np.array([tube.at]))[0])[0])


@pytest.mark.parametrize("degrees", [25.0, 55.0])
def test_a_bent_arms_crease_is_above_the_turn(degrees):
    joint, mark = crease(upper_arm(degrees=degrees, fold=3.0))
    assert joint.along == pytest.approx(mark + ABOVE_TURN, abs=11.0)
    assert joint.sigma <= 15.0


def test_a_straight_arms_is_told_by_its_hollows_and_its_girth():
    joint, mark = crease(upper_arm(degrees=4.0, behind=5.0))
    # The hollow behind is 12 mm above, the kink of girth at the crease itself.
    assert joint.along == pytest.approx(mark, abs=6.0)
    assert joint.sigma < 15.0


def test_a_turn_to_the_other_side_is_no_elbow():
    right, mark = crease(upper_arm(degrees=40.0))
    wrong, _ = crease(upper_arm(degrees=40.0), front=-FRONT)
    assert right.along == pytest.approx(mark + ABOVE_TURN, abs=11.0)
    # What is left is the girth's kink, at the turn itself.
    assert wrong.along == pytest.approx(mark, abs=8.0)


def test_what_turns_at_the_shoulder_is_no_elbow():
    bent = replace(upper_arm(degrees=45.0, at=170.0, behind=2.0, high=520.0), at=335.0)
    line = midline_of(bent.points())
    joint = elbow_of_arm(line, FRONT)
    elbow_at, shoulder = line.nearest(bent.line(np.array([170.0, 360.0]))[0])
    assert joint.along == pytest.approx(elbow_at, abs=10.0)
    # It begins at 360; girths smoothed over a radius and a third see it a few steps below.
    assert arm_spreads(line) == pytest.approx(shoulder, abs=25.0)


def test_too_little_of_an_arm_is_refused():
    tube = Tube(lambda along, bearings: 40 + 0.0 * along, length=90.0, closed=False)
    with pytest.raises(LimbError, match="too little to hold an elbow"):
        elbow_of_arm(midline_of(tube.points()), FRONT)
