"""The printed former, read back by trimesh: closed, true to the inner face, within the bed, put together on pegs."""

import io

import manifold3d
import numpy as np
import pytest
import shapely
import trimesh

from flatten.former.model import FormerError
from flatten.former.parts import DEEPER, SLENDER, parts_of
from flatten.former.solid import GROOVE_DEPTH, body_of, mesh_of
from flatten.former.stl import stl_bytes
from flatten.limb.girths.girth import section_girth, tape_girth
from tests.former.former_case import OFFSET, SHIN, SPAN, WEAR, dressed_on, in_place, outline_at, parts_on, read
from tests.limbs import cylinder

BEDS = {"one": (220.0, 220.0, 250.0), "two": (220.0, 220.0, 110.0), "many": (80.0, 90.0, 110.0)}


@pytest.fixture(scope="module")
def formers():
    return {name: parts_on(SHIN, bed=bed) for name, bed in BEDS.items()} | {
        "hollow": parts_on(SHIN, bed=BEDS["two"], wall=8.0)
    }


def test_each_part_is_one_closed_body(formers):
    assert {name: len(parts) for name, parts in formers.items()} == {"one": 1, "two": 2, "many": 6, "hollow": 2}
    for part in (part for parts in formers.values() for part in parts):
        mesh = read(part)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.is_volume
        assert mesh.body_count == 1
        assert mesh.volume == pytest.approx(part.volume, rel=1e-5)
        assert mesh.volume > 0.0


def test_each_part_lies_on_the_bed_and_within_it(formers):
    for name, parts in formers.items():
        bed = np.array(BEDS["two" if name == "hollow" else name])
        for part in parts:
            low, high = read(part).bounds
            np.testing.assert_allclose(high - low, part.size, atol=1e-4)
            assert (high - low <= bed + 1e-6).all()
            assert low[2] == pytest.approx(0.0, abs=1e-6)
            np.testing.assert_allclose((low + high)[:2], 0.0, atol=1e-4)


@pytest.mark.parametrize("springback", [0.0, 0.05])
def test_sections_are_as_long_as_the_inner_face_bent_further(springback):
    face, _, _, _ = dressed_on(SHIN, springback=springback)
    mesh = mesh_of(body_of(face, wall=0.0))
    smooth = trimesh.load(io.BytesIO(stl_bytes(mesh, "smooth")), file_type="stl")
    for height in np.linspace(-4.0, 144.0, 8):
        told = (1.0 - springback) * section_girth(face.inner, height)
        assert outline_at(smooth, height).length == pytest.approx(told, abs=0.2)


def test_the_engraved_part_is_as_wide_by_tape_as_the_inner_face(formers):
    """A tape does not fall into the grooves."""
    face, _, _, _ = dressed_on(SHIN)
    mesh = in_place(formers["one"][0])
    for height in np.linspace(-4.0, 144.0, 8):
        hull = outline_at(mesh, height).convex_hull
        assert hull.length == pytest.approx(tape_girth(face.inner, height), abs=0.2)


def test_edges_are_grooves_where_the_leather_ends(formers):
    """Located anew: the panel's border on the neutral surface, half the leather further in."""
    _, worn, panels, _ = dressed_on(SHIN)
    mesh = in_place(formers["one"][0])
    panel = panels[0]
    tried = 0
    for side in panel.boundaries:
        for vertex in side.vertices[3:-3:6]:
            height, bearing = panel.heights[vertex], panel.bearings[vertex]
            normal = worn.normals(height, bearing)
            edge = worn.points(height, bearing) - 0.5 * WEAR.thickness * normal
            deep = edge - 0.6 * GROOVE_DEPTH * normal
            region = outline_at(mesh, deep[2])
            assert not region.contains(shapely.Point(deep[:2]))
            assert region.contains(shapely.Point((edge - 1.5 * GROOVE_DEPTH * normal)[:2]))
            tried += 1
    assert tried > 20


def test_parts_put_together_are_the_whole_but_for_the_pegs_clearance(formers):
    whole = formers["one"][0].volume
    for name in ("two", "many"):
        bodies = [_manifold(in_place(part)) for part in formers[name]]
        together = manifold3d.Manifold.batch_boolean(bodies, manifold3d.OpType.Add)
        pegs = sum(part.pegs for part in formers[name])
        assert pegs == sum(part.holes for part in formers[name]) > 0
        # Of each peg a gap is left: a ring of the clearance round it, and DEEPER before its tip.
        ring = np.pi * (6.2**2 - 6.0**2) * SLENDER * 12.0
        gap = ring + np.pi * 6.2**2 * DEEPER
        numbers = 200.0 * len(bodies)
        assert whole - pegs * gap - numbers < together.volume() < whole
        for i, one in enumerate(bodies):
            for other in bodies[i + 1 :]:
                assert (one ^ other).volume() < 0.5


