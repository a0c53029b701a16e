"""The demo scans: made again by their script, of a believable size, and what their truth says they are."""

import json
from pathlib import Path

import make_demo
import numpy as np
import parametric
import pytest
from scipy.spatial import ConvexHull, cKDTree

from flatten.scan.read import read_scan
from flatten.units import MM_PER_UNIT
from tests.repairs import codes

MESHES = Path(__file__).parent.parent / "meshes"

RECIPES = {recipe.body.name: recipe for recipe in make_demo.RECIPES}
LEFT, RIGHT, ARM = (f"harbour_watch_{limb}" for limb in ("left_shin", "right_shin", "left_forearm"))
SCANS = {name: MESHES / f"{name}.{recipe.ending}" for name, recipe in RECIPES.items()}

# Gordon et al., NATICK/TR-15/007, 2014; figures computed from the public data file: 5th and 95th percentile, mm,
# of men (left shin, forearm) and women (right shin).
ANSUR_MEN = {
    "calf circumference": (346, 443),
    "ankle circumference": (206, 254),
    "lower thigh circumference": (359, 463),
    "tibial height": (426, 513),
    "lateral malleolus height": (64, 83),
    "forearm circumference, flexed": (275, 348),
    "wrist circumference": (162, 191),
    "radiale-stylion length": (244, 295),
}
ANSUR_WOMEN = {
    "calf circumference": (328, 423),
    "ankle circumference": (193, 242),
    "lower thigh circumference": (347, 465),
    "tibial height": (399, 479),
    "lateral malleolus height": (54, 71),
}
# The same source: mean and standard deviation.
CALF_BY_ANKLE = {LEFT: (1.7106, 0.0747), RIGHT: (1.7313, 0.0860)}
FOREARM_BY_WRIST = (1.7625, 0.0863)


def truth_of(name):
    return json.loads((MESHES / f"{name}.json").read_text("utf8"))


def assert_alike(old, new, *, within):
    if isinstance(old, dict):
        assert old.keys() == new.keys()
        for key in old:
            assert_alike(old[key], new[key], within=within)
    elif isinstance(old, list):
        assert len(old) == len(new)
        for one, other in zip(old, new, strict=True):
            assert_alike(one, other, within=within)
    elif isinstance(old, str):
        assert old == new
    else:
        assert old == pytest.approx(new, abs=within)


def in_limb_coordinates(name, scan):
    truth = truth_of(name)
    matrix = np.linalg.inv(np.array(truth["limb_to_file"]))
    return scan.points / MM_PER_UNIT[scan.unit] @ matrix[:3, :3].T + matrix[:3, 3]


@pytest.fixture(scope="module", params=sorted(RECIPES))
def case(request):
    return request.param, read_scan(SCANS[request.param])


@pytest.mark.parametrize(("name", "ansur"), [(LEFT, ANSUR_MEN), (RIGHT, ANSUR_WOMEN)])
def test_a_shin_has_the_sizes_of_a_body(name, ansur):
    body = RECIPES[name].body
    marks = parametric.landmarks(body)
    sizes = {
        "calf circumference": parametric.tape(body, marks["widest"]),
        "ankle circumference": parametric.tape(body, marks["ankle"]),
        "lower thigh circumference": parametric.tape(body, marks["kneecap top"]),
        "tibial height": marks["knee"],
        "lateral malleolus height": marks["outer ankle bone"],
    }
    for dimension, size in sizes.items():
        low, high = ansur[dimension]
        assert low <= size <= high, dimension
    mean, deviation = CALF_BY_ANKLE[name]
    assert abs(sizes["calf circumference"] / sizes["ankle circumference"] - mean) < 2 * deviation


def test_the_forearm_has_the_sizes_of_a_body():
    body = RECIPES[ARM].body
    marks = parametric.landmarks(body)
    sizes = {
        "forearm circumference, flexed": parametric.tape(body, marks["widest"]),
        "wrist circumference": parametric.tape(body, marks["wrist bone"]),
        "radiale-stylion length": marks["elbow"] - marks["wrist bone"],
    }
    for dimension, size in sizes.items():
        low, high = ANSUR_MEN[dimension]
        assert low <= size <= high, dimension
    mean, deviation = FOREARM_BY_WRIST
    assert abs(sizes["forearm circumference, flexed"] / sizes["wrist circumference"] - mean) < 2 * deviation


