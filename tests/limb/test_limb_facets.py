"""Scans of few large faces: what they leave short of a girth, by closed forms and by meshes with faces taken away."""

from dataclasses import replace

import fast_simplification
import numpy as np
import pytest
from limb_shapes import cylinder, points_of

from flatten.limb.artefacts.facets import SOME, facet_findings, girth_short
from flatten.limb.find import find_limb
from flatten.limb.kind import kind_named
from flatten.limb.model import Frame
from flatten.limb.surface.fit import fit_surface
from flatten.scan.model import Scan
from flatten.scan.read import read_scan
from flatten.words.say import texts
from tests.damage import known, section
from tests.scan import scan_files as files
from tests.sections import girths_in_plane

RADIUS, LENGTH = 50.0, 300.0


def prism(sides, rows):
    """A cylinder's scan whose corners lie on the skin, as a prism of so many sides."""
    turn, up = np.meshgrid(2 * np.pi * np.arange(sides) / sides, np.linspace(0, LENGTH, rows + 1))
    points = np.column_stack([RADIUS * np.cos(turn.ravel()), RADIUS * np.sin(turn.ravel()), up.ravel()])
    row, column = (each.ravel() for each in np.meshgrid(np.arange(rows), np.arange(sides), indexing="ij"))
    a, b = row * sides + column, row * sides + (column + 1) % sides
    faces = np.concatenate([np.stack([a, b, b + sides], 1), np.stack([a, b + sides, a + sides], 1)])
    return Scan("t", points, np.zeros_like(points), faces, "mm", "given", 1.0, len(faces), ())


@pytest.mark.parametrize(("sides", "rows"), [(12, 3), (24, 30), (60, 10)])
def test_a_prisms_girth_is_short_by_what_is_told(sides, rows):
    surface = fit_surface(points_of(cylinder, length=LENGTH), heights=(0.0, LENGTH))
    told = girth_short(prism(sides, rows), surface, frame=Frame(np.zeros(3), np.eye(3)))
    # A side lies R·(1 − cos(π/n)) deep in its middle and two thirds of that on average: R·(π/n)²/3, and less by a
    # term that is (π/n)² times as large.
    depth = RADIUS * (np.pi / sides) ** 2 / 3
    assert told == pytest.approx(2 * np.pi * depth, rel=(np.pi / sides) ** 2)


def test_of_many_faces_each_counts_by_its_area():
    surface = fit_surface(points_of(cylinder, length=LENGTH), heights=(0.0, LENGTH))
    # The lower third of many small faces, the rest of few large ones.
    fine, coarse = prism(240, 80), prism(24, 4)
    points = np.concatenate([fine.points * [1, 1, 1 / 3], coarse.points * [1, 1, 2 / 3] + [0, 0, LENGTH / 3]])
    faces = np.concatenate([fine.faces, coarse.faces + len(fine.points)])
    assert len(faces) > SOME
    scan = Scan("t", points, np.zeros_like(points), faces, "mm", "given", 1.0, len(faces), ())
    told = girth_short(scan, surface, frame=Frame(np.zeros(3), np.eye(3)))
    third, rest = (2 * np.pi * RADIUS * (np.pi / sides) ** 2 / 3 for sides in (240, 24))
    # One face more or less of the coarse part's share, and the higher order of the closed form.
    assert told == pytest.approx(third / 3 + rest * 2 / 3, rel=1.5 / SOME + (np.pi / 24) ** 2)


def test_faces_far_inside_the_skin_count_for_nothing():
    surface = fit_surface(points_of(cylinder, length=LENGTH), heights=(0.0, LENGTH))
    skin = prism(24, 30)
    inner = skin.points * [0.4, 0.4, 1.0]
    both = replace(
        skin,
        points=np.concatenate([skin.points, inner]),
        faces=np.concatenate([skin.faces, skin.faces + len(inner)]),
    )
    frame = Frame(np.zeros(3), np.eye(3))
    assert girth_short(both, surface, frame=frame) == pytest.approx(girth_short(skin, surface, frame=frame))


def test_a_cloud_has_no_faces_to_doubt():
    points = points_of(cylinder)
    surface = fit_surface(points, heights=(0.0, LENGTH))
    cloud = Scan("t", points, np.zeros_like(points), np.empty((0, 3), np.int64), "mm", "given", 1.0, 0, ())
    assert girth_short(cloud, surface, frame=Frame(np.zeros(3), np.eye(3))) == 0.0
    outside = replace(prism(12, 3), points=prism(12, 3).points + np.array([0.0, 0.0, 2 * LENGTH]))
    assert girth_short(outside, surface, frame=Frame(np.zeros(3), np.eye(3))) == 0.0


@pytest.mark.parametrize("name", ["leg_a_clean", "harbour_watch_left_forearm"])
@pytest.mark.parametrize("count", [4000, 1500])
def test_girths_of_a_mesh_with_faces_taken_away_lie_within_what_is_told(name, count, tmp_path):
    body = known(name)
    vertices, faces = fast_simplification.simplify(body.vertices, body.faces, target_count=count)
    (tmp_path / "few.ply").write_bytes(files.ply_bytes(vertices, faces))
    scan = read_scan(tmp_path / "few.ply", unit="mm")
    limb, surface = find_limb(scan, kind=kind_named(body.kind), side=body.side)
    short = girth_short(scan, surface, frame=limb.frame)
    errors = []
    for height in np.linspace(body.girths[0] + 5.0, body.girths[1] - 5.0, 14):
        place = body.origin + height * body.axis
        found = girths_in_plane(limb, surface, place, body.axis)
        if found is not None:
            errors.append(found[1] - section(body.vertices, body.faces, place, body.axis)[1])
    # What a phone's noise may cost besides, 0.5 mm, is allowed for on both sides.
    assert len(errors) >= 10
    assert -short - 0.5 < min(errors)
    assert max(errors) < 0.5
    told = " ".join(texts(limb.findings))
    assert ("large and flat where the skin is round" in told) == (short > 0.5)


def test_little_is_not_told():
    assert facet_findings(0.4) == ()
    assert "up to 2.1 mm greater" in texts(facet_findings(2.14))[0]
