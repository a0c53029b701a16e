"""The former's face: where the leather's inner face is, how much further it bends, where edges come to lie on it."""

from dataclasses import replace

import numpy as np
import pytest

from flatten.former.face import face_of, radii, section
from flatten.former.model import FormerError
from flatten.limb.girths.girth import section_girth
from flatten.worn.curves import Seam
from tests.former.former_case import BACK, OFFSET, SHIN, SPAN, WEAR, dressed_on
from tests.limbs import cone, cylinder


def test_face_of_a_cylinder_is_under_and_ease_outside_the_skin():
    face = face_of(cylinder(50.0, high=200.0), WEAR, span=SPAN, past=25.0, springback=0.0)
    assert (face.low, face.high, face.short) == (-5.0, 145.0, (0.0, 0.0))
    assert section_girth(face.surface, 100.0) == pytest.approx(2 * np.pi * (50.0 + OFFSET), abs=0.01)


def test_leather_is_formed_over_the_room_of_its_lining():
    skin, lined = cylinder(50.0, high=200.0), replace(WEAR, lining=1.5)
    face = face_of(skin, lined, span=SPAN, past=25.0, springback=0.0)
    assert section_girth(face.surface, 100.0) == pytest.approx(2 * np.pi * (50.0 + OFFSET + 1.5), abs=0.01)


def test_face_lies_half_the_leather_inside_the_neutral_surface():
    """Along its normals, on a calf: the surface that flat pieces are cut from less the share inside it."""
    face, worn, _, _ = dressed_on(SHIN)
    heights, bearings = np.meshgrid(np.linspace(20.0, 110.0, 12), np.linspace(0.0, 6.0, 20))
    points = worn.points(heights.ravel(), bearings.ravel())
    inside = points - 0.5 * WEAR.thickness * worn.normals(heights.ravel(), bearings.ravel())
    _, off = face.inner.apart(inside)
    assert np.abs(off).max() < 0.02


@pytest.mark.parametrize("springback", [0.03, 0.2])
def test_springback_leaves_a_cylinder_its_radius(springback):
    """R' = R / (1 - s): leather formed to the former's radius opens to the piece's own."""
    face = face_of(cylinder(50.0, high=200.0), WEAR, span=SPAN, past=25.0, springback=springback)
    formed = section_girth(face.surface, 100.0) / (2 * np.pi)
    assert formed / (1.0 - springback) == pytest.approx(50.0 + OFFSET, abs=0.002)
    assert formed < 50.0 + OFFSET


def test_leather_keeps_its_length_round_a_former_that_is_bent_further():
    """Each edge's way from the leather's middle is the same on the former and on the piece's inner face."""
    face, _, panels, bent = dressed_on(SHIN, springback=0.04)
    _, _, _, straight = dressed_on(SHIN)
    assert len(bent) == len(straight) == 4

    middle = 0.5 * (panels[0].bearings.min() + panels[0].bearings.max())

    def way(surface, height, end):
        turns = np.linspace(middle, end, 2001)
        return float(np.linalg.norm(np.diff(surface.points(np.full(turns.shape, height), turns), axis=0), axis=1).sum())

    for on_former, on_piece in zip(bent, straight, strict=True):
        for k in range(0, len(on_former), max(1, len(on_former) // 5)):
            (height, turned), (same, bearing) = on_former[k], on_piece[k]
            assert height == same
            long = way(face.inner, height, bearing)
            assert way(face.surface, height, turned) == pytest.approx(long, abs=0.02 + 1e-4 * long)
            assert np.sign(turned - bearing) == np.sign(bearing - middle) or abs(bearing - middle) < 1e-6


def test_edges_of_two_panels_each_keep_their_own_middle():
    seams = (BACK, Seam("front", "laced", 20.0, np.array([0.0]), np.array([0.0])))
    skin = cylinder(50.0, high=200.0)
    _, _, panels, bent = dressed_on(skin, springback=0.04, seams=seams)
    _, _, _, straight = dressed_on(skin, seams=seams)
    assert len(panels) == 2
    for number in range(2):
        own, before = (np.vstack(lines[4 * number : 4 * number + 4])[:, 1] for lines in (bent, straight))
        middle = 0.5 * (before.min() + before.max())
        np.testing.assert_allclose(own - middle, (before - middle) / 0.96, atol=1e-3)


def test_ends_are_cut_short_where_the_scan_is():
    skin = cylinder(50.0, low=0.0, high=200.0)
    face = face_of(skin, WEAR, span=(10.0, 160.0), past=25.0, springback=0.0)
    assert face.low == pytest.approx(1.0)
    assert face.short == (pytest.approx(16.0), 0.0)


def test_inside_of_a_cone_lies_its_wall_away_along_the_normals():
    skin = cone(40.0, slope=0.3, high=200.0)
    bearings = np.linspace(0.0, 6.0, 7)
    inside = section(skin, 100.0, bearings, inset=5.0)
    # The distance of a point at radius r from a cone's side at radius R of the same height: (R - r) cos(half angle).
    apart = (70.0 - np.hypot(*inside.T)) * np.cos(np.arctan(0.3))
    np.testing.assert_allclose(apart, 5.0, atol=1e-6)


def test_a_wall_that_leaves_no_inside_is_refused():
    skin = cylinder(30.0)
    with pytest.raises(FormerError, match="28 mm of wall or cover leave no inside to the former at height 50 mm"):
        radii(skin, np.array([50.0]), np.array([0.0]), inset=28.0)
