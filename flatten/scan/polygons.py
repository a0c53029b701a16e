"""A binary PLY whose faces have different numbers of corners, made one of triangles alone."""

from __future__ import annotations

import re
from typing import Literal

import numpy as np

from flatten.mesh.surface import Ints
from flatten.scan.model import ScanError
from flatten.scan.usd import fans
from flatten.scan.whole import PLY_TYPES

Order = Literal["little", "big"]

_VERTEX = re.compile(rb"\nelement vertex (\d{1,12})[ \t]*\r?\n((?:property \w+ \w+[ \t]*\r?\n)+)element face ")
_FACE = re.compile(
    rb"element face (\d{1,12})([ \t]*\r?\nproperty list \w+ \w+ vertex_ind(?:ex|ices)[ \t]*\r?\nend_header\r?\n)"
)


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
    order: Order = "little" if b"\nformat binary_little" in data[:end] else "big"
    row = sum(_type(line.split()[1], order).itemsize for line in vertex[2].splitlines())
    counter, corner = (_type(word, order) for word in face[2].split()[2:4])
    start, faces = face.end() + int(vertex[1]) * row, int(face[1])
    if not faces or "f" in (counter.kind, corner.kind):
        return data
    first = int.from_bytes(data[start : start + counter.itemsize], order)
    if len(data) - start == faces * (counter.itemsize + first * corner.itemsize):
        return data
    starts, counts = _walked(data, start, faces, order, widths=(counter.itemsize, corner.itemsize), name=name)
    places = np.repeat(starts - (np.cumsum(counts) - counts) * corner.itemsize, counts)
    places += np.arange(len(places)) * corner.itemsize
    cells = np.frombuffer(data, np.uint8)[places[:, None] + np.arange(corner.itemsize)]
    triangles = fans(counts, np.ascontiguousarray(cells).view(corner).ravel().astype(np.int64))
    table = np.zeros(len(triangles), dtype=[("n", counter), ("v", corner, 3)])
    table["n"], table["v"] = 3, triangles
    header = data[: face.start()] + b"element face %d" % len(triangles) + face[2]
    return header + data[face.end() : start] + table.tobytes()


def _type(word: bytes, order: Order) -> np.dtype[np.generic]:
    return np.dtype(PLY_TYPES[word.decode()]).newbyteorder(order)


def _walked(
    data: bytes, start: int, faces: int, order: Order, *, widths: tuple[int, int], name: str
) -> tuple[Ints, Ints]:
    """Where the corners of each face begin, and how many there are: each count tells only where the next one stands.

    `widths` are the bytes of a count and of a corner.
    """
    place, (counter, corner) = start, widths
    starts, counts = np.empty(faces, np.int64), np.empty(faces, np.int64)
    for number in range(faces):
        count = int.from_bytes(data[place : place + counter], order)
        starts[number], counts[number] = place + counter, count
        place += counter + count * corner
        if place > len(data):
            raise ScanError(
                f"{name} is cut off: it announces {faces} faces and holds {number}; copy or export it again"
            )
    return starts, counts
