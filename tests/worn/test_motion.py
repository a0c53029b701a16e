"""When a bent joint meets an edge, against the geometry of a round limb."""

import numpy as np
import pytest

from flatten.limb.kind import ANKLE_JOINT, FOREARM, LOWER_LEG, WRIST_JOINT, kind_named
from flatten.limb.model import Frame, Landmark, Limb
from flatten.worn.defaults import edge
from flatten.worn.motion import Motion, motions_of, touch_of
from flatten.worn.neutral import through
from tests.limbs import calf, cylinder, limb_of

RADIUS = 55.0
JOINT = 350.0
SKIN = cylinder(RADIUS)


def bend(*, below=80.0, off=6.0, reach=135.0, towards=np.pi, top=True):
    joint = JOINT if top else 0.0
    motion = Motion("bending", "top" if top else "bottom", joint, towards, np.radians(reach))
    height = joint - below if top else joint + below
    return touch_of(SKIN, cylinder(RADIUS + off), edge=edge("edge", (height,) * 4), motion=motion)


def closed_form(below, off):
    """Angle at which a straight round limb, bent at a point on its axis, meets a rim `off` outside it.

    The rim's point lies below the joint and radius + off behind it; the moving part's back keeps the distance
    `radius` from its own axis: (radius + off) cos a + below sin a = radius.
    """
    away = np.hypot(below, RADIUS + off)
    return np.arctan2(below, RADIUS + off) + np.arccos(RADIUS / away)


@pytest.mark.parametrize("top", [True, False])
@pytest.mark.parametrize("towards", [0.0, np.pi / 2, np.pi, 4.0])
def test_a_round_limb_meets_the_edge_at_the_angle_of_its_geometry(top, towards):
    found = bend(top=top, towards=towards)
    assert found.angle == pytest.approx(closed_form(80.0, 6.0), abs=1e-4)
    # Edge points are a degree apart, so a bearing between them is met half a degree beside it.
    assert np.cos(found.bearing - towards) == pytest.approx(1.0, abs=1e-3)


@pytest.mark.parametrize("below", [30.0, 60.0, 110.0])
def test_an_edge_on_the_skin_is_met_at_twice_the_angle_seen_from_the_joint(below):
    """tan(a/2) = below / radius: both backs meet on the bisector."""
    found = bend(below=below, off=1e-6, top=True)
    assert found.angle == pytest.approx(2 * np.arctan(below / RADIUS), abs=2e-3)


def test_a_low_edge_is_never_met():
    found = bend(below=250.0)
    assert found.angle is None
    assert np.isinf(found.angles).all()


def test_the_far_side_of_the_edge_is_never_met():
    found = bend()
    ahead = np.cos(found.bearings - np.pi)
    assert np.isinf(found.angles[ahead < 0]).all()


def test_a_motion_beyond_its_reach_does_not_count():
    assert bend(reach=np.degrees(closed_form(80.0, 6.0)) - 0.5).angle is None
    assert bend(reach=np.degrees(closed_form(80.0, 6.0)) + 0.5).angle is not None


def test_a_limb_is_carried_straight_on_where_the_scan_ends():
    """The scan ends 10 mm above the joint; a straight limb goes on as it was."""
    short = cylinder(RADIUS, high=JOINT + 10.0)
    motion = Motion("bending", "top", JOINT, np.pi, np.radians(135.0))
    found = touch_of(short, cylinder(RADIUS + 6.0), edge=edge("edge", (JOINT - 80.0,) * 4), motion=motion)
    assert found.angle == pytest.approx(closed_form(80.0, 6.0), abs=1e-4)


