"""Reading: every format gives the same limb, whatever its name, its unit, its pose."""

import copy

import numpy as np
import pytest
import scan_files as files
from scipy.spatial import cKDTree
from scipy.spatial.transform import Rotation

from flatten.scan.model import ScanError
from flatten.scan.read import read_scan
from flatten.scan.unit import AmbiguousUnitError, unit_of
from flatten.units import MM_PER_UNIT
from tests.repairs import codes

VERTICES, FACES = files.tube()
FLOAT32 = 400 * 2.0**-23
"""mm. Rounding of a coordinate of 400 mm in a file of 32-bit floats."""


@pytest.fixture
def saved(tmp_path):
    def save(name, data):
        path = tmp_path / name
        path.write_bytes(data)
        return path

    return save


def same_triangles(scan, vertices, faces):
    """The same triangles at the same places, wound the same way, in whatever order."""
    middles, wanted = scan.points[scan.faces].mean(axis=1), vertices[faces].mean(axis=1)
    distance, match = cKDTree(middles).query(wanted)
    a, b, c = (scan.points[scan.faces[match][:, k]] for k in range(3))
    d, e, f = (vertices[faces[:, k]] for k in range(3))
    turn = np.einsum("ij,ij->i", np.cross(b - a, c - a), np.cross(e - d, f - d))
    return len(scan.faces) == len(faces) and distance.max() < 10 * FLOAT32 and (turn > 0).all()


@pytest.mark.parametrize("name", files.WRITERS)
def test_every_format_gives_the_same_limb(saved, name):
    scan = read_scan(saved(name, files.WRITERS[name](VERTICES, FACES)))
    assert same_triangles(scan, VERTICES, FACES)
    assert (scan.unit, scan.unit_from, scan.faces_read) == ("mm", "guessed", len(FACES))


@pytest.mark.parametrize("name", files.METRE_WRITERS)
def test_gltf_is_in_metres(saved, name):
    scan = read_scan(saved(name, files.METRE_WRITERS[name](VERTICES / 1000, FACES)))
    assert same_triangles(scan, VERTICES, FACES)
    assert (scan.unit, scan.unit_from) == ("m", "file")


@pytest.mark.parametrize("name", [*files.WRITERS, *files.METRE_WRITERS])
def test_the_content_decides_and_not_the_ending(saved, name):
    writers = {**files.WRITERS, **files.METRE_WRITERS}
    scan = read_scan(saved("limb.dat", writers[name](VERTICES, FACES)), unit="mm")
    assert same_triangles(scan, VERTICES, FACES)


def test_scene_nodes_move_their_meshes(saved):
    content, data = files.gltf_content(VERTICES / 1000, FACES)
    # A node turned by 90° about x, moved, under a parent scaled by 1/2; a second node with the other half is far off.
    content["nodes"] = [
        {"children": [1], "scale": [0.5, 0.5, 0.5]},
        {"mesh": 0, "rotation": [np.sqrt(0.5), 0, 0, np.sqrt(0.5)], "translation": [0.1, 0.2, 0.3]},
    ]
    scan = read_scan(saved("turned.glb", files.packed_glb(content, data)))
    turned = VERTICES @ Rotation.from_euler("x", 90, degrees=True).as_matrix().T
    assert same_triangles(scan, 0.5 * (turned + np.array([100, 200, 300])), FACES)


def test_a_mirrored_node_is_turned_outward_again(saved):
    content, data = files.gltf_content(VERTICES / 1000, FACES)
    content["nodes"][0]["scale"] = [-1, 1, 1]
    scan = read_scan(saved("mirrored.glb", files.packed_glb(content, data)))
    assert same_triangles(scan, VERTICES * [-1, 1, 1], FACES[:, ::-1])


def test_two_nodes_of_one_limb_become_one(saved):
    content, data = files.gltf_content(VERTICES / 1000, FACES)
    half = len(FACES) // 2 * 3
    first = content["accessors"][1]
    second = copy.deepcopy(first)
    first["count"], second["count"], second["byteOffset"] = half, len(FACES) * 3 - half, half * 4
    content["accessors"].append(second)
    content["meshes"].append({"primitives": [{"attributes": {"POSITION": 0}, "indices": 2}]})
    content["nodes"].append({"mesh": 1})
    content["scenes"][0]["nodes"] = [0, 1]
    scan = read_scan(saved("two.glb", files.packed_glb(content, data)))
    assert same_triangles(scan, VERTICES, FACES)
    assert "welded" in set(dict(codes(scan.repairs)))


