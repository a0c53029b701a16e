"""Scans inside archives: a ZIP of an OBJ as phones share it, and USD packages with unit, up axis and transforms."""

import importlib.util
import io
import json
import re
import struct
import zipfile

import numpy as np
import pytest
import scan_files as files

from flatten.scan import archive, usd
from flatten.scan.model import ScanError
from flatten.scan.read import read_scan
from flatten.words.say import text
from tests.repairs import codes

VERTICES, FACES = files.tube(columns=24, rows=30)
OBJ = files.obj_bytes(VERTICES, FACES, first_line="mtllib limb.mtl")
needs_usd = pytest.mark.skipif(importlib.util.find_spec("pxr") is None, reason="the extra usd is not installed")


def packed(**content):
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as bundle:
        for name, data in content.items():
            bundle.writestr(name, data)
    return stream.getvalue()


def scan_of(tmp_path, data, name="shin.zip", **options):
    path = tmp_path / name
    path.write_bytes(data)
    return read_scan(path, **options)


def refusal(tmp_path, data, name="shin.zip"):
    with pytest.raises(ScanError) as caught:
        scan_of(tmp_path, data, name)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_an_obj_is_read_out_of_its_archive_with_material_and_texture(tmp_path):
    data = packed(**{
        "limb/limb.mtl": b"newmtl skin\nmap_Kd skin.png\n",
        "limb/skin.png": b"\x89PNG\r\n\x1a\n" + bytes(900),
        "__MACOSX/limb/._limb.obj": b"\x00\x05\x16\x07",
        "limb/limb.obj": OBJ,
    })  # fmt: skip
    scan = scan_of(tmp_path, data)
    assert len(scan.faces) == len(FACES)
    assert [text(repair) for repair in scan.repairs] == ["'limb.obj' was taken out of the archive."]


@pytest.mark.parametrize("name", ["little.ply", "limb.stl", "limb.obj"])
def test_any_one_scan_is_read_out_of_an_archive(tmp_path, name):
    inside = scan_of(tmp_path, packed(**{name: files.WRITERS[name](VERTICES, FACES)}))
    (tmp_path / name).write_bytes(files.WRITERS[name](VERTICES, FACES))
    np.testing.assert_array_equal(inside.points, read_scan(tmp_path / name).points)


def test_a_glb_in_an_archive_is_in_metres(tmp_path):
    scan = scan_of(tmp_path, packed(**{"limb.glb": files.glb_bytes(VERTICES / 1000, FACES)}))
    assert (scan.unit, scan.unit_from) == ("m", "file")


def apart(uri):
    """A glTF description that keeps its points in the file `uri`, and the bytes of that."""
    content, data = files.gltf_content(VERTICES / 1000, FACES)
    content["buffers"][0]["uri"] = uri
    return json.dumps(content).encode(), data


def test_a_gltf_in_an_archive_is_read_with_the_file_of_its_points(tmp_path):
    content, data = apart("parts/the%20limb.bin")
    scan = scan_of(tmp_path, packed(**{"a/scene.gltf": content, "a/parts/the limb.bin": data, "a/skin.png": b""}))
    assert len(scan.faces) == len(FACES)
    np.testing.assert_allclose(scan.points, VERTICES, atol=1e-4)


def test_a_gltf_beside_the_file_of_its_points_is_read(tmp_path):
    content, data = apart("the%20limb.bin")
    (tmp_path / "the limb.bin").write_bytes(data)
    np.testing.assert_allclose(scan_of(tmp_path, content, "limb.gltf").points, VERTICES, atol=1e-4)
    (tmp_path / "the limb.bin").write_bytes(data[:-1])
    assert "'the limb.bin' holds 26207 bytes of 26208" in refusal(tmp_path, content, "limb.gltf")


@pytest.mark.parametrize("uri", ["../limb.bin", "/limb.bin", "http://limb.bin", "a\\limb.bin", "a/%2e%2e/../limb.bin"])
def test_nothing_outside_the_folder_of_a_gltf_is_read(tmp_path, uri):
    content, data = apart(uri)
    (tmp_path / "limb.bin").write_bytes(data)
    assert "which is not in its folder; export the scan as GLB" in refusal(tmp_path, content, "limb.gltf")