def _manifold(mesh):
    return manifold3d.Manifold(manifold3d.Mesh(mesh.vertices.astype(np.float32), mesh.faces.astype(np.uint32)))


def test_a_wall_is_as_thick_as_told_and_open_at_both_ends(formers):
    parts = formers["hollow"]
    for part, height in zip(parts, (40.0, 110.0), strict=True):
        region = outline_at(in_place(part), height)
        (inner,) = region.interiors
        nearest = [region.exterior.distance(shapely.Point(point)) for point in inner.coords]
        # Across the axis a wall measures more than along its normals, and less behind a groove.
        assert np.median(nearest) == pytest.approx(8.15, abs=0.15)
        assert min(nearest) > 8.0 - GROOVE_DEPTH - 0.1
        assert max(nearest) < 8.6
    for part, end in zip(parts, (-4.0, 144.5), strict=True):
        assert len(outline_at(in_place(part), end).interiors) == 1


def test_same_former_same_bytes(formers):
    once, again = formers["two"], parts_on(SHIN, bed=BEDS["two"])
    assert [stl_bytes(part.body, "x") for part in once] == [stl_bytes(part.body, "x") for part in again]


def test_bytes_hang_neither_on_the_triangles_order_nor_on_their_first_corner():
    body = mesh_of(manifold3d.Manifold.cube((1.0, 2.0, 3.0)))
    shuffled = type(body)(body.vertices, np.roll(body.faces[::-1], 1, axis=1))
    assert stl_bytes(body, "x") == stl_bytes(shuffled, "x")
    turned = type(body)(body.vertices, body.faces[:, ::-1])
    assert stl_bytes(body, "x") != stl_bytes(turned, "x")


def test_header_has_no_date_and_is_not_taken_for_text():
    body = mesh_of(manifold3d.Manifold.cube((1.0, 2.0, 3.0)))
    head = stl_bytes(body, "former_1.stl")[:80]
    assert head == b"Calfskin former, mm: former_1.stl".ljust(80)
    assert not head.startswith(b"solid")


def test_the_other_sides_former_is_the_mirror_image(formers):
    """All but the letters: LEFT and RIGHT are other letters, and both are read."""
    (left,), (right,) = formers["one"], parts_on(SHIN, side="right", mirrored=True)
    ours, theirs = read(left), read(right)
    for height in (10.0, 60.0, 110.0):
        region, mirror = (
            outline_at(ours, height),
            shapely.affinity.scale(outline_at(theirs, height), 1, -1, origin=(0, 0)),
        )
        assert region.symmetric_difference(mirror).area < 0.02 * region.length
        assert region.symmetric_difference(outline_at(theirs, height)).area > 1.0
    assert right.volume < left.volume


@pytest.mark.parametrize("mirrored", [False, True])
def test_letters_are_read_from_outside(mirrored):
    """The L of LEFT begins with its stem, and its foot runs on from it to the right, low down."""
    (part,) = parts_on(cylinder(60.0, high=170.0), side="left", mirrored=mirrored)
    mesh = in_place(part)
    radius = 60.0 + OFFSET - 0.3
    turns = np.linspace(-0.7, 0.7, 2801)
    around = radius * np.column_stack([np.cos(turns), np.sin(turns)])

    def engraved(height):
        """Where, mm to the right of the front, material is cut away at a height: starts and ends."""
        cut = ~shapely.contains(outline_at(mesh, height), shapely.points(around))
        return turns[1:][np.diff(cut.astype(int)) == 1] * radius, turns[1:][np.diff(cut.astype(int)) == -1] * radius

    # Letters stand in the middle between the leather's edge and the former's end.
    middle = 0.5 * (SPAN[1] + SPAN[1] + 25.0)
    starts, ends = engraved(middle + 1.0)
    foot_starts, foot_ends = engraved(middle - 3.4)
    assert starts[0] == pytest.approx(foot_starts[0], abs=0.15)
    stem = ends[0] - starts[0]
    assert 1.0 < stem < 2.5
    assert foot_ends[0] - foot_starts[0] > 2.5 * stem
    # The word stands left of the front line, whose groove is there, and the arrow's shaft right of it.
    assert (starts < -3.0).sum() >= 3
    assert np.abs(starts + 0.4).min() < 0.3
    assert (starts > 2.0).sum() == 1
    assert engraved(middle + 3.5)[0].max() > 2.0


