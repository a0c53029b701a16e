"""Which format a scan file is in, told by its content."""

from __future__ import annotations

import re
import struct

from flatten.scan.archive import is_usdz
from flatten.scan.model import ScanError
from flatten.scan.table import is_table

READABLE = "OBJ, PLY, STL, GLB, glTF, XYZ or USDZ, or a ZIP of one"

_HEAD = 4096
"""bytes. So much of a file is looked at to tell a text format by its first lines."""

_OBJ_LINE = re.compile(rb"^[ \t]*(?:v|vn|vt|f|o|g|usemtl|mtllib)[ \t]+\S", re.MULTILINE)
_REMARKS = re.compile(rb"(?:[ \t]*(?:#[^\r\n]*)?[\r\n]+)*")
_FOREIGN = {
    b"Kaydara FBX": "an FBX file",
    b"BLENDER": "a .blend file",
    b"\x1f\x8b": "a gzip archive",
    b"\x89PNG": "a PNG picture",
    b"\xff\xd8\xff": "a JPEG picture",
    b"%PDF": "a PDF page",
    b"7z\xbc\xaf": "a 7z archive",
    b"Rar!": "a RAR archive",
    b"LASF": "a LAS point cloud",
    b"ASTM-E57": "an E57 point cloud",
    b"# .PCD": "a PCD point cloud",
    b"OFF": "an OFF file",
    b"RIFF": "a picture or film",
    b"GIF8": "a GIF picture",
    b"<?xml": "an XML file, such as COLLADA",
}


_OWN = {b"glTF": "glb", b"PXR-USDC": "usdc", b"#usda": "usda"}


def stl_length(data: bytes) -> int:
    """Bytes that a binary STL with this header must have: 84 and 50 for each face it announces."""
    return 84 + 50 * int(struct.unpack_from("<I", data, 80)[0])


def format_of(data: bytes, *, name: str) -> str:
    """One of "ply", "stl", "ascii stl", "glb", "gltf", "obj", "xyz", "usdz", "usdc", "usda", and "zip" for an archive.

    The ending of `name` counts for one thing only: a damaged binary STL has no other mark.

    Raises ScanError where the content is empty or of no readable format.
    """
    if not data.strip(b"\x00 \t\r\n"):
        raise ScanError(f"{name} is empty; export the scan again")
    for magic, what in _FOREIGN.items():
        if data.startswith(magic):
            raise ScanError(f"{name} is {what}, which is not read; export the scan as {READABLE}")
    if data[4:8] == b"ftyp":
        raise ScanError(f"{name} is a photo or film of a phone, no scan; export the scan as {READABLE}")
    remarks = _REMARKS.match(data)
    start = remarks.end() if remarks else 0
    head = data[start : start + _HEAD].lstrip()
    for magic, form in _OWN.items():
        if data.startswith(magic):
            return form
    if data.startswith(b"PK\x03\x04"):
        return "usdz" if is_usdz(data) else "zip"
    if re.match(rb"ply\s", head):
        return "ply"
    if head.startswith(b"{"):
        return "gltf"
    if len(data) >= 84 and len(data) == stl_length(data):
        return "stl"
    if head.lower().startswith(b"solid") and b"facet" in data[:_HEAD].lower():
        return "ascii stl"
    if b"\x00" not in head:
        if _OBJ_LINE.search(head):
            return "obj"
        if is_table(head):
            return "xyz"
    if name.lower().endswith(".stl"):
        return "stl"
    raise ScanError(f"{name} is no 3D scan that is read here; export the scan as {READABLE}")