@pytest.mark.parametrize(("unit", "guessed"), [("mm", True), ("m", True), ("cm", False), ("in", False)])
def test_a_unit_is_guessed_where_one_alone_is_possible(saved, unit, guessed):
    path = saved("limb.ply", files.ply_bytes(VERTICES / MM_PER_UNIT[unit], FACES))
    if guessed:
        scan = read_scan(path)
        assert (scan.unit, scan.unit_from) == (unit, "guessed")
    else:
        either = r"may be .* mm \(taken in cm\) or .* mm \(taken in inches\); give the unit"
        with pytest.raises(ScanError, match=either):
            read_scan(path)


@pytest.mark.parametrize("unit", list(MM_PER_UNIT))
@pytest.mark.parametrize("length", [110, 150, 240, 280, 440, 560, 700, 900, 1150, 1290])
def test_no_limb_of_any_size_is_taken_for_one_in_another_unit(unit, length):
    # A box a quarter as wide as it is long, sharp enough that the share left out as strays is 1 % of it.
    box = np.random.default_rng(length).uniform(-0.5, 0.5, (5000, 3)) * [length * 1.01, length / 4, length / 4]
    try:
        units = unit_of(box / MM_PER_UNIT[unit], given=None, in_file=None, name="limb")[:1]
    except AmbiguousUnitError as error:
        units = error.units
    assert unit in units


def test_a_body_in_centimetres_is_not_taken_for_a_childs_forearm():
    box = np.random.default_rng(1).uniform(-0.5, 0.5, (5000, 3)) * [175, 50, 30]
    with pytest.raises(AmbiguousUnitError) as caught:
        unit_of(box, given=None, in_file=None, name="body")
    assert caught.value.units == ("mm", "cm")


@pytest.mark.parametrize("unit", list(MM_PER_UNIT))
def test_a_given_unit_is_used(saved, unit):
    scan = read_scan(saved("limb.ply", files.ply_bytes(VERTICES / MM_PER_UNIT[unit], FACES)), unit=unit)
    assert same_triangles(scan, VERTICES, FACES)
    assert (scan.unit, scan.unit_from) == (unit, "given")


def test_a_given_unit_overrides_the_file(saved):
    # Some programs write millimetres into glTF.
    path = saved("limb.glb", files.glb_bytes(VERTICES, FACES))
    with pytest.raises(ScanError, match="no limb is; give one of mm, cm, m, in"):
        read_scan(path)
    assert same_triangles(read_scan(path, unit="mm"), VERTICES, FACES)


def test_faces_look_outward_and_normals_with_them(saved):
    scan = read_scan(saved("limb.ply", files.ply_bytes(VERTICES, FACES[:, ::-1])))
    assert same_triangles(scan, VERTICES, FACES)
    assert codes(scan.repairs) == [("turned", len(FACES))]
    axis = np.stack([10 * np.sin(scan.points[:, 2] / 120), 0 * scan.points[:, 2]], axis=1)
    assert (np.einsum("ij,ij->i", scan.normals[:, :2], scan.points[:, :2] - axis) > 0).all()
    np.testing.assert_allclose(np.linalg.norm(scan.normals, axis=1), 1.0, rtol=1e-12)


def test_points_without_faces_are_a_cloud(saved):
    for name, data in (
        ("cloud.xyz", files.xyz_bytes(VERTICES)),
        ("cloud.obj", files.obj_bytes(VERTICES, np.empty((0, 3), int))),
        ("cloud.ply", files.ply_bytes(VERTICES, np.empty((0, 3), int))),
        ("comma.xyz", files.xyz_bytes(VERTICES).replace(b" ", b", ")),
    ):
        scan = read_scan(saved(name, data))
        assert scan.faces.shape == (0, 3), name
        assert len(scan.points) == len(VERTICES), name
        assert not scan.normals.any(), name
        assert codes(scan.repairs) == [("no faces", len(VERTICES))], name


