"""A binary PLY whose faces have different numbers of corners, made one of triangles alone."""

from __future__ import annotations

import re

import numpy as np

from flatten.scan.model import ScanError
from flatten.scan.usd import fans

_VERTEX = re.compile(rb"\nelement vertex (\d{1,12})[ \t]*\r?\n((?:property \w+ \w+[ \t]*\r?\n)+)element face ")
_FACE = re.compile(
    rb"element face (\d{1,12})([ \t]*\r?\nproperty list \w+ \w+ vertex_ind(?:ex|ices)[ \t]*\r?\nend_header\r?\n)"
)
_TYPES = {
    **dict.fromkeys((b"char", b"int8"), "i1"),
    **dict.fromkeys((b"uchar", b"uint8"), "u1"),
    **dict.fromkeys((b"short", b"int16"), "i2"),
    **dict.fromkeys((b"ushort", b"uint16"), "u2"),
    **dict.fromkeys((b"int", b"int32"), "i4"),
    **dict.fromkeys((b"uint", b"uint32"), "u4"),
    **dict.fromkeys((b"float", b"float32"), "f4"),
    **dict.fromkeys((b"double", b"float64"), "f8"),
}


def triangulated_ply(data: bytes, *, name: str) -> bytes:
    """The binary PLY `data`, its polygons cut into fans where they have different numbers of corners.

    Only the plain layout is looked at, vertices without lists and then faces of one list each; any other comes back as
    it is, and so does what the reader takes by itself: faces that all have as many corners as the first.

    Raises ScanError where the faces end before they are all there.
    """
    end = data.find(b"end_header")
    if end < 0 or b"\nformat binary_" not in data[:end]:
        return data
    vertex, face = _VERTEX.search(data, 0, end), _FACE.search(data, 0, end + 12)
    # An element before the vertices would move them.
    if not vertex or not face or data.count(b"\nelement ", 0, end) != 2:
        return data
    order = "<" if b"\nformat binary_little" in data[:end] else ">"
    words = face[2].split()
    row = sum(np.dtype(_TYPES[line.split()[1]]).itemsize for line in vertex[2].splitlines())
    counter, corner = np.dtype(order + _TYPES[words[2]]), np.dtype(order + _TYPES[words[3]])
    start, faces = face.end() + int(vertex[1]) * row, int(face[1])
    if not faces or "f" in (counter.kind, corner.kind):
        return data
    first = int.from_bytes(data[start : start + counter.itemsize], "little" if order == "<" else "big")
    if len(data) - start == faces * (counter.itemsize + first * corner.itemsize):
        return data
    starts, counts = _walked(data, start, faces, counter, corner.itemsize, name)
    places = np.repeat(starts - (np.cumsum(counts) - counts) * corner.itemsize, counts)
    places += np.arange(len(places)) * corner.itemsize
    cells = np.frombuffer(data, np.uint8)[places[:, None] + np.arange(corner.itemsize)]
    triangles = fans(counts, np.ascontiguousarray(cells).view(corner).ravel().astype(np.int64))
    table = np.zeros(len(triangles), dtype=[("n", counter), ("v", corner, 3)])
    table["n"], table["v"] = 3, triangles
    header = data[: face.start()] + b"element face %d" % len(triangles) + face[2]
    return header + data[face.end() : start] + table.tobytes()


def _walked(
    data: bytes, start: int, faces: int, counter: np.dtype[np.generic], size: int, name: str
) -> tuple[np.ndarray[tuple[int], np.dtype[np.int64]], np.ndarray[tuple[int], np.dtype[np.int64]]]:
    """Where the corners of each face begin, and how many there are: each count tells only where the next one stands."""
    place, width = start, counter.itemsize
    order = "big" if counter.str.startswith(">") else "little"
    starts, counts = np.empty(faces, np.int64), np.empty(faces, np.int64)
    for number in range(faces):
        count = int.from_bytes(data[place : place + width], order)  # type: ignore[arg-type]
        starts[number], counts[number] = place + width, count
        place += width + count * size
        if place > len(data):
            raise ScanError(
                f"{name} is cut off: it announces {faces} faces and holds {number}; copy or export it again"
            )
    return starts, counts
