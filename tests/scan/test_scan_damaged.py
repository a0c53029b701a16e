"""Scan files damaged at random: each gives a scan or one sentence, in bounded memory."""

import resource

import numpy as np
import pytest
import scan_files as files
from test_scan_bad import ASCII_PLY, ASCII_STL, FACES, GLB, OBJ, PLY, STL, VERTICES

from flatten.scan.model import ScanError
from flatten.scan.read import read_scan

WHOLE = {
    "little.ply": PLY,
    "ascii.ply": ASCII_PLY,
    "limb.stl": STL,
    "ascii.stl": ASCII_STL,
    "limb.obj": OBJ,
    "a.glb": GLB,
    "limb.gltf": files.gltf_bytes(VERTICES / 1000, FACES),
    "limb.xyz": files.xyz_bytes(VERTICES),
    "limb.zip": files.zip_bytes("limb.obj", OBJ),
}


def damaged(data, rng):
    """A cut, or up to eight flipped bytes, or a run of bytes from elsewhere; headers are hit as often as bodies."""
    kind, reach = rng.integers(3), len(data) if rng.random() < 0.5 else min(len(data), 400)
    if kind == 0:
        return data[: rng.integers(reach)]
    broken = bytearray(data)
    if kind == 1:
        for place in rng.integers(reach, size=rng.integers(1, 9)):
            broken[place] = rng.integers(256)
    else:
        place, source, size = rng.integers(reach), rng.integers(len(data)), rng.integers(1, 40)
        broken[place : place + size] = data[source : source + size]
    return bytes(broken)


def fuzz(tmp_path, name, *, seeds):
    refused = 0
    for seed in seeds:
        path = tmp_path / name
        path.write_bytes(damaged(WHOLE[name], np.random.default_rng(seed)))
        try:
            scan = read_scan(path)
        except ScanError:
            refused += 1
        else:
            assert np.isfinite(scan.points).all()
            assert np.isfinite(scan.normals).all()
            assert scan.faces.size == 0 or scan.faces.max() < len(scan.points)
    return refused


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::RuntimeWarning:trimesh", "ignore::UserWarning")
@pytest.mark.parametrize("name", WHOLE)
def test_damaged_bytes_give_a_scan_or_a_scan_error(tmp_path, name):
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    assert fuzz(tmp_path, name, seeds=range(60)) > 10
    # KiB: no damaged count makes the reader ask for more than a small scan needs.
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 200_000


VALUES = [-1, 0, 3, 10**9, 2**32, 1e300, None, "x", [], {}, True, float("nan"), 5121, 5123, [0, 0, 0, 0], [1e9] * 3]
WORDS = [
    "-1",
    "0",
    "3",
    "999999999",
    "float",
    "uchar",
    "int",
    "list",
    "element",
    "face",
    "vertex",
    "edge",
    "x",
    "y",
    "",
]


def odd_glb(rng):
    """A GLB that is whole, but for up to three values of its description."""
    content, data = files.gltf_content(VERTICES / 1000, FACES)
    content["nodes"] = [{"children": [1]}, {"mesh": 0, "scale": [1, 1, 1], "rotation": [0, 0, 0, 1]}]
    for _ in range(rng.integers(1, 4)):
        place, key = content, None
        while isinstance(place, (dict, list)) and place and (key is None or rng.random() < 0.8):
            inside, keys = place, list(place) if isinstance(place, dict) else range(len(place))
            key = keys[rng.integers(len(keys))]
            place = place[key]
        if rng.random() < 0.3:
            del inside[key]
        else:
            inside[key] = VALUES[rng.integers(len(VALUES))]
    return files.packed_glb(content, data)


def odd_ply(rng):
    """A PLY that is whole, but for up to three lines of its header: lost, doubled, exchanged or with another word."""
    head, end, body = (ASCII_PLY, PLY)[rng.integers(2)].partition(b"end_header\n")
    lines = [line.split(" ") for line in head.decode().splitlines()]
    for _ in range(rng.integers(1, 4)):
        one, other = rng.integers(1, len(lines), size=2)
        match rng.integers(4):
            case 0 if len(lines) > 2:
                del lines[one]
            case 1:
                lines.insert(one, list(lines[other]))
            case 2:
                lines[one], lines[other] = lines[other], lines[one]
            case _:
                lines[one][rng.integers(len(lines[one]))] = WORDS[rng.integers(len(WORDS))]
    return "\n".join(" ".join(line) for line in lines).encode() + b"\n" + end + body


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::RuntimeWarning", "ignore::UserWarning")
@pytest.mark.parametrize(("name", "odd"), [("odd.glb", odd_glb), ("odd.ply", odd_ply)])
def test_odd_headers_give_a_scan_or_a_scan_error(tmp_path, name, odd):
    before, told = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, []
    for seed in range(120):
        (tmp_path / name).write_bytes(odd(np.random.default_rng(seed)))
        try:
            read_scan(tmp_path / name)
        except ScanError as error:
            told.append(str(error))
    assert len(told) > 30
    assert not any("\n" in sentence or str(tmp_path) in sentence for sentence in told)
    assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 200_000


@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::RuntimeWarning:trimesh")
@pytest.mark.parametrize(("name", "seed"), [("little.ply", 1248), ("ascii.ply", 1181)])
def test_damage_that_once_got_through_is_refused(tmp_path, name, seed):
    assert fuzz(tmp_path, name, seeds=[seed]) == 1


@pytest.mark.full
@pytest.mark.filterwarnings("ignore::DeprecationWarning", "ignore::RuntimeWarning:trimesh", "ignore::UserWarning")
@pytest.mark.parametrize("name", WHOLE)
def test_damaged_bytes_give_a_scan_or_a_scan_error_at_length(tmp_path, name):
    assert fuzz(tmp_path, name, seeds=range(1000, 1500)) > 100