def test_a_wall_too_thin_for_pegs_is_refused():
    with pytest.raises(FormerError, match="pegs of 3 mm have no room; make its wall at least 7 mm thick"):
        parts_of(tube(36.0), bed=BEDS["two"], clearance=0.2)


def test_a_bed_too_small_for_pegs_is_refused():
    with pytest.raises(FormerError, match="a bed of 20 mm is too small"):
        parts_of(tube(0.0), bed=(20.0, 220.0, 250.0), clearance=0.2)


def test_pegs_of_cuts_across_each_other_keep_clear():
    """A block cut in eight: no peg or hole runs into another."""
    parts = parts_of(manifold3d.Manifold.cube((80.0, 80.0, 80.0)), bed=(60.0, 60.0, 60.0), clearance=0.3)
    assert len(parts) == 8
    bodies = [_manifold(in_place(part)) for part in parts]
    for i, one in enumerate(bodies):
        assert one.volume() > 35.0**3
        for other in bodies[i + 1 :]:
            assert (one ^ other).volume() < 1e-3


def test_a_part_is_turned_to_fit_the_bed_and_turned_back_it_is_in_its_place():
    block = manifold3d.Manifold.cube((50.0, 100.0, 30.0)) + manifold3d.Manifold.cube((10.0, 20.0, 40.0))
    (part,) = parts_of(block.translate((7.0, 3.0, 2.0)), bed=(110.0, 60.0, 100.0), clearance=0.2)
    assert part.size == pytest.approx((100.0, 50.0, 40.0))
    there = _manifold(in_place(part))
    assert (there ^ block.translate((7.0, 3.0, 2.0))).volume() == pytest.approx(block.volume(), rel=1e-5)


def test_numbers_are_read_from_below():
    """In 1/2 the stroke rises to the right: seen from above, through the part, it falls."""
    first, second = parts_of(tube(0.0), bed=(100.0, 100.0, 150.0), clearance=0.2)
    for part, digits in ((first, 3), (second, 3 + second.holes)):
        rings = [shapely.Polygon(ring) for ring in outline_at(read(part), 0.3).interiors]
        assert len(rings) == digits
        letters = sorted((ring for ring in rings if ring.area < 100.0), key=lambda ring: -ring.centroid.x)
        one, stroke, two = letters
        x, y = np.array(stroke.exterior.coords)[:-1].T
        assert np.cov(x, y)[0, 1] < 0.0
        assert one.bounds[3] - one.bounds[1] == pytest.approx(10.0, abs=0.3)
        assert (two.area == pytest.approx(one.area, rel=0.01)) == (part is second)


def test_normals_in_the_file_point_outwards():
    cube = stl_bytes(mesh_of(manifold3d.Manifold.cube((2.0, 2.0, 2.0), True)), "x")
    rows = np.frombuffer(cube[84:], dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("kind", "<u2")])
    assert len(rows) == 12 == int(np.frombuffer(cube[80:84], "<u4")[0])
    np.testing.assert_allclose((rows["normal"] * rows["corners"].mean(axis=1)).sum(axis=1), 1.0, atol=1e-6)


def tube(inside):
    """A tube 80 mm wide and 200 mm tall."""
    body = manifold3d.Manifold.cylinder(200.0, 40.0, 40.0, 90)
    return body - manifold3d.Manifold.cylinder(200.0, inside, inside, 90) if inside else body


@pytest.mark.parametrize("where", ["edge", "corner"])
def test_parts_of_a_surface_that_only_touch_are_closed_for_a_reader_that_joins_equal_corners(where):
    """Two cubes with an edge or a corner in common: four faces meet in one line, which no closed surface has."""
    cube = manifold3d.Manifold.cube((10.0, 10.0, 10.0))
    both = cube + cube.translate((10.0, 10.0, 0.0 if where == "edge" else 10.0))
    read = trimesh.load_mesh(io.BytesIO(stl_bytes(mesh_of(both), "x")), file_type="stl")
    assert read.is_watertight
    assert read.volume == pytest.approx(2000.0, rel=1e-3)
    assert read.volume < 2000.0