@pytest.mark.parametrize("slope", [-0.08, 0.08])
def test_a_cone_that_leans_is_carried_on_as_the_cone_that_it_is(slope):
    """Its radius and its centre line are straight, so that a scan which ends sooner shows the same limb."""

    def leaning(high, *, radius=RADIUS):
        heights = np.linspace(-20.0, high, 40)
        rings = np.repeat((radius + slope * (heights - JOINT))[:, None], 60, axis=1)
        centres = np.column_stack([0.06 * heights, -0.03 * heights])
        return through(heights, rings, centres, like=cylinder(radius, high=high))

    motion = Motion("bending", "top", JOINT, np.pi, np.radians(135.0))
    rim = edge("edge", (JOINT - 60.0,) * 4)
    short, whole = (
        touch_of(leaning(high), leaning(high, radius=RADIUS + 6.0), edge=rim, motion=motion)
        for high in (JOINT + 5.0, JOINT + 150.0)
    )
    assert whole.angle is not None
    np.testing.assert_allclose(short.angles, whole.angles, atol=1e-6)


def test_a_lower_back_edge_lets_a_leg_bend_further():
    skin = limb_of(calf)
    worn = limb_of(lambda h, b: calf(h, b) + 6.0)
    motion = Motion("bending the knee", "top", 360.0, np.pi, np.radians(135.0))
    high, low = (
        touch_of(skin, worn, edge=edge("top edge", (330.0, 300.0, back, 300.0)), motion=motion)
        for back in (310.0, 270.0)
    )
    assert high.angle is not None
    assert low.angle is None or low.angle > high.angle + np.radians(10)


def test_motions_are_those_of_the_limbs_joints():
    frame = Frame(np.zeros(3), np.eye(3))
    leg = Limb(LOWER_LEG, "left", frame, (Landmark("ankle", 0.0), Landmark("knee", 350.0)), "given")
    assert [(m.edge, round(np.degrees(m.reach))) for m in motions_of(leg)] == [
        ("top", 135),
        # Ankle 0–20° up, 0–50° down [published: World J. Orthop. 8(1), 2017, table 5].
        ("bottom", 20),
        ("bottom", 50),
    ]
    cut_short = Limb(FOREARM, "left", frame, (Landmark("wrist", 0.0),), "given")
    assert [m.edge for m in motions_of(cut_short)] == ["bottom", "bottom"]


def test_each_joint_lies_where_it_turns_and_bends_to_its_own_side():
    """Knee and elbow turn at their marks, ankle and wrist below the least girth; back of leg and palm are at pi."""
    frame = Frame(np.zeros(3), np.eye(3))
    leg = Limb(LOWER_LEG, "left", frame, (Landmark("ankle", 10.0), Landmark("knee", 350.0)), "given")
    arm = Limb(FOREARM, "left", frame, (Landmark("wrist", 10.0), Landmark("elbow", 250.0)), "given")
    assert [(m.name, m.joint, m.bearing) for m in (*motions_of(leg), *motions_of(arm))] == [
        ("bending the knee", 350.0, np.pi),
        ("raising the foot", 10.0 + ANKLE_JOINT, 0.0),
        ("pointing the foot", 10.0 + ANKLE_JOINT, np.pi),
        ("bending the elbow", 250.0, np.pi),
        ("bending the wrist to the palm", 10.0 + WRIST_JOINT, np.pi),
        ("bending the wrist back", 10.0 + WRIST_JOINT, 0.0),
    ]


@pytest.mark.parametrize(
    ("kind", "mark", "bends"),
    [
        # Knee 135°, hip 120°, elbow 145°, shoulder 160° and 150°: from memory.
        ("thigh", "kneecap", [("bottom", 135, 180), ("top", 120, 0)]),
        ("upper arm", "elbow", [("bottom", 145, 0), ("top", 160, 0), ("top", 150, 90)]),
    ],
)
def test_a_thigh_and_an_upper_arm_bend_at_both_ends(kind, mark, bends):
    limb = Limb(kind_named(kind), "left", Frame(np.zeros(3), np.eye(3)), (Landmark(mark, 0.0),), "given")
    found = motions_of(limb, top=280.0)
    assert [(m.edge, round(np.degrees(m.reach)), round(np.degrees(m.bearing))) for m in found] == bends
    assert all(m.joint > 280.0 if m.edge == "top" else m.joint <= 0.0 for m in found)
    assert [m.edge for m in motions_of(limb)] == ["bottom"]


