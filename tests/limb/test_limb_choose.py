"""One limb of several: what a scan is told to show, and what a point on it picks."""

import dataclasses
import tomllib

import numpy as np
import pytest
import trimesh

from flatten.limb.find import find_limb
from flatten.limb.kind import kind_named
from flatten.limb.model import LimbError, SeveralLimbsError
from flatten.limb.which.choose import (
    BACK_OFF,
    RING,
    SPREAD,
    SPREAD_RUN,
    STRETCH,
    Branch,
    _upper_stretch,
    branches_of,
    one_limb,
)
from flatten.limb.which.graph import neighbour_graph_of
from flatten.limb.which.naming import seen_limbs
from flatten.scan.model import ScanError
from flatten.scan.read import read_scan
from flatten.words.say import text, texts
from tests.figures import PLACES, cropped, on, scan_of
from tests.repairs import codes
from tests.scan.scan_files import ply_bytes, xyz_bytes


def tube(length, radius=40.0, *, turn=2 * np.pi):
    """An open tube up the z axis, with edges of 8 mm."""
    heights = np.linspace(0.0, length, max(2, round(length / 8.0)))
    bearings = np.arange(32) * turn / 32
    h, b = (grid.ravel() for grid in np.meshgrid(heights, bearings, indexing="ij"))
    vertices = np.column_stack([radius * np.cos(b), radius * np.sin(b), h])
    row, column = (grid.ravel() for grid in np.meshgrid(np.arange(len(heights) - 1), np.arange(32), indexing="ij"))
    a, c = row * 32 + column, row * 32 + (column + 1) % 32
    return vertices, np.concatenate([np.column_stack([a, c, a + 32]), np.column_stack([c, c + 32, a + 32])])


def test_a_whole_body_is_five_long_parts():
    branches = branches_of(neighbour_graph_of(cropped("whole"), count=4000))
    assert len(branches) == 5
    legs, arms = branches[:2], branches[2:4]
    # Toes to crotch over the skin: 815 mm and a foot; fingertips to armpit: 640 mm less what the chest takes of it.
    assert all(800.0 < branch.length < 1000.0 for branch in legs)
    assert all(400.0 < branch.length < 660.0 for branch in arms)
    for limb in (*legs, *arms):
        assert 60.0 < limb.thick < 150.0
    assert sorted(np.sign(branch.tip[1]) for branch in legs) == [-1.0, 1.0]


def test_without_a_pick_the_limbs_are_listed_with_places_that_pick_them():
    with pytest.raises(LimbError) as caught:
        one_limb(cropped("pair of legs"))
    text = str(caught.value)
    assert text.startswith("the scan shows 2 limbs or other long parts; click the one that is meant on the page")
    lines = [line.strip() for line in text.splitlines()[1:]]
    tips = [tomllib.loads(line)["pick"] for line in lines]
    parts = [one_limb(cropped("pair of legs"), pick=tuple(tip)).points for tip in tips]
    assert len(parts) == 2
    assert np.sign(parts[0][:, 1].mean()) == -np.sign(parts[1][:, 1].mean())


# The watchman looks along +x with his left at +y: who faces him sees his right limbs on the left.
@pytest.mark.parametrize("turn", [0.0, 2.0])
def test_limbs_are_called_by_the_person_s_side_and_by_where_they_are_seen(turn):
    scan = cropped("whole")
    about = np.array([[np.cos(turn), -np.sin(turn), 0.0], [np.sin(turn), np.cos(turn), 0.0], [0.0, 0.0, 1.0]])
    turned = dataclasses.replace(scan, points=scan.points @ about.T, normals=scan.normals @ about.T)
    with pytest.raises(SeveralLimbsError) as caught:
        one_limb(turned)
    error = caught.value
    for limb in error.limbs:
        left = float((limb.place @ about)[1]) > 0.0
        name = text(limb.name)
        if "foot or hand" not in name:
            assert name.startswith(f"the person's {'left' if left else 'right'} ")
            assert name.endswith(f"seen on the {'right' if left else 'left'}")
            assert (float(limb.place @ error.view[0]) > 0.0) == left
    names = [text(limb.name).split("'s ")[-1].split(",")[0] for limb in error.limbs]
    assert sorted(names) == ["a part without foot or hand", "left arm", "left leg", "right arm", "right leg"]


