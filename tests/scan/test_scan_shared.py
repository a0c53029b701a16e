"""Scans as editors, spreadsheets and scanners really write them: the same limb, whatever the file's habits."""

import codecs
import re
import struct

import numpy as np
import pytest
import scan_files as files

from flatten.scan.model import ScanError
from flatten.scan.read import read_scan
from flatten.words.say import text

_TUBE, FACES = files.tube(columns=24, rows=30)
_BEARINGS = np.arctan2(_TUBE[:, 1], _TUBE[:, 0])
# Three waves round the limb that turn with its height: no mirror and no exchange of axes brings it onto itself.
VERTICES = np.round(_TUBE * (1 + 0.08 * np.sin(3 * _BEARINGS + _TUBE[:, 2] / 90) * [[1], [1], [0]]).T, 4)
OBJ = files.obj_bytes(VERTICES, FACES)
PLY = files.ply_bytes(VERTICES, FACES, encoding="ascii")
STL = files.stl_bytes(VERTICES, FACES)
XYZ = files.xyz_bytes(VERTICES)


def each(line, *, data=OBJ, kind=b"[vf]"):
    """The lines of a kind in `data`, each as the pattern `line` has it; \\\\1 is the old line."""
    return re.sub(rb"^(" + kind + rb" .*)$", line, data, flags=re.M)


def rows(pattern, *, first=""):
    return (first + "".join(pattern.format(*vertex) for vertex in VERTICES)).encode()


MESHES = {
    "mark.obj": codecs.BOM_UTF8 + OBJ,
    "sixteen.obj": OBJ.decode().encode("utf-16"),
    "big sixteen.obj": codecs.BOM_UTF16_BE + OBJ.decode().encode("utf-16-be"),
    "tabs.obj": OBJ.replace(b" ", b"\t"),
    "indented.obj": each(rb"  \1"),
    "remarks.obj": each(rb"\1 # seen twice"),
    "old line ends.obj": OBJ.replace(b"\n", b"\r"),
    "long preface.obj": b"# " + b"by the harbour watch " * 9 + b"\n" + b"# reed and wave\n" * 400 + OBJ,
    "colours.obj": each(rb"\1 128 20 10", kind=b"v"),
    "weights.obj": each(rb"\1 1.0", kind=b"v"),
    "normals.obj": OBJ + b"vn 0 0 1\n",
    "tail.stl": STL + bytes(10),
    "solid.stl": b"solid facet".ljust(80) + STL[80:],
    "mark.ply": codecs.BOM_UTF8 + PLY,
    "camera.ply": files.ply_bytes(VERTICES, FACES)
    .replace(b"element vertex", b"element camera 1\nproperty float focus\nelement vertex")
    .replace(b"end_header\n", b"end_header\n" + struct.pack("<f", 1.5)),
}
TABLES = {
    "mark.xyz": codecs.BOM_UTF8 + XYZ,
    "names.csv": rows("{},{},{}\n", first="x,y,z\n"),
    "quoted.csv": rows('"{}";"{}";"{}"\n', first='"X";"Y";"Z"\n'),
    "colours first.csv": rows("10,20,30,{},{},{}\n", first="r,g,b,x,y,z\n"),
    "colours first.txt": rows("10 20 30 {} {} {}\n", first="# R G B X Y Z\n"),
    "other order.txt": rows("{2}\t{1}\t{0}\n", first="//Z Y X\n"),
    "counted.pts": rows("{} {} {} -1200 10 20 30\n", first=f"{len(VERTICES)}\n"),
    "numbered.xyz": "".join("{} {} {} {}\n".format(i, *v) for i, v in enumerate(VERTICES)).encode(),
    "comma.txt": XYZ.replace(b".", b","),
    "comma.csv": rows("{};{};{}\n").replace(b".", b","),
    "colours last.xyz": rows("{} {} {} 10 20 30\n"),
    "nowhere.xyz": b"nan nan nan\n" + XYZ,
    "sixteen.txt": XYZ.decode().encode("utf-16"),
}


def read(tmp_path, name, data):
    path = tmp_path / name
    path.write_bytes(data)
    return read_scan(path, unit="mm")