@pytest.mark.parametrize("name", sorted(RECIPES))
def test_the_committed_truth_is_what_the_script_computes(name):
    # Rounding, to the 0.01 mm that the file gives; another processor may differ in the last digit.
    assert_alike(truth_of(name), make_demo.truth(RECIPES[name]), within=0.011)


def test_the_forearm_is_made_again_by_its_script(tmp_path):
    path = tmp_path / SCANS[ARM].name
    path.write_bytes(make_demo.file_bytes(RECIPES[ARM]))
    old, new = read_scan(SCANS[ARM]), read_scan(path)
    assert len(old.faces) == len(new.faces)
    # The file's coordinates end at 0.01 mm.
    assert cKDTree(old.points).query(new.points)[0].max() <= 0.02


def test_all_of_it_is_below_three_megabytes():
    assert sum(path.stat().st_size for path in MESHES.iterdir() if path.is_file()) < 3e6


def test_the_tube_is_exact_above_foot_and_hand(case):
    name, scan = case
    body, recipe = RECIPES[name].body, RECIPES[name]
    points = in_limb_coordinates(name, scan)
    zero = parametric.landmarks(body)["ankle" if body.floor else "wrist"]
    points = points[points[:, 2] > 0] + [0, 0, zero]
    across = points[:, :2] - parametric.centre(body, points[:, 2])
    bearings = np.arctan2(across[:, 1], across[:, 0])
    away = np.linalg.norm(across, axis=1) - parametric.radius(body, points[:, 2], bearings)
    # The noise that was put in, and nothing else: its rms within the sampling error of 90 waves (1/sqrt(90)).
    wanted = np.hypot(recipe.waves, recipe.grain)
    assert away.std() == pytest.approx(wanted, rel=2 / np.sqrt(90))


@pytest.mark.parametrize("name", sorted(RECIPES))
def test_the_radius_grows_less_than_the_height(name):
    body = RECIPES[name].body
    heights = np.arange(parametric.landmarks(body)["ankle" if body.floor else "wrist"], body.top, 1.0)
    rows, columns = np.meshgrid(heights, np.linspace(0, 2 * np.pi, 180), indexing="ij")
    assert np.abs(np.diff(parametric.radius(body, rows, columns), axis=0)).max() <= 1.0


def test_the_grooved_calf_parts_the_tape_from_the_skin():
    body = RECIPES[RIGHT].body
    widest = parametric.landmarks(body)["widest"]
    assert parametric.girth(body, widest) - parametric.tape(body, widest) > 2.0


def test_a_tape_on_the_scan_reads_the_scanned_girth(case):
    name, scan = case
    points = in_limb_coordinates(name, scan)
    widest = truth_of(name)["landmarks"]["widest"]
    read = next(girth for girth in truth_of(name)["girths"] if girth["height"] == widest)
    band = points[np.abs(points[:, 2] - widest) < 4.0]
    # The hull of a band stands out of the true section by the grain's highest points: below four deviations all round.
    excess = ConvexHull(band[:, :2]).area - read["scanned_tape"]
    assert -1.0 < excess < 2 * np.pi * 4 * RECIPES[name].grain


def test_a_shin_reaches_far_enough_above_the_knee():
    for name in (LEFT, RIGHT):
        body = RECIPES[name].body
        assert body.top - body.marks["kneecap top"] >= 100


def test_the_floor_is_found_under_the_shins_and_not_under_the_arm(case):
    name, scan = case
    assert ("floor" in dict(codes(scan.repairs))) == (name != ARM)
    assert scan.unit == truth_of(name)["unit"]


def test_sides_are_mirror_images():
    # (front, lateral, axis) is right-handed on a left leg and on a right arm.
    for name in RECIPES:
        truth = truth_of(name)
        hand = np.linalg.det([truth["axes_in_file"][key] for key in ("front", "lateral", "axis")])
        expected = 1.0 if (truth["limb"] == "lower leg") == (truth["side"] == "left") else -1.0
        assert hand == pytest.approx(expected)
