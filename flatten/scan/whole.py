"""Whether a PLY, STL or OBJ file is whole: what it announces against what it holds."""

from __future__ import annotations

import re
from dataclasses import dataclass

from flatten.findings import Finding, finding
from flatten.scan.format import stl_length
from flatten.scan.model import ScanError

PLY_TYPES = {
    **dict.fromkeys(("char", "int8"), "i1"),
    **dict.fromkeys(("uchar", "uint8"), "u1"),
    **dict.fromkeys(("short", "int16"), "i2"),
    **dict.fromkeys(("ushort", "uint16"), "u2"),
    **dict.fromkeys(("int", "int32"), "i4"),
    **dict.fromkeys(("uint", "uint32"), "u4"),
    **dict.fromkeys(("float", "float32"), "f4"),
    **dict.fromkeys(("double", "float64"), "f8"),
}
"""The types of a PLY's properties by either of their names: a letter for the kind, and the bytes."""

_ASCII_VALUE = 2
"""bytes. A digit and a separator: the least that a value takes in an ascii file."""


_OBJ_FACES = re.compile(rb"^#[ \t]*(?:faces:[ \t]*(\d{1,9})|(\d{1,9})[ \t]+(?:faces|polygons))\b", re.I | re.M)
"""A remark that counts the faces of an OBJ, or of one of its groups: the format itself announces nothing."""


_COUNT = re.compile(r"[0-9]{1,12}")
"""How many entries an element of a PLY has: more digits than any file has bytes are broken ones."""

_ZERO = re.compile(rb"^f [^\n]*(?<= )-?0(?=[ /\r\n]|\Z)", re.M)
"""A face that names a vertex 0, which readers take for the last one."""


@dataclass(frozen=True)
class Announced:
    """How many faces a file says that it has (None: it does not say), and what was seen on the way."""

    faces: int | None
    repairs: tuple[Finding, ...] = ()


def check_whole(data: bytes, *, form: str, name: str) -> Announced:
    """What the file `data` of format `form` announces.

    Raises ScanError where the file is cut off, or announces more than it can hold.
    """
    checks = {"ply": _ply, "stl": _binary_stl, "ascii stl": _ascii_stl, "obj": _obj}
    return checks[form](data, name)


def _cut_off(name: str, what: str) -> ScanError:
    return ScanError(f"{name} is cut off: {what}; copy or export it again")


def _ply(data: bytes, name: str) -> Announced:
    end = re.search(rb"\bend_header\r?\n", data)
    if not end:
        raise _cut_off(name, "its PLY header has no end")
    lines = [line.split() for line in data[: end.start()].decode("latin-1").splitlines()]
    encoding = next((line[1] for line in lines if len(line) > 1 and line[0] == "format"), "")
    if encoding not in ("ascii", "binary_little_endian", "binary_big_endian"):
        raise ScanError(f"{name} has the unknown PLY format '{encoding}'; export it as ascii or binary PLY")
    counts: dict[str, int] = {}
    properties: dict[str, list[str]] = {}
    least = 0
    element = ""
    for line in lines:
        if line[:1] == ["element"]:
            if len(line) != 3 or not _COUNT.fullmatch(line[2]) or line[1] in counts:
                raise ScanError(f"{name} has a broken line in its PLY header: '{' '.join(line)[:60]}'; export it again")
            element = line[1]
            counts[element], properties[element] = int(line[2]), []
        elif line[:1] == ["property"]:
            types = line[2:4] if line[1:2] == ["list"] else line[1:2]
            wanted = 5 if line[1:2] == ["list"] else 3
            if len(line) != wanted or not element or any(kind not in PLY_TYPES for kind in types):
                raise ScanError(f"{name} has a broken line in its PLY header: '{' '.join(line)[:60]}'; export it again")
            properties[element].append(line[-1])
            sizes = [int(PLY_TYPES[kind][1]) if encoding != "ascii" else _ASCII_VALUE for kind in types]
            # A list takes at least its own count, and a face has three corners.
            corners = 3 if len(types) == 2 and line[4].startswith("vertex_ind") else 0
            least += counts[element] * (sizes[0] + corners * sizes[-1])
    _check_properties(counts, properties, binary=encoding != "ascii", name=name)
    body = len(data) - end.end()
    # The last line of an ascii file may lack its line break.
    if least > body + (encoding == "ascii"):
        announced = " and ".join(f"{count} {kind} entries" for kind, count in counts.items())
        raise _cut_off(name, f"it announces {announced}, at least {least} bytes, and holds {body}")
    if encoding == "ascii":
        rows, found = sum(counts.values()), sum(1 for line in data[end.end() :].splitlines() if line.strip())
        if found < rows:
            raise _cut_off(name, f"it announces {rows} lines of values and holds {found}")
    return Announced(counts.get("face", 0))


