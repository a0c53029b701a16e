"""Two layers of points on limbs with a formula, and on known limbs whose scan holds a part of them twice."""

import re

import numpy as np
import pytest
import trimesh
from limb_shapes import calf, cylinder, points_of

from flatten.limb.artefacts.doubled import _split, double_layer_in
from flatten.limb.find import find_limb
from flatten.limb.kind import kind_named
from flatten.limb.surface.fit import fit_surface
from flatten.limb.surface.model import LimbSurface
from flatten.scan.read import read_scan
from flatten.words.say import texts
from tests.damage import NAMES, UPPER_NAMES, known, section
from tests.scan import scan_files as files
from tests.sections import girths_in_plane


def fitted(points) -> LimbSurface:
    return fit_surface(points, heights=(0.0, 300.0))


def pushed(points, by):
    """Half of the points, heights 60 to 240 mm and bearings −90° to 90°, pushed in direction 0 by so many mm."""
    rng = np.random.default_rng(1)
    front = (points[:, 0] > 0) & (np.abs(points[:, 2] - 150.0) < 90.0) & (rng.random(len(points)) < 0.5)
    return points + np.where(front, by, 0.0)[:, None] * np.array([1.0, 0.0, 0.0])


@pytest.mark.parametrize("shape", [cylinder, calf])
@pytest.mark.parametrize("noise", [0.0, 0.3])
@pytest.mark.parametrize("count", [3_000, 40_000])
def test_one_layer_is_none(shape, noise, count):
    points = points_of(shape, count=count)
    points = points + np.random.default_rng(0).normal(0, noise, points.shape)
    assert double_layer_in(points, fitted(points)) is None


@pytest.mark.parametrize("by", [2.0, 3.0])
@pytest.mark.parametrize("noise", [0.0, 0.3])
def test_half_a_turn_that_lies_twice_is_told_by_place_and_distance(by, noise):
    whole = points_of(cylinder, count=40_000)
    points = pushed(whole, by) + np.random.default_rng(0).normal(0, noise, whole.shape)
    layers = double_layer_in(points, fitted(whole))
    assert layers is not None
    assert (layers.low, layers.high) == pytest.approx((60.0, 240.0), abs=15.0)
    assert layers.bearing == pytest.approx(0.0, abs=0.2)
    assert layers.apart == pytest.approx(by, rel=0.1)


def test_a_girth_is_unsure_by_what_half_an_outline_pushed_aside_adds():
    # A half circle pushed aside leaves two straights between the halves: the hull's length grows by twice the way.
    half = np.linspace(-np.pi / 2, np.pi / 2, 1001)
    circle = np.column_stack([50.0 * np.cos(half), 50.0 * np.sin(half)])
    both = np.vstack([circle + np.array([3.0, 0.0]), -circle])
    grown = trimesh.path.polygons.Polygon(both).convex_hull.length - 2 * np.pi * 50.0
    layers = double_layer_in(pushed(points_of(cylinder, count=40_000), 3.0), fitted(points_of(cylinder)))
    assert layers.girth_error == pytest.approx(grown, rel=0.1)


def test_values_are_parted_where_they_spread_least():
    rng = np.random.default_rng(3)
    one, two, few = (
        rng.uniform(0, 1, 4000),
        np.concatenate([rng.normal(0, 0.1, 3000), rng.normal(5, 0.1, 7000)]),
        [1.0, 9.0],
    )
    cell = np.repeat([0, 2, 3], [len(one), len(two), len(few)])
    mixed = rng.permutation(len(cell))
    apart, cleft, share = _split(cell[mixed], np.concatenate([one, two, few])[mixed], count=4)
    # An even spread falls into halves: their means half of it apart, each 1/√12 of a half wide.
    assert (apart[0], cleft[0], share[0]) == pytest.approx((0.5, 2 * np.sqrt(3), 0.5), rel=0.05)
    assert (apart[2], cleft[2], share[2]) == pytest.approx((5.0, 50.0, 0.3), rel=0.1)
    assert (apart[1], apart[3]) == (0.0, 0.0)


@pytest.mark.parametrize("name", [NAMES[0], UPPER_NAMES[0]])
def test_a_limb_that_moved_between_two_passes_is_told_and_its_girths_are_as_unsure_as_is_said(tmp_path, name):
    limb = known(name)
    heights = (limb.vertices - limb.origin) @ limb.axis
    aside = np.cross(limb.axis, limb.front)
    seen = ((limb.vertices - limb.origin) @ limb.front > 0) & (np.abs(heights - 200.0) < 150.0)
    twice = limb.faces[seen[limb.faces].all(axis=1)]
    vertices = np.concatenate([limb.vertices, limb.vertices + 2.5 * (0.8 * limb.front + 0.6 * aside)])
    mesh = trimesh.Trimesh(vertices, np.concatenate([limb.faces, twice + len(limb.vertices)]), process=False)
    points = np.asarray(trimesh.sample.sample_surface(mesh, 60_000, seed=1)[0])
    path = tmp_path / "passes.xyz"
    path.write_bytes(files.xyz_bytes(np.round(points, 4)))
    found, skin = find_limb(read_scan(path, unit="mm"), kind=kind_named(limb.kind), side=limb.side)
    (told,) = (caution for caution in texts(found.findings) if "in two layers" in caution)
    unsure = float(re.search(r"up to (\d+) mm off", told)[1])
    judged = 0
    for height in np.linspace(80.0, 320.0, 9):
        place = limb.origin + height * limb.axis
        girths = girths_in_plane(found, skin, place, limb.axis)
        if girths is not None:
            assert abs(girths[1] - section(limb.vertices, limb.faces, place, limb.axis)[1]) <= unsure
            judged += 1
    assert judged >= 5