@pytest.mark.parametrize("name", MESHES)
def test_a_mesh_is_the_same_whatever_its_writers_habits(tmp_path, name):
    scan = read(tmp_path, name, MESHES[name])
    # A float of 32 bits holds 400 mm to 2e-5 mm; the corners of an STL are joined in the order of its faces.
    corners = VERTICES[FACES]
    np.testing.assert_allclose(scan.points[scan.faces], corners, atol=1e-4)


@pytest.mark.parametrize("name", TABLES)
def test_a_table_is_the_same_points_whatever_its_writers_habits(tmp_path, name):
    scan = read(tmp_path, name, TABLES[name])
    np.testing.assert_array_equal(scan.points, VERTICES)


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("comma.txt", "decimals with a comma"),
        ("colours first.csv", "The coordinates are the columns 4, 5 and 6, as named"),
        ("numbered.xyz", "The first column only counts the rows"),
    ],
)
def test_what_was_understood_of_a_table_is_told(tmp_path, name, told):
    assert told in text(read(tmp_path, name, TABLES[name]).repairs[0])


@pytest.mark.parametrize("order", ["<", ">"])
@pytest.mark.parametrize(("counter", "corner"), [("uchar", "int"), ("int", "uint"), ("uchar", "ushort")])
def test_a_ply_of_squares_and_triangles_is_read(tmp_path, order, counter, corner):
    letters = {"uchar": "B", "int": "i", "uint": "I", "ushort": "H"}
    # The tube's faces 2k and 2k + 1 do not share a square's order, so that squares are made here, two triangles each.
    squares = [[k, (k + 1) % 24, (k + 1) % 24 + 24, k + 24] for k in range(24)]
    rest = [face for face in FACES.tolist() if max(face) >= 48 or min(face) >= 24]
    encoding = "binary_little_endian" if order == "<" else "binary_big_endian"
    header = files.ply_bytes(VERTICES, squares + rest[:0], encoding="ascii").split(b"end_header")[0].decode()
    header = header.replace("ascii", encoding).replace("uchar int", f"{counter} {corner}")
    header = re.sub(r"face \d+", f"face {len(squares) + len(rest)}", header) + "end_header\n"
    lines = b"".join(
        struct.pack(f"{order}{letters[counter]}{len(face)}{letters[corner]}", len(face), *face)
        for face in (*squares, *rest)
    )
    data = header.encode() + VERTICES.astype(f"{order}f4").tobytes() + lines
    scan = read(tmp_path, "mixed.ply", data)
    sides = np.sort(np.concatenate([scan.faces[:, [0, 1]], scan.faces[:, [1, 2]], scan.faces[:, [2, 0]]]), axis=1)
    assert (len(scan.points), len(scan.faces)) == (len(VERTICES), len(FACES))
    # A tube: every side has two faces but for the 24 round either rim.
    assert sorted(np.unique(np.unique(sides, axis=0, return_counts=True)[1], return_counts=True)[1]) == [48, 2136]
    with pytest.raises(ScanError, match="is cut off"):
        read(tmp_path, "cut.ply", data[:-1])


def test_bytes_behind_an_stl_are_told(tmp_path):
    assert text(read(tmp_path, "tail.stl", MESHES["tail.stl"]).repairs[0]) == "10 bytes behind the last face left out."


def test_strips_of_a_glb_are_its_triangles(tmp_path):
    content, data = files.gltf_content(VERTICES / 1000, FACES)
    around = np.arange(25) % 24
    strips = [np.stack([(row + 1) * 24 + around, row * 24 + around], axis=1).ravel() for row in range(30)]
    primitives = content["meshes"][0]["primitives"] = []
    del content["accessors"][1]
    for strip in strips:
        start = len(data)
        data += struct.pack(f"<{len(strip)}I", *strip)
        content["bufferViews"].append({"buffer": 0, "byteOffset": start, "byteLength": 4 * len(strip)})
        view = len(content["bufferViews"]) - 1
        content["accessors"].append({"bufferView": view, "componentType": 5125, "count": len(strip), "type": "SCALAR"})
        primitives.append({"attributes": {"POSITION": 0}, "indices": len(content["accessors"]) - 1, "mode": 5})
    content["buffers"][0]["byteLength"] = len(data)
    path = tmp_path / "strips.glb"
    path.write_bytes(files.packed_glb(content, data))
    scan = read_scan(path)
    assert (len(scan.points), len(scan.faces)) == (len(VERTICES), len(FACES))
    assert all(repair.code == "scan.welded" for repair in scan.repairs)