def locked():
    """An archive whose one member claims to be encrypted."""
    data = bytearray(packed(**{"limb.obj": OBJ}))
    for signature, place in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        data[data.index(signature) + place] |= 1
    return bytes(data)


def lying():
    """A bomb that names a harmless size in both of its headers."""
    zeros = bytes(2_000_000)
    data = bytearray(packed(**{"limb.obj": zeros}))
    for signature, place in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        struct.pack_into("<I", data, data.index(signature) + place, 1000)
    return bytes(data)


BAD = {
    "nothing": (packed(**{"notes.txt": b"x"}), "ZIP archive without a scan in it"),
    "two": (packed(**{"a.obj": OBJ, "b.ply": b"ply\n"}), r"holds 2 scans \('a.obj', 'b.ply'\)"),
    "cut": (packed(**{"limb.obj": OBJ})[:-40], "cannot be unpacked"),
    "flipped": (packed(**{"limb.obj": OBJ}).replace(b"PK\x01\x02", b"PK\x09\x02"), "cannot be unpacked"),
    "broken inside": (packed(**{"limb.obj": OBJ[: OBJ.index(b"\nv 3") + 4]}), "limb.obj is cut off"),
    "empty inside": (packed(**{"limb.obj": b""}), "limb.obj is empty"),
    "bomb": (packed(**{"limb.obj": bytes(40_000_000)}), "packed tighter than any scan"),
    "lying bomb": (lying(), "cannot be unpacked|packed tighter|is empty"),
    "locked": (locked(), "locked by a password"),
    "nested": (packed(**{"limb.obj": packed(**{"limb.obj": OBJ})}), "no scan in one file"),
    "gltf alone": (
        packed(**{"limb.gltf": apart("limb.bin")[0]}),
        "keeps its points in 'limb.bin', which is not beside it",
    ),
    "other container": (packed(**{"3D/3dmodel.model": b"<model/>"}), "without a scan in it"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_archive_is_refused_in_one_sentence(tmp_path, name):
    data, sentence = BAD[name]
    assert re.search(sentence, refusal(tmp_path, data))


def test_no_more_than_the_bound_is_unpacked(tmp_path, monkeypatch):
    monkeypatch.setattr(archive, "MOST_BYTES", 10_000)
    assert "beyond 0 MB" in refusal(tmp_path, packed(**{"limb.obj": OBJ}))


def test_damaged_archives_give_a_scan_or_a_scan_error(tmp_path):
    whole, refused = packed(**{"limb.mtl": b"newmtl skin\n" * 9, "limb.obj": OBJ}), 0
    for seed in range(60):
        rng = np.random.default_rng(seed)
        data = bytearray(whole[: rng.integers(len(whole))] if rng.random() < 0.2 else whole)
        ends = np.concatenate(
            [rng.integers(len(data), size=4), len(data) - 1 - rng.integers(min(200, len(data)), size=4)]
        )
        for place in ends:
            data[place] = rng.integers(256)
        try:
            scan_of(tmp_path, bytes(data))
        except ScanError:
            refused += 1
    assert refused > 20


def stage(tmp_path, *, unit=0.001, up="Z", ending="usdc", points=VERTICES, faces=FACES, hand="rightHanded", move=None):
    """The bytes of a USD file written by its own library."""
    from pxr import Gf, Usd, UsdGeom

    path = tmp_path / f"made.{ending}"
    path.unlink(missing_ok=True)
    made = Usd.Stage.CreateNew(str(path))
    UsdGeom.SetStageMetersPerUnit(made, unit)
    UsdGeom.SetStageUpAxis(made, up)
    parent = UsdGeom.Xform.Define(made, "/limb")
    if move is not None:
        parent.AddTransformOp().Set(Gf.Matrix4d(*move.T.ravel().tolist()))
    mesh = UsdGeom.Mesh.Define(made, "/limb/skin")
    mesh.CreatePointsAttr(points.tolist())
    mesh.CreateFaceVertexCountsAttr([faces.shape[1]] * len(faces))
    mesh.CreateFaceVertexIndicesAttr(faces.ravel().tolist())
    mesh.CreateOrientationAttr(hand)
    made.GetRootLayer().Save()
    return path


def package(path):
    from pxr import UsdUtils

    target = path.with_suffix(".usdz")
    assert UsdUtils.CreateNewUsdzPackage(str(path), str(target))
    return target


@needs_usd
@pytest.mark.parametrize(("unit", "name"), [(0.001, "mm"), (0.01, "cm"), (1.0, "m"), (0.0254, "in")])
def test_a_usdz_says_its_unit(tmp_path, unit, name):
    made = stage(tmp_path, unit=unit, points=VERTICES / 1000 / unit)
    scan = read_scan(package(made))
    assert (scan.unit, scan.unit_from) == (name, "file")
    assert len(scan.faces) == len(FACES)
    # z up is turned to y up: the limb runs along y.
    np.testing.assert_allclose(np.ptp(scan.points, axis=0), np.ptp(VERTICES, axis=0)[[0, 2, 1]], rtol=1e-6)


@needs_usd
def test_an_unusual_unit_is_brought_to_metres(tmp_path):
    scan = read_scan(stage(tmp_path, unit=0.3048, points=VERTICES / 304.8))
    assert scan.unit == "m"
    assert np.ptp(scan.points, axis=0).max() == pytest.approx(np.ptp(VERTICES, axis=0).max(), rel=1e-6)


@needs_usd
@pytest.mark.parametrize("ending", ["usdc", "usda"])
def test_y_up_stays_as_it_is_and_transforms_are_applied(tmp_path, ending):
    move = np.array([[0, -1, 0, 30.0], [1, 0, 0, -20.0], [0, 0, 1, 5.0], [0, 0, 0, 1]])
    scan = read_scan(stage(tmp_path, up="Y", ending=ending, move=move))
    placed = VERTICES @ move[:3, :3].T + move[:3, 3]
    np.testing.assert_allclose(scan.points, placed, atol=1e-4)


@needs_usd
def test_a_left_handed_mesh_looks_outward_before_anything_is_turned(tmp_path):
    path = stage(tmp_path, up="Y", faces=FACES[:, ::-1], hand="leftHanded")
    _, faces, _ = usd.usd_triangles(path.read_bytes(), ending=".usdc", name="limb")
    np.testing.assert_array_equal(np.sort(faces, axis=1), np.sort(FACES, axis=1))
    assert "turned" not in [code for code, _ in codes(read_scan(path).repairs)]


def test_polygons_are_cut_into_fans():
    triangles = usd.fans(np.array([3, 4, 2, 5]), np.arange(14))
    assert triangles.tolist() == [[0, 1, 2], [3, 4, 5], [3, 5, 6], [9, 10, 11], [9, 11, 12], [9, 12, 13]]


@needs_usd
def test_broken_usd_is_refused(tmp_path):
    whole = package(stage(tmp_path)).read_bytes()
    assert "archive that cannot be unpacked" in refusal(tmp_path, whole[: len(whole) // 2], "cut.usdz")
    for name, content, sentence in (
        ("index.usdc", stage(tmp_path, faces=FACES + 9).read_bytes(), "name vertices that are not there"),
        ("empty.usda", b"#usda 1.0\n", "holds no mesh"),
        ("words.usda", b"#usda 1.0\nthe shins are late\n", "is no USD file that can be opened"),
    ):
        assert sentence in refusal(tmp_path, content, name)


@needs_usd
def test_a_crash_of_the_native_reader_is_an_error_here(tmp_path, monkeypatch):
    real = usd.subprocess.run

    def crashing(command, **options):
        return real([command[0], "-c", "import os; os.kill(os.getpid(), 11)"], **options)

    monkeypatch.setattr(usd.subprocess, "run", crashing)
    assert "the USD reader gives up on it" in refusal(tmp_path, stage(tmp_path).read_bytes(), "shin.usdc")


def test_without_its_reader_a_usdz_names_the_extra(tmp_path, monkeypatch):
    monkeypatch.setattr(usd.importlib.util, "find_spec", lambda name: None)
    assert "pip install 'calfskin[usd]'" in refusal(tmp_path, packed(**{"limb.usdc": b"PXR-USDC"}), "shin.usdz")
