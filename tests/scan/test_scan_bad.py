"""What is wrong with a scan file is told in one sentence, and nothing else leaves read_scan."""

import json
import os
import re
import struct

import numpy as np
import pytest
import scan_files as files

from flatten.errors import CalfskinError
from flatten.scan.model import ScanError
from flatten.scan.read import read_scan
from flatten.words.say import text
from tests.repairs import codes

VERTICES, FACES = files.tube(columns=24, rows=30)
FACES = FACES[np.argsort(FACES.max(axis=1), kind="stable")]
LOWER_HALF = FACES[: len(FACES) // 2]
PLY = files.ply_bytes(VERTICES, FACES)
ASCII_PLY = files.ply_bytes(VERTICES, FACES, encoding="ascii")
STL = files.stl_bytes(VERTICES, FACES)
ASCII_STL = files.ascii_stl_bytes(VERTICES, FACES)
OBJ = files.obj_bytes(VERTICES, FACES)
GLB = files.glb_bytes(VERTICES / 1000, FACES)
FACE = b"f 1 2 3\n"


def edited_glb(change):
    content, data = files.gltf_content(VERTICES / 1000, FACES)
    change(content)
    return files.packed_glb(content, data)


def _set(path, value):
    def change(content):
        *way, last = path
        for key in way:
            content = content[key]
        content[last] = value

    return edited_glb(change)


def _add(**values):
    return edited_glb(lambda content: content.update(values))


def _with_vertex(value):
    broken = VERTICES.copy()
    broken[:] = value
    return files.ply_bytes(broken, FACES)


def _two_limbs():
    vertices = np.concatenate([VERTICES, VERTICES + np.array([160.0, 0, 0])])
    return files.ply_bytes(vertices, np.concatenate([FACES, FACES + len(VERTICES)]))


def _confetti():
    rng = np.random.default_rng(1)
    corners = VERTICES[FACES] + rng.normal(0, 0.1, (len(FACES), 3, 3))
    return files.ply_bytes(corners.reshape(-1, 3), np.arange(3 * len(FACES)).reshape(-1, 3))


def _uncut_obj_vertices():
    text = OBJ.decode()
    return ("mtllib limb.mtl\n" + text[: text.index("\nf ")] + "\n").encode()


BAD = {
    "empty.ply": (b"", "is empty; export the scan again"),
    "blank.obj": (b"\n  \n\x00\x00", "is empty"),
    "text.obj": (b"Dear watch, the shins are late.\n" * 40, "is no 3D scan that is read here"),
    "letter.ply": (b"Dear watch, the shins are late.\n", "is no 3D scan that is read here"),
    "page.glb": (b"<!DOCTYPE html><html><body>404</body></html>", "is no 3D scan that is read here"),
    "noise.stl": (bytes(range(256)) * 9, r"is cut off: it announces \d+ faces"),
    "phone.usdz": (b"PK\x03\x04" + bytes(60), "is a ZIP archive that cannot be unpacked"),
    "picture.obj": (b"\x89PNG\r\n\x1a\n" + bytes(60), "is a PNG picture"),
    "scene.fbx": (b"Kaydara FBX Binary  \x00", "is an FBX file"),
    "packed.ply": (b"\x1f\x8b\x08" + bytes(60), "is a gzip archive"),
    "half.ply": (PLY[: len(PLY) // 2], r"is cut off: it announces \d+ vertex entries and \d+ face entries"),
    "last.ply": (PLY[:-5], "is cut off: it announces"),
    "half ascii.ply": (ASCII_PLY[: len(ASCII_PLY) // 2], "is cut off: it announces"),
    "head.ply": (PLY[:60], "is cut off: its PLY header has no end"),
    "odd.ply": (PLY.replace(b"binary_little_endian", b"binary_middle_endian"), "unknown PLY format"),
    "no count.ply": (PLY.replace(b"element face", b"element face x"), "broken line in its PLY header"),
    "digits.ply": (PLY.replace(b"element vertex 744", b"element vertex \xb944"), "broken line in its PLY header"),
    "long count.ply": (
        PLY.replace(b"element vertex 744", b"element vertex " + b"7" * 5000),
        "broken line in its PLY header",
    ),
    "type.ply": (PLY.replace(b"property float x", b"property foat x"), "broken line in its PLY header"),
    "huge.ply": (PLY.replace(b"element vertex 744", b"element vertex 1000000000"), "is cut off: it announces 10000000"),
    "corners.ply": (ASCII_PLY.replace(b"vertex_indices", b"corners"), "faces without a list 'vertex_indices'"),
    "no corners.ply": (
        PLY.replace(b"property list uchar int vertex_indices", b"property uchar red\nproperty uchar green"),
        "faces without a list 'vertex_indices'",
    ),
    "no properties.ply": (
        PLY.replace(b"end_header", b"element edge 3\nend_header"),
        "entries 'edge' of no properties",
    ),
    "no x.ply": (PLY.replace(b"property float x", b"property float q"), "cannot be read"),
    "index.ply": (files.ply_bytes(VERTICES, FACES + 5), r"\d+ faces name vertices that are not there"),
    "negative.ply": (files.ply_bytes(VERTICES, FACES - 1), r"\d+ faces name vertices that are not there"),
    "nan.ply": (_with_vertex(np.nan), "keeps 0 points"),
    "point.ply": (_with_vertex(7.0), "its longest side of 0 is no limb's"),
    "few.ply": (files.ply_bytes(VERTICES[:30], np.array([[0, 1, 2]])), "keeps 30 points after cleaning"),
    "two.ply": (_two_limbs(), "two parts of like size .*two limbs, or one in two halves"),
    "confetti.ply": (_confetti(), r"is in \d+ parts.*join its vertices by distance"),
    "cm.ply": (files.ply_bytes(VERTICES / 10, FACES), r"give the unit"),
    "giant.ply": (files.ply_bytes(VERTICES * 1e4, FACES), "is no limb's in any of mm, cm, m, in; give the unit"),
    "half.stl": (STL[: len(STL) // 2], r"is cut off: it announces 1440 faces, 72084 bytes, and holds 36042"),
    "short.stl": (STL[:70], "is cut off: 70 bytes are less than the header of an STL"),
    "half ascii.stl": (ASCII_STL[: len(ASCII_STL) // 2], "is cut off: it opens"),
    "bare.stl": (b"solid limb\n facet normal 0 0 0\n", "is cut off"),
    "more.stl": (STL[:80] + struct.pack("<I", 1400) + STL[84:], "announces 1400 faces and has room for 1440"),
    "none.stl": (b"x" * 80 + struct.pack("<I", 0), "holds no points"),
    "half.obj": (files.obj_bytes(VERTICES, LOWER_HALF), "a part of the faces is missing"),
    "counted.obj": (b"# Faces: 1440\n" + files.obj_bytes(VERTICES, FACES[:1400]), "its remarks count 1440 faces"),
    "groups.obj": (b"# 1000 polygons\n" + OBJ + b"# 450 faces\n", "its remarks count 1450 faces, and it holds 1440"),
    "corner.obj": (OBJ.rstrip().rpartition(b" ")[0], "is cut off: its last face has 2 corners"),
    "vertex.obj": (OBJ[: OBJ.index(b"\nv 3") + 4], "is cut off: its last vertex has 1 numbers"),
    "vertices.obj": (_uncut_obj_vertices(), "it has materials or texture coordinates, but no faces"),
    "words.obj": (OBJ.replace(b"\nv ", b"\nv x", 1), "cannot be read"),
    "index.obj": (OBJ + b"f 1 2 99999\n", "faces name vertices that are not there"),
    "zero.obj": (OBJ + b"f 0 1 2\n", "a face at vertex 0, and an OBJ counts from 1"),
    "flat.obj": (b"v 1 2\n" * 200, "is cut off: its last vertex has 2 numbers"),
    "comma.obj": (OBJ.replace(b".", b","), "writes decimals with a comma"),
    "comma.ply": (ASCII_PLY.replace(b".", b",").replace(b"1,0\nel", b"1.0\nel"), "writes decimals with a comma"),
    "comma.stl": (ASCII_STL.replace(b".", b","), "writes decimals with a comma"),
    "backwards.obj": (b"v 0 0 0\nv 9 0 0\nv 0 9 0\nf -3 -2 -1\n" + OBJ, "counts its vertices backwards"),
    "head.glb": (GLB[:12], "is cut off: 12 bytes are less than a GLB header"),
    "half.glb": (GLB[: len(GLB) // 2], "is cut off: it announces"),
    "old.glb": (GLB[:4] + struct.pack("<I", 1) + GLB[8:], "is GLB version 1; export it as version 2"),
    "json.glb": (GLB.replace(b'{"asset"', b'{"asset?', 1), "description that is cut off or broken"),
    "chunk.glb": (GLB[:16] + b"JUNK" + GLB[20:], "its first part is not its description"),
    "draco.glb": (_add(extensionsUsed=["KHR_draco_mesh_compression"]), "uses Draco compression"),
    "quantised.glb": (_add(extensionsRequired=["KHR_mesh_quantization"]), "uses quantised positions"),
    "meshopt.glb": (_add(extensionsUsed=["KHR_meshopt_compression"]), "uses meshopt compression"),
    "instances.glb": (_add(extensionsUsed=["EXT_mesh_gpu_instancing"]), "meshes repeated by the graphics card"),
    "unknown.glb": (_add(extensionsRequired=["VENDOR_shape"]), "cannot be read without VENDOR_shape"),
    "sparse.glb": (_set(["accessors", 0, "sparse"], {"count": 1}), "stores changes to its points apart from them"),
    "scalars.glb": (_set(["accessors", 0, "type"], "SCALAR"), "lines with too few numbers"),
    "fan.glb": (_set(["meshes", 0, "primitives", 0, "mode"], 6), "stores faces as fans"),
    "normalised.glb": (_set(["accessors", 0, "normalized"], True), "stores quantised positions"),
    "outside.glb": (_set(["buffers", 0, "uri"], "limb.bin"), "keeps points in another file, though it is a GLB"),
    "version.glb": (_set(["asset", "version"], "1.0"), "is glTF version 1.0; export it as version 2"),
    "long.glb": (_set(["accessors", 0, "count"], 10**9), "its accessor 0 reaches past its data"),
    "view.glb": (_set(["bufferViews", 0, "byteLength"], 10**12), "its buffer view 0 reaches past its buffer"),
    "nothing.glb": (_set(["accessors", 0], {"count": 10**9, "componentType": 5126, "type": "VEC3"}), "without data"),
    "ring.glb": (_set(["nodes"], [{"mesh": 0, "children": [1]}, {"children": [0]}]), "form a ring"),
    "twins.glb": (_set(["nodes"], [{"children": [2]}, {"children": [2]}, {"mesh": 0}]), "hangs in two places"),
    "type.glb": (_set(["accessors", 0, "componentType"], 17), "breaks the glTF rules"),
    "scene.glb": (_set(["scenes", 0, "nodes"], []), "holds no points"),
    "no asset.gltf": (b'{"nodes": []}', "is no glTF: it has no 'asset'"),
    "list.gltf": (b"{" * 9000, "description that is cut off or broken"),
    "lost.gltf": (
        json.dumps({"asset": {}, "buffers": [{"uri": "limb.bin", "byteLength": 12}]}).encode(),
        "keeps its points in 'limb.bin', which is not beside it; put both into one folder",
    ),
    "few.xyz": (files.xyz_bytes(VERTICES[:20]), "keeps 20 points"),
    "ragged.xyz": (files.xyz_bytes(VERTICES) + b"1.0 2.0\n", "a line that is no point of three numbers"),
    "cloud.pcd": (b"# .PCD v0.7\nVERSION 0.7\n", "is a PCD point cloud"),
    "photo.heic": (b"\0\0\0\x18ftypheic" + bytes(60), "is a photo or film of a phone"),
    "short.pts": (b"800\n" + files.xyz_bytes(VERTICES), "announces 800 points and holds 744"),
    "mixed.xyz": (b"744 1440 0\n" + b"1.5 2.5 3.5 4.5\n" * 200, "is longer or shorter than the others"),
    "colours first.xyz": (b"10 20 30 1.5 2.5 3.5\n" * 200, "whole numbers from 0 to 255, as colours are"),
    "commas.csv": (b"1,5,2,5,3,5\n" * 200, "commas between all its digits"),
    "nameless.csv": (b"a,b,c,d\n" + b"1.5,2.5,3.5,4.5\n" * 200, "its first line names none of them x, y and z"),
    "words.xyz": (files.xyz_bytes(VERTICES) + b"1.0 2.0 three\n", "a line that is no point of three numbers"),
}


def refusal(path, **options):
    with pytest.raises(ScanError) as caught:
        read_scan(path, **options)
    return str(caught.value)


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_refused_in_one_sentence(tmp_path, name):
    data, sentence = BAD[name]
    path = tmp_path / name
    path.write_bytes(data)
    told = refusal(path)
    assert re.search(sentence, told)
    # Beneath it stands a line to paste for each of several parts.
    first, *lines = told.split("\n")
    assert len(lines) == (2 if "two parts" in first else 0)
    assert str(tmp_path) not in told
    assert len(first) < 300


READER_ERRORS = {
    ValueError: ("number.obj", OBJ + b"v 1 2 3x\n" + FACE),
    IndexError: ("index.obj", OBJ + b"f 1 2 99999\n"),
    KeyError: ("no x.ply", ASCII_PLY.replace(b"property float x", b"property float q")),
    TypeError: ("scene.glb", _set(["scenes", 0, "nodes"], 5)),
    AttributeError: ("scenes.glb", _set(["scenes", 0], 5)),
    AssertionError: (
        "view.glb",
        edited_glb(lambda content: [content[key][0].update(byteLength=10**5) for key in ("buffers", "bufferViews")]),
    ),
    OverflowError: ("digits.obj", OBJ + b"f 1/1 2/2 " + b"9" * 23 + b"/3\n"),
}
"""For each error that the library's readers raise at broken bytes, a file at which they do."""


@pytest.mark.parametrize(("kind", "file"), READER_ERRORS.items(), ids=lambda value: getattr(value, "__name__", ""))
def test_whatever_the_reader_raises_at_broken_bytes_is_told(tmp_path, kind, file):
    name, data = file
    (tmp_path / name).write_bytes(data)
    with pytest.raises(ScanError, match="export it again") as caught:
        read_scan(tmp_path / name)
    assert type(caught.value.__cause__) is kind


def test_what_the_reader_does_not_raise_at_broken_bytes_is_no_fault_of_the_file(tmp_path, monkeypatch):
    def out_of_memory(*given, **named):
        raise MemoryError

    (tmp_path / "shin.ply").write_bytes(PLY)
    monkeypatch.setattr("trimesh.load_scene", out_of_memory)
    with pytest.raises(MemoryError):
        read_scan(tmp_path / "shin.ply")


def test_a_missing_file_is_named(tmp_path):
    assert refusal(tmp_path / "shin.ply") == "there is no scan 'shin.ply'; check the path"


def test_a_folder_is_no_scan(tmp_path):
    assert "is a folder" in refusal(tmp_path)


def test_a_pipe_is_not_waited_on(tmp_path):
    os.mkfifo(tmp_path / "scan.ply")
    assert refusal(tmp_path / "scan.ply") == "'scan.ply' is a pipe or device and no file; save the scan to a file first"


def test_a_link_to_itself_is_told(tmp_path):
    (tmp_path / "scan.ply").symlink_to(tmp_path / "scan.ply")
    assert refusal(tmp_path / "scan.ply").startswith("'scan.ply' cannot be opened: ")


def test_a_locked_file_is_told(tmp_path, monkeypatch):
    path = tmp_path / "shin.ply"
    path.write_bytes(PLY)

    def locked(self):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "read_bytes", locked)
    assert refusal(path) == "'shin.ply' cannot be opened: Permission denied"


def test_an_unknown_unit_is_refused(tmp_path):
    path = tmp_path / "shin.ply"
    path.write_bytes(PLY)
    assert refusal(path, unit="yards") == "'yards' is no unit of a scan; give one of mm, cm, m, in"


def test_a_given_unit_that_makes_no_limb_is_refused(tmp_path):
    path = tmp_path / "shin.ply"
    path.write_bytes(PLY)
    assert "as given), which no limb is" in refusal(path, unit="m")


def test_scan_errors_are_project_errors_and_value_errors():
    assert issubclass(ScanError, CalfskinError)
    assert issubclass(ScanError, ValueError)


def test_an_obj_without_a_last_line_break_is_told_and_read(tmp_path):
    path = tmp_path / "shin.obj"
    path.write_bytes(OBJ.rstrip())
    scan = read_scan(path)
    assert codes(scan.repairs) == [("no end", 1)]
    assert len(scan.faces) == len(FACES)


def test_an_obj_cut_between_two_faces_is_told_by_its_vertices(tmp_path):
    path = tmp_path / "shin.obj"
    # The last faces are the topmost: a tenth of the tube is lost with its vertices.
    path.write_bytes(files.obj_bytes(VERTICES, FACES[: int(0.9 * len(FACES))]))
    (unused,) = (repair for repair in read_scan(path).repairs if repair.code == "scan.unused")
    assert unused.figures["count"] == pytest.approx(0.1 * len(VERTICES), rel=0.1)
    assert "a part of the faces may be missing" in text(unused)


def test_a_ply_that_a_program_has_cut_is_read_without_the_vertices_left_behind(tmp_path):
    path = tmp_path / "shin.ply"
    path.write_bytes(files.ply_bytes(VERTICES, LOWER_HALF))
    scan = read_scan(path)
    (unused,) = (repair for repair in scan.repairs if repair.code == "scan.unused")
    assert (len(scan.faces), len(scan.points)) == (len(LOWER_HALF), len(np.unique(LOWER_HALF)))
    assert unused.figures["count"] == len(VERTICES) - len(scan.points) > 0.2 * len(VERTICES)
    assert "of all: a part of the faces may be missing; see that the limb is whole" in text(unused)


def test_a_few_unused_vertices_alarm_nobody(tmp_path):
    path = tmp_path / "shin.ply"
    path.write_bytes(files.ply_bytes(np.vstack([VERTICES, [[0.0, 0.0, 9.0]]]), FACES))
    (unused,) = (repair for repair in read_scan(path).repairs if repair.code == "scan.unused")
    assert text(unused) == "1 vertex that no face uses left out."


def test_an_obj_whose_remarks_count_its_faces_is_read(tmp_path):
    path = tmp_path / "shin.obj"
    path.write_bytes(b"# Vertices: 744\n# Faces: 1440\n" + OBJ)
    assert len(read_scan(path).faces) == len(FACES)


def test_a_vertex_at_nan_is_told_and_left_out(tmp_path):
    broken = VERTICES.copy()
    broken[100] = np.nan
    broken[200, 1] = np.inf
    for name, write in files.WRITERS.items():
        path = tmp_path / name
        path.write_bytes(write(broken, FACES))
        scan = read_scan(path)
        repair = next(repair for repair in scan.repairs if repair.code == "scan.non-finite")
        # Six faces meet at a vertex of the tube; a soup has the vertex six times.
        assert repair.figures["count"] in (2, 12), name
        assert len(scan.faces) == len(FACES) - 12, name
        assert np.isfinite(scan.points).all(), name
        assert np.isfinite(scan.normals).all(), name
