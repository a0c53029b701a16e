import igl
import numpy as np
import pytest

from flatten.mesh.region import InnerLine, mesh_region, opened
from flatten.mesh.surface import MeshError


def line(p, q):
    return lambda u: np.outer(1 - u, p) + np.outer(u, q)


def arc(radius, start, end):
    return lambda u: radius * np.column_stack([np.cos(start + u * (end - start)), np.sin(start + u * (end - start))])


def polygon(*corners):
    return [line(p, q) for p, q in zip(corners, corners[1:] + corners[:1], strict=True)]


def least_angle(region):
    return np.degrees(igl.internal_angles(region.points, region.faces).min())


@pytest.mark.parametrize("size", [3.0, 8.0])
def test_a_disc_is_filled_with_well_shaped_triangles(size):
    region = mesh_region([arc(100.0, 0, np.pi), arc(100.0, np.pi, 2 * np.pi)], size=size)
    count = sum(len(side.vertices) - 1 for side in region.sides)
    inscribed = 0.5 * count * 100.0**2 * np.sin(2 * np.pi / count)
    assert 0.5 * igl.doublearea(region.points, region.faces).sum() == pytest.approx(inscribed, rel=1e-6)
    assert least_angle(region) > 20.0
    (ax, ay), (bx, by) = ((region.points[region.faces[:, k]] - region.points[region.faces[:, 0]]).T for k in (1, 2))
    assert (ax * by - ay * bx > 0).all()
    assert len(region.points) - len(igl.edges(region.faces)) + len(region.faces) == 1


def test_every_boundary_segment_is_an_edge_and_no_longer_than_asked():
    region = mesh_region(polygon((0, 0), (90, 0), (90, 40), (0, 40)), size=4.0)
    loop = igl.boundary_loop(region.faces)
    around = np.concatenate([side.vertices[:-1] for side in region.sides])
    start = np.flatnonzero(loop == around[0])[0]
    np.testing.assert_array_equal(np.roll(loop, -start), around)
    steps = np.linalg.norm(np.diff(region.points[np.append(around, around[0])], axis=0), axis=1)
    assert steps.max() <= 4.0 + 1e-9


def test_a_slanting_straight_side_gets_no_faces_without_area():
    turned = [(x * 0.6 - y * 0.8, x * 0.8 + y * 0.6) for x, y in ((0, 0), (370, 0), (370, 300), (0, 300))]
    region = mesh_region(polygon(*turned), size=3.0)
    assert igl.doublearea(region.points, region.faces).min() > 1.0
    assert least_angle(region) > 20.0


def test_side_parameters_give_the_boundary_points_back():
    sides = [arc(50.0, 0, np.pi / 2), line((0, 50), (0, 0)), line((0, 0), (50, 0))]
    region = mesh_region(sides, size=5.0)
    for side, found in zip(sides, region.sides, strict=True):
        np.testing.assert_allclose(side(found.parameters), region.points[found.vertices], atol=1e-12)


@pytest.mark.parametrize("angle", [5.0, 20.0])
def test_a_sharp_corner_is_kept_and_costs_no_other_angle(angle):
    tip = 100 * np.tan(np.radians(angle))
    region = mesh_region(polygon((0, 0), (100, 0), (100, tip)), size=6.0)
    angles = np.degrees(igl.internal_angles(region.points, region.faces))
    assert angles[region.faces == 0].sum() == pytest.approx(angle, abs=1e-6)
    away = region.points[region.faces].mean(axis=1)[:, 0] > 30.0
    assert angles[away].min() > 20.0


def test_a_near_full_turn_corner_of_355_degrees_is_meshed():
    notch = 50 * np.tan(np.radians(2.5))
    region = mesh_region(polygon((0, 0), (100, -60), (100, -notch), (50, 0), (100, notch), (100, 60)), size=5.0)
    assert len(region.points) - len(igl.edges(region.faces)) + len(region.faces) == 1


@pytest.mark.parametrize(
    ("sides", "words"),
    [
        (polygon((0, 0), (0, 9), (9, 0)), "clockwise"),
        (polygon((0, 0), (9, 9), (9, 0), (0, 9)), "crosses itself"),
        (polygon((0, 0), (0, 0), (9, 9)), "no length"),
    ],
)
def test_a_boundary_that_encloses_nothing_is_refused(sides, words):
    with pytest.raises(MeshError, match=words):
        mesh_region(sides, size=1.0)


def test_an_inner_line_is_followed_from_corner_to_corner():
    sides = polygon((0, 0), (30, 0), (90, 0), (90, 40), (50, 40), (0, 40))

    def bend(u):
        return np.column_stack([30 + 20 * u, 40 * u + 5 * np.sin(2 * np.pi * u)])

    region = mesh_region(sides, size=4.0, lines=[InnerLine(bend, 1, 4)])
    (line,) = region.lines
    np.testing.assert_allclose(region.points[line.vertices], bend(line.parameters), atol=1e-12)
    edges = {tuple(sorted(edge)) for edge in igl.edges(region.faces).tolist()}
    assert all(tuple(sorted(step)) in edges for step in zip(line.vertices, line.vertices[1:], strict=False))
    assert igl.doublearea(region.points, region.faces).sum() / 2 == pytest.approx(90 * 40, rel=1e-9)
    assert least_angle(region) > 20.0


def test_a_slit_opens_into_two_sides_that_meet_at_its_tip():
    sides = polygon((0, 0), (40, 0), (90, 0), (90, 60), (0, 60))
    region = mesh_region(sides, size=5.0, lines=[InnerLine(line((40, 0), (45, 35)), 1, None)])
    slit = region.lines[0].vertices
    faces, copies = opened(region.faces, slit, len(region.points))
    points = np.vstack([region.points, region.points[slit[:-1]]])
    loop = igl.boundary_loop(faces)
    # Counter-clockwise round the region the slit's left side comes first, from the boundary to the tip.
    around = np.roll(loop, -np.flatnonzero(loop == slit[0])[0])
    np.testing.assert_array_equal(around[: len(slit)], slit)
    np.testing.assert_array_equal(around[len(slit) - 1 : 2 * len(slit) - 1], copies[::-1])
    assert copies[-1] == slit[-1]
    assert len(points) - len(igl.edges(faces)) + len(faces) == 1
    middle = points[faces].mean(axis=1)
    right = np.isin(faces, copies[:-1]).any(axis=1)
    assert ((middle[right] - (40, 0)) @ (35, -5) > 0).all()


def test_a_line_outside_the_region_or_a_slit_off_its_edges_is_refused():
    with pytest.raises(MeshError, match="outside the region"):
        mesh_region(polygon((0, 0), (9, 0), (9, 9)), size=2.0, lines=[InnerLine(line((0, 0), (0, 9)), 0, None)])
    with pytest.raises(MeshError, match="along edges"):
        opened(np.array([[0, 1, 2]]), np.array([0, 3]), 4)
