"""Whether a GLB or glTF file is whole and holds only what can be read."""

from __future__ import annotations

import base64
import json
import struct
from collections.abc import Callable
from typing import Any
from urllib.parse import unquote

from flatten.scan.model import ScanError

_UNREADABLE = {
    "KHR_draco_mesh_compression": "Draco compression",
    "EXT_meshopt_compression": "meshopt compression",
    "KHR_meshopt_compression": "meshopt compression",
    "EXT_mesh_gpu_instancing": "meshes repeated by the graphics card",
    "KHR_mesh_quantization": "quantised positions",
}
_LOOKS = ("KHR_materials_", "KHR_texture_", "EXT_texture_", "KHR_lights_", "MSFT_texture_")
"""Beginnings of extensions that change how a scan looks, never its shape."""

_POINTS, _TRIANGLES, _STRIP, _FAN = 0, 4, 5, 6
"""Modes of a primitive (glTF 2.0, section 3.7.2.1)."""

_COMPONENT_BYTES = {5120: 1, 5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
_TYPE_SIZE = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4, "MAT2": 4, "MAT3": 9, "MAT4": 16}
_JSON_CHUNK = 0x4E4F534A


def gltf_content(data: bytes, *, binary: bool, name: str) -> dict[str, Any]:
    """The JSON part of a GLB (`binary`) or glTF file, checked.

    Raises ScanError where the container is cut off or broken, where it needs an extension that is not read,
    where a buffer view or an accessor reaches past its buffer, where points are stored in a way that is not read, and
    where the nodes form no trees.
    """
    content = _parsed(_glb_json(data, name) if binary else data, name)
    try:
        _check_extensions(content, name)
        if binary and any("uri" in buffer for buffer in content.get("buffers", [])):
            raise ScanError(f"{name} keeps points in another file, though it is a GLB; export it again as one GLB")
        _check_accessors(content, name)
        _check_primitives(content, name)
        _check_nodes(content, name)
    except (AttributeError, IndexError, KeyError, TypeError, ValueError, OverflowError) as error:
        if isinstance(error, ScanError):
            raise
        raise ScanError(f"{name} breaks the glTF rules ({type(error).__name__}: {error}); export it again") from error
    return content


def _glb_json(data: bytes, name: str) -> bytes:
    if len(data) < 20:
        raise ScanError(f"{name} is cut off: {len(data)} bytes are less than a GLB header; copy or export it again")
    version, length, size, kind = struct.unpack_from("<4I", data, 4)
    if version != 2:
        raise ScanError(f"{name} is GLB version {version}; export it as version 2")
    if length > len(data) or 20 + size > len(data):
        raise ScanError(
            f"{name} is cut off: it announces {max(length, 20 + size)} bytes and holds {len(data)}; "
            "copy or export it again"
        )
    if kind != _JSON_CHUNK:
        raise ScanError(f"{name} is a broken GLB: its first part is not its description; export it again")
    return data[20 : 20 + size]


def _parsed(text: bytes, name: str) -> dict[str, Any]:
    try:
        content = json.loads(text)
    except (ValueError, RecursionError) as error:
        raise ScanError(f"{name} has a description that is cut off or broken ({error}); export it again") from error
    if not isinstance(content, dict) or not isinstance(content.get("asset"), dict):
        raise ScanError(f"{name} is no glTF: it has no 'asset'; export the scan as GLB")
    version = str(content["asset"].get("version", "2.0"))
    if not version.startswith("2."):
        raise ScanError(f"{name} is glTF version {version[:20]}; export it as version 2")
    return content


def _check_extensions(content: dict[str, Any], name: str) -> None:
    used = set(content.get("extensionsRequired", [])) | set(content.get("extensionsUsed", []))
    for extension in sorted(used & set(_UNREADABLE)):
        what = _UNREADABLE[extension]
        raise ScanError(f"{name} uses {what} ({extension}), which is not read; export it without, or as OBJ or PLY")
    for extension in content.get("extensionsRequired", []):
        if not extension.startswith(_LOOKS):
            raise ScanError(f"{name} cannot be read without {extension[:60]}, which is not known; export it plainly")