@pytest.mark.parametrize("kind", ["thigh", "upper arm"])
def test_a_round_thigh_and_upper_arm_touch_at_the_angles_of_their_geometry(kind):
    """Each joint is one point of the axis of a straight round limb, at its own distance from the edge."""
    high = 300.0
    skin, worn = cylinder(RADIUS, high=high), cylinder(RADIUS + 6.0, high=high)
    mark = "kneecap" if kind == "thigh" else "elbow"
    limb = Limb(kind_named(kind), "left", Frame(np.zeros(3), np.eye(3)), (Landmark(mark, 0.0),), "given")
    bottom, top = edge("bottom edge", (60.0,) * 4), edge("top edge", (high - 20.0,) * 4)
    for motion in motions_of(limb, top=high):
        level = high - 20.0 if motion.edge == "top" else 60.0
        expected = closed_form(abs(motion.joint - level), 6.0)
        found = touch_of(skin, worn, edge=top if motion.edge == "top" else bottom, motion=motion)
        assert expected < motion.reach
        assert found.angle == pytest.approx(expected, abs=1e-4)
        assert np.cos(found.bearing - motion.bearing) == pytest.approx(1.0, abs=1e-3)


SLOPE = np.radians(40.0)
"""How steeply the back of the made-up foot falls, from the joint's own height on."""


def foot(start, *, length=150.0, aside=40.0):
    """Points of a foot's back, 2 mm apart: a plane that falls from `start` mm ahead of the joint, whose height is 0."""
    t, y = np.meshgrid(np.arange(0.5, length, 2.0), np.arange(-aside, aside + 1.0, 2.0))
    return np.column_stack([start + t.ravel() * np.cos(SLOPE), y.ravel(), -t.ravel() * np.sin(SLOPE)])


RIM = np.array([RADIUS + 6.0, 60.0])
"""mm ahead of and above the joint: the leather's edge in front."""


def raised(points):
    skin, worn = cylinder(RADIUS, low=20.0), cylinder(RADIUS + 6.0, low=20.0)
    motion = Motion("raising the foot", "bottom", 0.0, 0.0, np.radians(100.0))
    return touch_of(skin, worn, edge=edge("edge", (RIM[1],) * 4), motion=motion, points=points)


@pytest.mark.parametrize("start", [50.0, 60.0, 75.0])
def test_a_scanned_foot_meets_the_edge_where_its_own_back_does(start):
    """Seen from the joint, the back lies start·sin(s)/sin(s - a) away at an angle a below level.

    So it is as far as the edge, r mm, at a = s - asin(start·sin(s)/r), and meets it when it has turned by the edge's
    own angle above level and that.
    """
    r = np.hypot(*RIM)
    below = SLOPE - np.arcsin(start * np.sin(SLOPE) / r)
    found = raised(foot(start))
    # Told to a step of 3 degrees round the joint.
    assert found.angle == pytest.approx(np.arctan2(RIM[1], RIM[0]) + below, abs=np.radians(3.0))
    assert abs(np.sin(found.bearing)) < 0.1


def test_a_foot_too_short_to_reach_the_edge_never_meets_it():
    """Its toes are hypot(60 + l·cos(s), l·sin(s)) mm from the joint."""
    r = np.hypot(*RIM)
    assert np.hypot(60.0 + 25.0 * np.cos(SLOPE), 25.0 * np.sin(SLOPE)) < r - 3.0
    # A narrow foot, for the edge's sides are nearer to the joint's axis than its front.
    assert raised(foot(60.0, length=25.0, aside=16.0)).angle is None
    assert raised(foot(60.0, length=40.0, aside=16.0)).angle is not None


@pytest.mark.parametrize("points", [np.zeros((0, 3)), foot(60.0)[:50], foot(60.0) * [1.0, 1.0, -1.0]])
def test_without_a_foot_in_the_scan_the_skin_is_carried_on(points):
    found, bare = raised(points), raised(None)
    np.testing.assert_array_equal(found.angles, bare.angles)
    assert bare.angle == pytest.approx(closed_form(60.0, 6.0), abs=1e-4)


def test_a_foot_turned_the_other_way_is_not_met_in_front():
    assert raised(foot(60.0) * [-1.0, 1.0, 1.0]).angle is None
