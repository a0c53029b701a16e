"""The public face: its examples run, it takes arrays and trimesh alike, and answers as the closed forms do."""

import doctest
import subprocess
import sys
from importlib.resources import files

import numpy as np
import pytest
import trimesh

import flatten
from flatten import api
from flatten.errors import CalfskinError
from flatten.mesh.disk import DiskError
from flatten.mesh.surface import MeshError


def test_every_public_function_has_an_example_that_holds():
    finder = doctest.DocTestFinder(exclude_empty=False)
    examples = {each.name.removeprefix("flatten.api."): each for each in finder.find(api)}
    for name in ("measure", "make", "lay_flat", "least_spread"):
        assert examples[name].examples, name
    assert doctest.testmod(api).failed == 0


def test_importing_the_package_loads_no_solver_and_its_names_are_there():
    code = (
        "import sys, flatten; assert 'scipy' not in sys.modules; "
        "import flatten.making; print([getattr(flatten, name).__name__ for name in flatten.__all__])"
    )
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert told.strip() == str(flatten.__all__)
    with pytest.raises(AttributeError, match="no attribute 'solve'; it has FlatMesh"):
        _ = flatten.solve


def cap(angle, rings=14, around=48):
    """A cap of the unit ball from its top down to `angle` (rad), as a trimesh."""
    turn = np.linspace(0, 2 * np.pi, around, endpoint=False)
    down = np.repeat(np.linspace(0, angle, rings + 1)[1:], around)
    rim = np.stack([np.sin(down) * np.tile(np.cos(turn), rings), np.sin(down) * np.tile(np.sin(turn), rings)], 1)
    points = np.concatenate([[[0, 0, 1.0]], np.column_stack([rim, np.cos(down)])])
    here, onward = np.arange(around), np.roll(np.arange(around), -1)
    faces = [np.stack([0 * here, 1 + here, 1 + onward], 1)]
    for ring in range(rings - 1):
        low, high = 1 + around * ring, 1 + around * (ring + 1)
        faces += [np.stack([low + here, high + here, high + onward], 1)]
        faces += [np.stack([low + here, high + onward, low + onward], 1)]
    return trimesh.Trimesh(points, np.concatenate(faces), process=False)


def test_a_cap_lies_between_what_no_map_beats_and_little_more():
    """The least spread of a cap is log(a / sin a) (Milnor, Amer. Math. Monthly 76(10), 1969)."""
    ball, least = cap(0.6), np.log(0.6 / np.sin(0.6))
    bound = flatten.least_spread(ball)
    free = flatten.lay_flat(ball)
    four = dict.fromkeys(("stretch_along", "stretch_across", "squeeze_along", "squeeze_across"), 0.04)
    wide = flatten.lay_flat(ball, limits=four)
    assert 0.9 * least < bound <= least
    assert bound <= wide.spread < free.spread
    assert wide.excess <= 0.0
    assert free.excess is None
    assert wide.stretch.max() <= 1.04 + 1e-9
    assert wide.stretch.min() >= 0.96 - 1e-9
    # Worn / flat: a middle that is stretched and a rim that is squeezed, as on every dome.
    middle, rim = wide.stretch[0].mean(), wide.stretch[-1].mean()
    assert middle > 1.0 > rim


def test_arrays_and_a_trimesh_are_one():
    ball = cap(0.4)
    one, other = flatten.lay_flat(ball), flatten.lay_flat((ball.vertices.tolist(), ball.faces.tolist()))
    np.testing.assert_array_equal(one.uv, other.uv)
    assert not one.uv.flags.writeable


def test_what_is_no_disk_is_named():
    with pytest.raises(DiskError, match="closed; cut a seam"):
        flatten.lay_flat(trimesh.creation.icosphere())
    with pytest.raises(DiskError, match="closed; cut a seam"):
        flatten.least_spread(trimesh.creation.icosphere())
    with pytest.raises(CalfskinError, match="vertices must be"):
        flatten.lay_flat(([[0, 0], [1, 0], [0, 1]], [[0, 1, 2]]))
    for broken in (([[0, 0, 0], [1, 0]], [[0, 1, 2]]), "ball.ply", ([[0, 0, 0]],)):
        with pytest.raises(MeshError, match="give an object with vertices"):
            flatten.lay_flat(broken)
    with pytest.raises(MeshError, match="whole numbers of vertices, found float64"):
        flatten.lay_flat(([[0, 0, 0], [1, 0, 0], [0, 1, 0]], [[0, 1, 2.5]]))
    with pytest.raises(CalfskinError, match="leather limits are 'soft'"):
        flatten.lay_flat(cap(0.3), limits="soft")


def test_a_limb_is_scaled_by_its_tape_and_a_wrong_argument_is_named():
    scan = files("cli.meshes") / "harbour_watch_left_shin.ply"
    plain, taped = flatten.measure(scan), flatten.measure(scan, tapes=[("widest", 400.0)])
    was, now = ({girth.name: girth.girth for girth in limb.girths}["widest"] for limb in (plain, taped))
    assert now == pytest.approx(400.0, abs=0.1)
    assert taped.scale / plain.scale == pytest.approx(400.0 / was, rel=1e-3)
    assert any("No tape girth was given" in said for said in plain.findings)
    assert not any("No tape girth was given" in said for said in taped.findings)
    with pytest.raises(ValueError, match="limb"):
        flatten.measure(scan, limb="tail")