def _check_accessors(content: dict[str, Any], name: str) -> None:
    buffers = [int(buffer["byteLength"]) for buffer in content.get("buffers", [])]
    views = content.get("bufferViews", [])
    for number, view in enumerate(views):
        end = int(view.get("byteOffset", 0)) + int(view["byteLength"])
        if int(view["buffer"]) < 0 or end > buffers[view["buffer"]]:
            raise ScanError(f"{name} is broken: its buffer view {number} reaches past its buffer; export it again")
    for number, accessor in enumerate(content.get("accessors", [])):
        count = int(accessor["count"])
        if "sparse" in accessor:
            raise ScanError(
                f"{name} stores changes to its points apart from them (sparse accessor {number}), which is not read; "
                "export it as PLY or OBJ"
            )
        size = _COMPONENT_BYTES[accessor["componentType"]] * _TYPE_SIZE[accessor["type"]]
        if "bufferView" not in accessor:
            # Zeros made up from a count: no scan needs them, and a count may ask for any amount of memory.
            raise ScanError(f"{name} has an accessor {number} without data; export it again")
        view = views[accessor["bufferView"]]
        step = int(view.get("byteStride", size)) or size
        needed = int(accessor.get("byteOffset", 0)) + step * (count - 1) + size
        if count < 0 or step < 1 or (count and needed > int(view["byteLength"])):
            raise ScanError(f"{name} is broken: its accessor {number} reaches past its data; export it again")


def _check_primitives(content: dict[str, Any], name: str) -> None:
    accessors = content.get("accessors", [])
    for mesh in content.get("meshes", []):
        for primitive in mesh["primitives"]:
            if primitive.get("mode", _TRIANGLES) == _FAN:
                raise ScanError(f"{name} stores faces as fans, which are not read; export it with plain triangles")
            position = primitive.get("attributes", {}).get("POSITION")
            if position is not None and accessors[position].get("normalized", False):
                raise ScanError(f"{name} stores quantised positions, which are not read; export it as OBJ or PLY")


def self_contained(content: dict[str, Any], *, fetch: Callable[[str], bytes], name: str) -> bytes:
    """A checked glTF description with what lies in files of its own put into it.

    `fetch` gives the bytes of a file beside it by its relative path, or raises FileNotFoundError.

    Raises ScanError where such a file is elsewhere, missing or too short.
    """
    buffers = []
    for buffer in content.get("buffers", []):
        uri = str(buffer.get("uri", ""))
        if not uri.startswith("data:"):
            data = _outside(unquote(uri), fetch, name)
            if len(data) < int(buffer["byteLength"]):
                raise ScanError(
                    f"{name} is not whole: '{unquote(uri)[:60]}' holds {len(data)} bytes of {buffer['byteLength']}; "
                    "copy both again, or export the scan as GLB"
                )
            uri = "data:application/octet-stream;base64," + base64.b64encode(data).decode("ascii")
        buffers.append({**buffer, "uri": uri})
    return json.dumps({**content, "buffers": buffers}).encode()


def _outside(uri: str, fetch: Callable[[str], bytes], name: str) -> bytes:
    named = f"'{uri[:60]}'" if uri else "a file that it does not name"
    if not uri or ":" in uri or uri.startswith("/") or "\\" in uri or ".." in uri.split("/"):
        raise ScanError(f"{name} keeps its points in {named}, which is not in its folder; export the scan as GLB")
    try:
        return fetch(uri)
    except OSError as error:
        raise ScanError(
            f"{name} keeps its points in {named}, which is not beside it; put both into one folder, or export "
            "the scan as GLB"
        ) from error


def _check_nodes(content: dict[str, Any], name: str) -> None:
    nodes = content.get("nodes", [])
    seen = set()
    for node in nodes:
        for child in node.get("children", []):
            if child in seen or not 0 <= child < len(nodes):
                raise ScanError(f"{name} is broken: its scene node {child} hangs in two places; export it again")
            seen.add(child)
    # One parent each: whatever is not reached from a parentless node lies in a ring.
    reached = [number for number in range(len(nodes)) if number not in seen]
    for number in reached:
        reached.extend(nodes[number].get("children", []))
    if len(reached) != len(nodes):
        raise ScanError(f"{name} is broken: its scene nodes form a ring; export it again")