def _check_properties(counts: dict[str, int], properties: dict[str, list[str]], *, binary: bool, name: str) -> None:
    """Raise ScanError where the reader could not tell which of a PLY's values are the corners of faces.

    It takes the only list of a binary file by any name, and has no length for an entry of no properties there.
    """
    for element, words in properties.items():
        if binary and not words:
            raise ScanError(f"{name} has entries '{element[:60]}' of no properties in its PLY header; export it again")
    words = properties.get("face", [])
    named = bool({"vertex_index", "vertex_indices"} & set(words)) or (binary and len(words) == 1)
    if counts.get("face") and not named:
        raise ScanError(f"{name} has faces without a list 'vertex_indices' in its PLY header; export it again")


def _binary_stl(data: bytes, name: str) -> Announced:
    if len(data) < 84:
        raise _cut_off(name, f"{len(data)} bytes are less than the header of an STL")
    wanted = stl_length(data)
    if len(data) >= wanted + 50:
        held = (len(data) - 84) // 50
        raise ScanError(f"{name} announces {(wanted - 84) // 50} faces and has room for {held}; export it again")
    if len(data) > wanted:
        return Announced((wanted - 84) // 50, (finding("scan.tail", "note", count=len(data) - wanted),))
    if len(data) < wanted:
        raise _cut_off(name, f"it announces {(wanted - 84) // 50} faces, {wanted} bytes, and holds {len(data)}")
    return Announced((wanted - 84) // 50)


def _ascii_stl(data: bytes, name: str) -> Announced:
    lower = data.lower()
    opened, closed = len(re.findall(rb"\bfacet\s", lower)), lower.count(b"endfacet")
    if opened != closed or not re.search(rb"\bendsolid\b", lower[-4096:]):
        raise _cut_off(name, f"it opens {opened} facets, closes {closed}, and its end must be 'endsolid'")
    return Announced(closed)


def _obj(data: bytes, name: str) -> Announced:
    first_face = 0 if data.startswith(b"f ") else data.find(b"\nf ")
    last = data.rstrip().rpartition(b"\n")[2].split()
    if last[:1] in ([b"f"], [b"v"]) and len(last) < 4:
        what = {b"f": "face has {} corners", b"v": "vertex has {} numbers"}[last[0]].format(len(last) - 1)
        raise _cut_off(name, f"its last {what}")
    if first_face < 0 and re.search(rb"^(?:vt|usemtl|mtllib)[ \t]", data, re.MULTILINE):
        raise _cut_off(name, "it has materials or texture coordinates, but no faces")
    if b"\nf -" in data and data.rfind(b"\nv ") > first_face:
        raise ScanError(f"{name} counts its vertices backwards, face by face; export it with absolute numbers")
    if _ZERO.search(data):
        raise ScanError(f"{name} is broken: it has a face at vertex 0, and an OBJ counts from 1; export it again")
    # A polygon becomes at least one triangle.
    faces = data.count(b"\nf ") + data.startswith(b"f ")
    counted = sum(int(before or after) for before, after in _OBJ_FACES.findall(data))
    if faces < counted:
        raise _cut_off(name, f"its remarks count {counted} faces, and it holds {faces}")
    if data.endswith((b"\n", b"\r")):
        return Announced(faces)
    return Announced(faces, (finding("scan.no end", "note", count=1),))
