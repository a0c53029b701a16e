"""The triangles of a USD file or USDZ package, read by the optional library usd-core in a process of its own."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np

from flatten.mesh.surface import Floats, Ints
from flatten.scan.model import ScanError

EXTRA = "pip install 'calfskin[usd]'"
"""How the reader of USD is installed: usd-core, under the Tomorrow Open Source Technology License 1.0."""

PATIENCE = 120.0
"""seconds. A file that keeps the reader longer than this is given up: a million faces take 5."""

MOST_POINTS = 20_000_000
"""Points and corners that are taken from one file at most: 480 MB."""

MOST_MEMORY = 4_000_000_000
"""bytes of address space for the reading process, where the system can bound it."""

UNITS = {0.001: "mm", 0.01: "cm", 1.0: "m", 0.0254: "in"}
"""Names of the `metersPerUnit` that a scan is kept in; any other is brought to metres."""

_NOT_SHOWN = ("proxy", "guide")
"""Purposes of a mesh that a viewer does not show."""

REASON_GIVEN = 2
"""Exit code of the reading process where it has a sentence for the user on its standard output."""


def usd_triangles(data: bytes, *, ending: str, name: str) -> tuple[Floats, Ints, str]:
    """Vertices (V,3), triangles (F,3) of all meshes in the USD content `data`, and the name of their unit.

    Transforms and `metersPerUnit` are honoured, a stage with z up is turned to y up as glTF has it, left-handed meshes
    are turned, polygons are cut into fans. `ending` (".usdz", ".usdc", ".usda") tells the library which it is.

    A native library reads it, which broken bytes can crash: so it runs in a process of its own, with bounds of time
    and memory, on a copy of the content in a folder of its own.

    Raises ScanError where usd-core is not installed, and where the file is broken or holds no mesh.
    """
    if importlib.util.find_spec("pxr") is None:
        raise ScanError(
            f"{name} is a USD file, and its reader is not installed; install it with: {EXTRA}, or export the scan as "
            "OBJ, PLY or GLB"
        )
    with tempfile.TemporaryDirectory(prefix="calfskin-") as folder:
        source, target = Path(folder) / f"scan{ending}", Path(folder) / "triangles.npz"
        source.write_bytes(data)
        command = [sys.executable, "-m", "flatten.scan.usd", str(source), str(target)]
        root = str(Path(__file__).resolve().parents[2])
        try:
            # From the folder above the package, so that it is found however it was installed.
            done = subprocess.run(command, cwd=root, capture_output=True, text=True, timeout=PATIENCE, check=False)
        except subprocess.TimeoutExpired as error:
            raise ScanError(f"{name} keeps the USD reader busy for over {PATIENCE:.0f} s; export it as GLB") from error
        if done.returncode == REASON_GIVEN:
            raise ScanError(f"{name} {done.stdout.strip()}; export it again, or as OBJ, PLY or GLB")
        if done.returncode or not target.exists():
            raise ScanError(f"{name} is broken: the USD reader gives up on it; copy or export it again")
        with np.load(target, allow_pickle=False) as arrays:
            return arrays["vertices"], arrays["faces"], str(arrays["unit"])


def _read(source: str, target: str) -> None:
    """Write the triangles of `source` to the arrays file `target`.

    Raises ScanError, the end of a sentence that begins with the file's name, where it cannot be read.
    """
    from pxr import Tf, Usd, UsdGeom

    try:
        stage = Usd.Stage.Open(source)
    except Tf.ErrorException as error:
        raise ScanError("is no USD file that can be opened") from error
    # What moves in time is taken where it begins.
    first = Usd.TimeCode.EarliestTime()
    cache = UsdGeom.XformCache(first)
    vertices, faces, start = [], [], 0
    for prim in stage.Traverse(Usd.TraverseInstanceProxies()):
        if not prim.IsA(UsdGeom.Mesh):
            continue
        mesh = UsdGeom.Mesh(prim)
        # A stand-in or a guide is shown beside the real mesh, and what is hidden is no part of the scan.
        if mesh.ComputeVisibility() == UsdGeom.Tokens.invisible or mesh.ComputePurpose() in _NOT_SHOWN:
            continue
        attributes = (mesh.GetPointsAttr(), mesh.GetFaceVertexCountsAttr(), mesh.GetFaceVertexIndicesAttr())
        points, counts, corners = (np.array(attribute.Get(first)) for attribute in attributes)
        if points.ndim != 2 or points.shape[1] != 3:
            continue
        start += len(points)
        if start + corners.size > MOST_POINTS:
            raise ScanError(f"holds more than {MOST_POINTS} points and corners")
        if counts.size == 0 or counts.min() < 0 or counts.sum() != corners.size:
            raise ScanError("is broken: a mesh in it has faces that do not match its corners")
        if corners.min() < 0 or corners.max() >= len(points):
            raise ScanError("is broken: a mesh in it has faces that name vertices that are not there")
        matrix = np.array(cache.GetLocalToWorldTransform(prim))
        triangles = fans(counts.astype(np.int64), corners.astype(np.int64))
        flipped = (mesh.GetOrientationAttr().Get() == "leftHanded") != (np.linalg.det(matrix[:3, :3]) < 0)
        vertices.append(points.astype(np.float64) @ matrix[:3, :3] + matrix[3, :3])
        faces.append((triangles[:, ::-1] if flipped else triangles) + start - len(points))
    if not vertices:
        raise ScanError("holds no mesh")
    placed, metres = np.concatenate(vertices), float(UsdGeom.GetStageMetersPerUnit(stage))
    unit = next((name for size, name in UNITS.items() if abs(metres - size) <= 1e-6 * size), None)
    if unit is None:
        placed = placed * metres
    if UsdGeom.GetStageUpAxis(stage) == "Z":
        placed = placed[:, [0, 2, 1]] * np.array([1.0, 1.0, -1.0])
    np.savez(target, vertices=placed, faces=np.concatenate(faces), unit=unit or "m")


def fans(counts: Ints, corners: Ints) -> Ints:
    """Triangles (F,3) of polygons with `counts` (P,) corners each, named one after the other in `corners`."""
    first = np.cumsum(counts) - counts
    each = np.maximum(counts - 2, 0)
    start = np.repeat(first, each)
    step = np.arange(each.sum()) - np.repeat(np.cumsum(each) - each, each)
    return np.stack([corners[start], corners[start + step + 1], corners[start + step + 2]], axis=1)


def _bound_memory() -> None:
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))


if __name__ == "__main__":
    _bound_memory()
    try:
        _read(sys.argv[1], sys.argv[2])
    except ScanError as trouble:
        print(trouble)
        sys.exit(REASON_GIVEN)