def test_the_arrays_of_a_scan_are_read_only(saved):
    scan = read_scan(saved("limb.ply", files.ply_bytes(VERTICES, FACES)))
    for array in (scan.points, scan.normals, scan.faces):
        assert not array.flags.writeable


def test_obj_with_texture_and_normals_reads_the_same(saved):
    lines = files.obj_bytes(VERTICES, FACES).decode().splitlines()
    corner = [" ".join(f"{k}/{k}/1" for k in line.split()[1:]) for line in lines if line.startswith("f")]
    head = [line for line in lines if line.startswith("v")]
    uv = [f"vt {k % 7} {k % 5}" for k in range(len(VERTICES))]
    text = "\n".join(["mtllib none.mtl", *head, *uv, "vn 0 0 1", "usemtl skin", *(f"f {c}" for c in corner)]) + "\n"
    assert same_triangles(read_scan(saved("textured.obj", text.encode())), VERTICES, FACES)


def test_obj_with_vertex_colours_and_windows_line_ends_reads_the_same(saved):
    text = files.obj_bytes(VERTICES, FACES).decode()
    coloured = "\r\n".join(line + " 0.5 0.4 0.3" if line[0] == "v" else line for line in text.splitlines()) + "\r\n"
    assert same_triangles(read_scan(saved("coloured.obj", coloured.encode())), VERTICES, FACES)


def test_quads_become_triangles(saved):
    lines = files.obj_bytes(VERTICES, np.empty((0, 3), int)).decode().splitlines()
    count = len(FACES) // 2
    quads = np.column_stack([FACES[:count], FACES[count:, 2]]) + 1
    text = "\n".join([*lines, *("f {} {} {} {}".format(*quad) for quad in quads)]) + "\n"
    scan = read_scan(saved("quads.obj", text.encode()))
    assert len(scan.faces) == len(FACES)
    assert len(scan.points) == len(VERTICES)


def test_a_turned_and_moved_scan_gives_the_same_limb_turned_and_moved(saved):
    rng = np.random.default_rng(5)
    noisy = VERTICES + rng.normal(0, 0.3, VERTICES.shape)
    floor, tiles = _floor()
    fragment = np.array([[200.0, 0, 100], [210, 0, 100], [200, 10, 100]])
    vertices = np.concatenate([noisy, floor, fragment])
    faces = np.concatenate([FACES, tiles + len(noisy), np.array([[0, 1, 2]]) + len(noisy) + len(floor)])
    turn = Rotation.from_rotvec([0.7, -1.1, 2.0]).as_matrix()
    one = read_scan(saved("one.obj", files.obj_bytes(vertices, faces)), unit="mm")
    other = read_scan(saved("other.obj", files.obj_bytes(vertices @ turn.T + [300, -80, 25], faces)), unit="mm")
    assert codes(one.repairs) == codes(other.repairs)
    assert [code for code, _ in codes(one.repairs)] == ["floor", "fragments"]
    np.testing.assert_array_equal(one.faces, other.faces)
    np.testing.assert_allclose(one.points @ turn.T + [300, -80, 25], other.points, atol=1e-9)


def _floor():
    steps = np.arange(-200.0, 201.0, 10.0)
    x, y = (axis.ravel() for axis in np.meshgrid(steps, steps, indexing="ij"))
    n = len(steps)
    number = np.arange(n * n).reshape(n, n)
    a, b, c, d = (part.ravel() for part in (number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]))
    return np.stack([x, y, x * 0 - 0.4], axis=1), np.concatenate([np.stack([a, b, c], 1), np.stack([a, c, d], 1)])


def test_a_scan_read_twice_is_the_same_to_the_last_bit(saved):
    path = saved("limb.ply", files.ply_bytes(VERTICES, FACES))
    one, other = read_scan(path), read_scan(path)
    assert one.points.tobytes() == other.points.tobytes()
    assert one.faces.tobytes() == other.faces.tobytes()
    assert one.repairs == other.repairs