@pytest.mark.parametrize("crop", ["whole", "up to the chest", "pair of legs"])
@pytest.mark.parametrize("name", ["left thigh", "right thigh"])
def test_a_picked_leg_is_that_leg_up_to_the_groin_and_no_more(crop, name):
    part = one_limb(cropped(crop), pick=on(name, 300.0))
    own = PLACES[name].to_limb(part.points)
    assert own[:, 2].min() < 10.0
    # The crotch lies 15 mm above where the tubes begin to flow together; the plane through it leans by some degrees.
    assert 800.0 < own[:, 2].max() < 860.0
    assert np.abs(own[own[:, 2] > 100.0][:, :2]).max() < 110.0
    (told,) = (repair for repair in part.repairs if repair.code == "scan.other limbs")
    assert told.figures["count"] == len(cropped(crop).points) - len(part.points)
    assert len(part.faces) > 1.8 * len(part.points)


def test_nothing_is_told_of_other_limbs_where_the_scan_shows_one_alone():
    leg = one_limb(cropped("pair of legs"), pick=on("left thigh", 300.0))
    alone = dataclasses.replace(leg, repairs=())
    again = one_limb(alone, pick=on("left thigh", 300.0))
    assert len(again.points) == len(alone.points)
    assert again.repairs == ()


