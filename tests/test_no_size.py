"""A scan that has no size of its own is read at any size, and its size is that of the tapes."""

from pathlib import Path

import numpy as np
import pytest
import trimesh

from flatten.job.text import job_of
from flatten.limb.girths.girth import tape_girth
from flatten.measuring import measure, read
from flatten.scan.unit import NoSizeError, longest_side
from flatten.steps import quietly

ARM = Path(__file__).parent.parent / "meshes" / "harbour_watch_left_forearm.obj"
GIRTH = 292.0
"""mm. The widest girth by tape, as the demo has it."""

LONG = (0.3, 1.0, 437.0, 5000.0, 7.1e6)
"""Lengths of the file in units of nothing."""


def settings(*tapes, unit="none"):
    scan = {"file": "arm.obj", "limb": "forearm", "side": "left", "unit": unit, "tape": list(tapes)}
    return job_of({"scan": scan}, name="the test").scan


def measured(folder, long, *tapes):
    mesh = trimesh.load_mesh(ARM, process=False)
    size = longest_side(mesh.vertices)
    lines = [*("v {!r} {!r} {!r}".format(*place) for place in (mesh.vertices * (long / size)).tolist())]
    lines += ["f {} {} {}".format(*face) for face in (mesh.faces + 1).tolist()]
    (folder / "arm.obj").write_text("\n".join(lines) + "\n", "ascii")
    return measure(settings(*tapes), folder=folder, announce=quietly)


@pytest.fixture(scope="module")
def first(tmp_path_factory):
    return measured(tmp_path_factory.mktemp("first"), LONG[0], {"girth": GIRTH})


def codes(found):
    return {each.code: each for each in found.findings}


@pytest.mark.parametrize(
    "long", [LONG[-2], *(pytest.param(long, marks=pytest.mark.full) for long in LONG[1:-2]), LONG[-1]]
)
def test_the_limb_is_the_same_whatever_the_size_of_its_file(first, tmp_path, long):
    found = measured(tmp_path, long, {"girth": GIRTH})
    low, high = first.skin.trusted
    np.testing.assert_allclose(found.skin.trusted, first.skin.trusted, rtol=1e-6)
    heights = np.linspace(low + 1.0, high - 1.0, 40)
    around = np.linspace(0.0, 2 * np.pi, 24)
    radii = [one.skin.radius(heights[:, None], around) for one in (first, found)]
    np.testing.assert_allclose(radii[1], radii[0], rtol=1e-6)
    assert [mark.height for mark in found.limb.landmarks] == pytest.approx(
        [m.height for m in first.limb.landmarks], rel=1e-6
    )
    # One unit of the file is so many mm.
    assert found.scan.scale * long == pytest.approx(first.scan.scale * LONG[0], rel=1e-6)


def test_the_tape_s_girth_is_the_limb_s(first):
    assert tape_girth(first.skin, first.limb.height_of("widest")) == pytest.approx(GIRTH, abs=0.01)
    assert (first.scan.unit, first.scan.unit_from) == ("none", "none")


def test_a_second_tape_is_asked_for_and_then_compared(first, tmp_path):
    alone = codes(first)["tape.alone"]
    assert (alone.severity, alone.figures["at"]) == ("look", "widest")
    wrist = tape_girth(first.skin, 0.0)
    both = codes(measured(tmp_path, 5.0, {"girth": GIRTH}, {"at": "wrist", "girth": 1.02 * wrist}))
    assert "tape.alone" not in both
    assert "tape.contradict" not in both


def test_of_two_that_contradict_each_other_one_makes_nobody_s_arm(first, tmp_path):
    # Half of the wrist's girth, 84 mm, would be that of an arm whose wrist nobody has.
    found = measured(tmp_path, 5.0, {"girth": GIRTH}, {"at": "wrist", "girth": 0.5 * tape_girth(first.skin, 0.0)})
    told = codes(found)["tape.contradict"]
    assert (told.severity, told.figures["why"]) == ("stop", "body")
    assert found.scan.scale * 5.0 == pytest.approx(first.scan.scale * LONG[0], rel=1e-6)


def test_without_a_tape_it_is_asked_for_one_by_lines_to_paste(tmp_path):
    (tmp_path / "arm.obj").write_bytes(b"")
    with pytest.raises(NoSizeError, match=r'\[\[scan.tape\]\]\nat = "widest"\ngirth = "386 mm"') as caught:
        read(settings(), path=tmp_path / "arm.obj", announce=quietly)
    assert "on the page" in str(caught.value)
    assert '--tape "386 mm"' in str(caught.value)
