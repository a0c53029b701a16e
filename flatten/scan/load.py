"""The raw triangles of a scan file, as the file has them."""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
import trimesh

from flatten.findings import Finding, finding
from flatten.mesh.surface import Floats, Ints
from flatten.scan.archive import beside_scan, scan_inside
from flatten.scan.colour import Colours, colours_of, picture_unread
from flatten.scan.format import format_of, stl_length
from flatten.scan.gltf import gltf_content, self_contained
from flatten.scan.model import ScanError
from flatten.scan.polygons import triangulated_ply
from flatten.scan.table import table_points
from flatten.scan.text import check_decimals, plain_bytes, plain_obj
from flatten.scan.usd import usd_triangles
from flatten.scan.whole import check_whole

_BROKEN = (
    ValueError,  # a word that is no number, a list that does not fill its shape, bytes that are no text
    LookupError,  # a vertex, an accessor or a property that is not there
    TypeError,  # a list or nothing at all where a number belongs
    AttributeError,  # a number where a table of the description belongs
    AssertionError,  # the glTF reader's own check of lengths
    OverflowError,  # a number of more digits than 64 bits hold
    OSError,  # pixels of a picture that are cut off or broken
    SyntaxError,  # a part of a PNG picture with no name
)
"""What the library's readers raise at broken bytes: they document none, so each was seen by feeding them such files."""


@dataclass(frozen=True, eq=False)
class Raw:
    """What a file holds: `vertices` (V,3) in its own unit, `faces` (F,3) (none: a point cloud), and that unit.

    `unit` is None where the format fixes none, `colours` (V,3) None where the vertices have none. `counted` says
    whether the format states how many faces there are, so that none can be missing unseen.
    """

    vertices: Floats
    faces: Ints
    unit: str | None
    repairs: tuple[Finding, ...]
    colours: Colours | None = None
    counted: bool = True


def load(path: Path) -> Raw:
    """The triangles and vertices of an OBJ, PLY, STL, GLB, glTF, USD or USDZ file, of a table of points, or of a ZIP
    archive of one.

    The content tells which it is. What a glTF keeps in files of its own is taken from beside it. glTF and USD
    transforms are applied; several nodes and materials become one mesh.

    Raises ScanError where the file cannot be opened, is of no readable format, is cut off or broken, or holds
    neither faces nor points.
    """
    data = plain_bytes(_bytes(path))
    form, repairs = format_of(data, name=path.name), []

    def fetch(uri: str) -> bytes:
        return (folder / uri).read_bytes()

    folder = path.parent
    if form == "zip":
        packed, bundle = data, path.name
        data, inside = scan_inside(packed, name=bundle)
        data = plain_bytes(data)
        repairs = [finding("scan.archive", "note", count=1, file=inside)]
        path = path.with_name(inside)
        form = format_of(data, name=inside)
        if form == "zip":
            raise ScanError(f"'{inside}' in the archive is no scan in one file; share it as OBJ, PLY or GLB")

        def fetch(uri: str) -> bytes:
            return beside_scan(packed, uri, name=bundle)

    raw = _raw(data, form, path, fetch=fetch)
    _check(raw, path.name)
    return replace(raw, repairs=(*repairs, *raw.repairs))


def _bytes(path: Path) -> bytes:
    try:
        # A pipe would be waited on for ever, and a device may have no end.
        if path.exists() and not path.is_file() and not path.is_dir():
            raise ScanError(f"'{path.name}' is a pipe or device and no file; save the scan to a file first")
        return path.read_bytes()
    except FileNotFoundError as error:
        raise ScanError(f"there is no scan '{path.name}'; check the path") from error
    except IsADirectoryError as error:
        raise ScanError(f"'{path}' is a folder; name the scan file inside it") from error
    except OSError as error:
        raise ScanError(f"'{path.name}' cannot be opened: {error.strerror}") from error


def _raw(data: bytes, form: str, path: Path, *, fetch: Callable[[str], bytes]) -> Raw:
    name = path.name
    if form in ("usdz", "usdc", "usda"):
        return Raw(*usd_triangles(data, ending=f".{form}", name=name), ())
    if form in ("glb", "gltf"):
        content = gltf_content(data, binary=form == "glb", name=name)
        if form == "gltf":
            data = self_contained(content, fetch=fetch, name=name)
        return _triangles(data, form, path, unit="m")
    if form == "xyz":
        points, findings = table_points(data, name=name)
        return Raw(points, np.empty((0, 3), np.int64), None, findings)
    check_decimals(data, name=name)
    if form == "obj":
        data = plain_obj(data)
    whole = check_whole(data, form=form, name=name)
    if form == "stl":
        data = data[: stl_length(data)]
    elif form == "ply":
        data = triangulated_ply(data, name=name)
    raw = _triangles(data, form, path, unit=None)
    if whole.faces is not None and len(raw.faces) < whole.faces:
        raise ScanError(f"{name} has {whole.faces} faces, {len(raw.faces)} can be read; export it again as GLB or PLY")
    return replace(raw, repairs=(*whole.repairs, *raw.repairs), counted=form != "obj")