@pytest.mark.parametrize("kind", ["lower leg", "forearm"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_lower_legs_and_forearms_of_a_whole_body_are_found(kind, side):
    name = f"{side} {'thigh' if kind == 'lower leg' else 'upper arm'}"
    limb, _ = find_limb(one_limb(cropped("whole"), pick=on(name, 200.0)), kind=kind_named(kind), side=side)
    place = PLACES[name]
    front = place.rows[0] if kind == "lower leg" else -place.rows[0]
    assert limb.frame.axes[2] @ place.rows[2] > np.cos(np.radians(3.0))
    assert limb.frame.axes[0] @ front > np.cos(np.radians(10.0))
    assert not any("mirrored" in caution for caution in texts(limb.findings))


def test_a_picked_limb_keeps_its_own_colours():
    scan = cropped("pair of legs")
    red = np.where(scan.points[:, 1] > 0, 250, 5).astype(np.uint8)
    coloured = dataclasses.replace(scan, colours=np.column_stack([red, red, red]))
    part = one_limb(coloured, pick=on("left thigh", 300.0))
    assert part.colours.shape == part.points.shape
    assert (part.colours == 250).all()


def test_a_point_on_the_trunk_picks_nothing():
    with pytest.raises(LimbError, match="lies on none of the 5 limbs or other long parts, but between them"):
        one_limb(cropped("whole"), pick=(100.0, 0.0, 1200.0))


@pytest.mark.parametrize("slope", [0.0, 1.0])
def test_a_limb_s_upper_stretch_ends_before_it_spreads_into_what_it_hangs_on(slope):
    """A tube of 800 mm that widens from 500 mm on, as a thigh does into a hip."""
    vertices, faces = tube(800.0)
    vertices[:, :2] *= (1.0 + slope * np.clip(vertices[:, 2] - 500.0, 0.0, None) / 40.0)[:, None]
    graph = neighbour_graph_of(scan_of(vertices, faces), count=4000)
    tip = int(np.argmin(graph.places[:, 2]))
    place, line = _upper_stretch(graph, Branch(np.arange(len(graph.places)), graph.places[tip], 800.0, 80.0), tip)
    assert line[2] > np.cos(np.radians(3.0))
    # It is backed off from its end, or from where it begins to spread within a run; a ring less or more each way.
    end = 500.0 - SPREAD_RUN + SPREAD * SPREAD_RUN / slope if slope else 800.0
    assert place[2] == pytest.approx(end - BACK_OFF - STRETCH, abs=2 * RING * graph.step)


@pytest.mark.parametrize("bend", [0.0, 90.0])
def test_one_limb_straight_or_bent_square_is_one(bend):
    vertices, faces = tube(700.0)
    lean = np.radians(bend) * np.clip((vertices[:, 2] - 300.0) / 100.0, 0.0, 1.0)
    along = vertices[:, 2] - 300.0
    step = np.cumsum(np.ones(101)) / 101 * 100.0
    arc = np.stack(
        [np.interp(along, step, np.cumsum(f(np.radians(bend) * step / 100)) * 100 / 101) for f in (np.sin, np.cos)]
    )
    beyond = np.clip(along - 100.0, 0.0, None)
    x = np.where(along > 0, arc[0], 0.0) + beyond * np.sin(lean) + vertices[:, 0] * np.cos(lean)
    z = np.where(along > 0, arc[1], along) + beyond * np.cos(lean) - vertices[:, 0] * np.sin(lean)
    scan = scan_of(np.column_stack([x, vertices[:, 1], z]), faces)
    assert one_limb(scan) is scan


def test_two_tubes_in_a_cloud_are_parted_by_the_pick(tmp_path):
    (a, _), (b, _) = tube(500.0), tube(500.0)
    path = tmp_path / "two.xyz"
    path.write_bytes(xyz_bytes(np.concatenate([a, b + np.array([300.0, 0.0, 0.0])])))
    scan = read_scan(path, unit="mm")
    with pytest.raises(LimbError, match=r"two limbs apart from each other(.|\n)*\n    pick = \[.*\n    pick = \[.*\]"):
        one_limb(scan)
    part = one_limb(scan, pick=(340.0, 0.0, 250.0))
    assert part.points[:, 0].min() > 200.0


def test_of_two_parts_of_like_size_the_picked_one_is_read(tmp_path):
    ball = trimesh.creation.icosphere(subdivisions=4, radius=100.0)
    path = tmp_path / "two.ply"
    vertices = np.concatenate([ball.vertices, ball.vertices + np.array([400.0, 0.0, 0.0])])
    path.write_bytes(ply_bytes(vertices / 10, np.concatenate([ball.faces, ball.faces + len(ball.vertices)])))
    with pytest.raises(ScanError, match=r"two parts of like size .*; click the one that is meant") as caught:
        read_scan(path, unit="cm")
    lines = str(caught.value).splitlines()[1:]
    assert len(lines) == 2
    for line in lines:
        pick = tuple(tomllib.loads(line)["pick"])
        scan = read_scan(path, unit="cm", pick=pick)
        assert np.ptp(scan.points[:, 0]) == pytest.approx(200.0, abs=1.0)
        assert abs(scan.points[:, 0].mean() - 10 * pick[0]) < 101.0
        assert set(dict(codes(scan.repairs))) == {"fragments"}


def test_a_pick_far_from_the_scan_is_told_with_its_distance(tmp_path):
    path = tmp_path / "one.ply"
    path.write_bytes(ply_bytes(*tube(400.0)))
    with pytest.raises(ScanError, match=r"lies 460 mm away from the nearest part of one\.ply"):
        read_scan(path, unit="mm", pick=(500.0, 0.0, 199.0))


@pytest.mark.parametrize("lost", [0, 1])
def test_of_two_legs_both_are_named_where_one_has_lost_its_foot(lost):
    points = cropped("pair of legs").points
    sides = points[:, 1] > np.median(points[:, 1])
    legs = [points[sides], points[~sides]]
    whole = [text(limb.name) for limb in seen_limbs(legs, [leg.mean(axis=0) for leg in legs])[0]]
    legs[lost] = legs[lost][legs[lost][:, 2] > legs[lost][:, 2].min() + 90.0]
    named = [text(limb.name) for limb in seen_limbs(legs, [leg.mean(axis=0) for leg in legs])[0]]
    assert named == whole
    assert all("the person's" in name for name in whole)
