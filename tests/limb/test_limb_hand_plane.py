"""Back, thumb and length of a hand of rods whose back is +x and whose thumb is +y, axis +z."""

import numpy as np
import pytest
from bent_tubes import Tube, turned
from invented_hand import arm

from flatten.limb.anatomy.hand import Hand, hand_of
from flatten.limb.anatomy.midline import midline_of
from flatten.limb.anatomy.narrow import wrist_of
from flatten.limb.model import FrontError

UP = np.array([0.0, 0.0, 1.0])
BOTH_HANDS = pytest.mark.parametrize("handed", [1.0, -1.0])


def seen(points) -> Hand:
    line = midline_of(points)
    return hand_of(points, line, wrist_of(line))


def mirrored(points, handed):
    """The other hand: y turned round, so that the thumb is -y and the back stays +x."""
    return points * np.array([1.0, handed, 1.0])


def degrees_off(back, handed=1.0):
    """From +x, positive towards the thumb."""
    return float(np.degrees(np.arctan2(handed * back[1], back[0])))


@BOTH_HANDS
@pytest.mark.parametrize(
    "pose",
    [{}, {"curl": 0.5}, {"wrist": 0.3}, {"wrist": -0.3}, {"curl": 1.1, "closed": True}, {"thumb": False, "curl": 0.6}],
)
def test_the_back_is_found_open_curled_bent_and_in_a_fist(pose, handed):
    hand = seen(mirrored(arm(**pose), handed))
    assert hand.sure
    # The knuckles' line slants by 13° here, by SLANT 19° in bodies; a third of a wrist's bend and a thumb do the rest.
    assert abs(degrees_off(hand.back(UP, handed=handed), handed)) < 9.0


@BOTH_HANDS
@pytest.mark.parametrize("pose", [{}, {"curl": 0.5}, {"wrist": -0.3}])
def test_a_thumb_that_is_seen_tells_which_hand_it_is(pose, handed):
    hand = seen(mirrored(arm(**pose), handed))
    assert hand.thumb > 1.0
    assert hand.breadth @ [0.0, handed, 0.0] > 0.95
    assert hand.palm[0] < -0.9
    assert hand.handed(UP) == handed
    # Named as the other one, the thumb still tells its own side: the back is then turned round, which is the doubt.
    assert degrees_off(hand.back(UP, handed=-handed), handed) % 360 == pytest.approx(180.0, abs=12.0)


def test_a_fist_tells_its_back_by_its_fingers_and_not_which_hand_it_is():
    hand = seen(arm(curl=1.1, closed=True))
    assert hand.thumb == 0.0
    assert hand.handed(UP) == 0.0
    assert not hand.open
    # Whichever hand is named, the palm stays where the fingers are.
    assert abs(degrees_off(hand.back(UP, handed=-1.0))) < 12.0


@pytest.mark.parametrize("scale", [0.6, 0.9, 1.1])
def test_size_and_place_change_nothing_but_the_length(scale):
    points = arm()
    moved = seen(scale * points)
    still = seen(points)
    assert degrees_off(moved.back(UP, handed=1.0)) == pytest.approx(degrees_off(still.back(UP, handed=1.0)), abs=2.5)
    assert moved.length == pytest.approx(scale * still.length, rel=0.04)
    ways = turned(np.concatenate([np.zeros((1, 3)), np.eye(3)]), 4)
    x, y, up = ways[1:] - ways[0]
    back = seen(turned(points, 4)).back(up, handed=1.0)
    assert degrees_off(np.array([back @ x, back @ y])) == pytest.approx(
        degrees_off(still.back(UP, handed=1.0)), abs=2.5
    )


def test_an_open_hand_shows_its_length():
    # From the wrist's crease, at z 0, to the second finger's tip: 90 + 82 + 6 + the rod's round end.
    hand = seen(arm(curl=0.02))
    assert hand.open
    assert hand.length == pytest.approx(90 + 86 + 8, rel=0.1)


def test_a_forearm_without_a_hand_is_refused():
    tube = Tube(lambda along, bearings: 26 + 0.05 * along, length=260.0, closed=False).points()
    line = midline_of(tube)
    with pytest.raises(FrontError, match="shows no hand"):
        hand_of(tube, line, wrist_of(line))