def _check(raw: Raw, name: str) -> None:
    vertices, faces = raw.vertices, raw.faces
    if vertices.shape[1:] != (3,) or faces.shape[1:] != (3,):
        raise ScanError(f"{name} has lines with too few numbers; export it again")
    if not len(vertices):
        raise ScanError(f"{name} holds no points; export the scan again")
    if faces.size and not (faces.min() >= 0 and faces.max() < len(vertices)):
        wrong = int(np.count_nonzero((faces < 0) | (faces >= len(vertices)), axis=1).astype(bool).sum())
        raise ScanError(
            f"{name} is broken: {wrong} faces name vertices that are not there ({len(vertices)} are); "
            "copy or export it again"
        )


def _triangles(data: bytes, form: str, path: Path, *, unit: str | None) -> Raw:
    # A GLB carries its picture inside; that of an OBJ or glTF text is another file, which is not asked for.
    repairs: list[Finding] = []
    try:
        parts = _parts(data, form, path, pictures=form == "glb")
    except ScanError as error:
        if form != "glb":
            raise
        # The shape does not hang on the picture: once more without it.
        parts = _parts(data, form, path, pictures=False)
        repairs.append(picture_unread(error.__cause__ or error))
    meshes = [part for part in parts if isinstance(part, trimesh.Trimesh) and len(part.faces)]
    clouds = [part for part in parts if isinstance(part, trimesh.PointCloud)]
    if not meshes:
        points = [np.asarray(cloud.vertices, np.float64) for cloud in clouds]
        if any(cloud.shape[1:] != (3,) for cloud in points):
            raise ScanError(f"{path.name} has lines with too few numbers; export it again")
        colours, findings = colours_of(clouds)
        none = np.empty((0, 3), np.int64)
        return Raw(np.concatenate([*points, np.empty((0, 3))]), none, unit, (*repairs, *findings), colours)
    if form in ("glb", "gltf") and len(meshes) > 1:
        # Materials that share one list of vertices each come with all of it: what another uses is not left over.
        for mesh in meshes:
            mesh.remove_unreferenced_vertices()
    starts = np.cumsum([0, *(len(mesh.vertices) for mesh in meshes)])
    vertices = np.concatenate([np.asarray(mesh.vertices, np.float64) for mesh in meshes])
    faces = np.concatenate(
        [np.asarray(mesh.faces, np.int64) + start for mesh, start in zip(meshes, starts[:-1], strict=True)]
    )
    colours, findings = colours_of(meshes)
    return Raw(vertices, faces, unit, (*repairs, *findings), colours)


def _parts(data: bytes, form: str, path: Path, *, pictures: bool) -> list[Any]:
    """Meshes and clouds as the library reads them, pictures on them only where asked for."""
    try:
        return _library_parts(data, form, pictures=pictures)
    except _BROKEN as error:
        raise _unreadable(path, error) from error


def _library_parts(data: bytes, form: str, *, pictures: bool) -> list[Any]:
    kind = {"ascii stl": "stl_ascii"}.get(form, form)
    options: dict[str, Any] = {} if "stl" in form else {"skip_materials": not pictures}
    scene = trimesh.load_scene(io.BytesIO(data), file_type=kind, process=False, maintain_order=True, **options)
    # Only glTF has nodes that move their meshes; dump() copies, and unpacks pictures.
    return scene.dump() if form in ("glb", "gltf") else list(scene.geometry.values())


def _unreadable(path: Path, error: Exception) -> ScanError:
    if isinstance(error, IndexError):
        return ScanError(f"{path.name} is broken: faces name vertices that are not there; copy or export it again")
    if "unexpected length" in str(error):
        return ScanError(
            f"{path.name} has faces with different numbers of corners, or bytes behind its end; export it with "
            "triangles alone"
        )
    reason = " ".join(str(error).split())[:120] or type(error).__name__
    return ScanError(f"{path.name} cannot be read ({reason}); export it again")
