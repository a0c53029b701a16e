"""Small scans written by hand, byte by byte, in every format that is read."""

import base64
import io
import json
import struct
import zipfile

import numpy as np


def tube(*, radius=50.0, length=400.0, columns=48, rows=60, taper=0.3):
    """Vertices (mm) and outward faces of an open, tapered, slightly bent tube: the simplest limb."""
    heights = np.linspace(0.0, length, rows + 1)
    bearings = np.arange(columns) * 2 * np.pi / columns
    h, b = np.meshgrid(heights, bearings, indexing="ij")
    r = radius * (1 - taper + taper * h / length) * (1 + 0.05 * np.cos(2 * b))
    vertices = np.stack([r * np.cos(b) + 10 * np.sin(h / 120), r * np.sin(b), h], axis=-1).reshape(-1, 3)
    i, j = (index.ravel() for index in np.meshgrid(np.arange(rows), np.arange(columns), indexing="ij"))
    a, c = i * columns + j, i * columns + (j + 1) % columns
    d, e = a + columns, c + columns
    return vertices, np.concatenate([np.stack([a, c, e], axis=1), np.stack([a, e, d], axis=1)])


def obj_bytes(vertices, faces, *, first_line=""):
    lines = [first_line] if first_line else []
    lines += ["v {} {} {}".format(*vertex) for vertex in vertices]
    lines += ["f {} {} {}".format(*face) for face in faces + 1]
    return ("\n".join(lines) + "\n").encode("ascii")


def ply_bytes(vertices, faces, *, encoding="binary_little_endian"):
    header = (
        f"ply\nformat {encoding} 1.0\nelement vertex {len(vertices)}\n"
        "property float x\nproperty float y\nproperty float z\n"
        f"element face {len(faces)}\nproperty list uchar int vertex_indices\nend_header\n"
    ).encode("ascii")
    if encoding == "ascii":
        rows = ["{} {} {}".format(*vertex) for vertex in vertices] + ["3 {} {} {}".format(*face) for face in faces]
        return header + ("\n".join(rows) + "\n").encode("ascii")
    order = "<" if encoding == "binary_little_endian" else ">"
    table = np.zeros(len(faces), dtype=[("n", "u1"), ("v", f"{order}i4", 3)])
    table["n"], table["v"] = 3, faces
    return header + np.asarray(vertices, f"{order}f4").tobytes() + table.tobytes()


def stl_bytes(vertices, faces):
    table = np.zeros(len(faces), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    table["corners"] = vertices[faces]
    return b"a limb".ljust(80) + struct.pack("<I", len(faces)) + table.tobytes()


def ascii_stl_bytes(vertices, faces):
    lines = ["solid limb"]
    for face in faces:
        lines += ["facet normal 0 0 0", "outer loop"]
        lines += ["vertex {} {} {}".format(*vertices[corner]) for corner in face]
        lines += ["endloop", "endfacet"]
    return ("\n".join([*lines, "endsolid limb"]) + "\n").encode("ascii")


def gltf_content(vertices, faces):
    """A glTF description with one node that has no transform, and its buffer."""
    points, corners = np.asarray(vertices, "<f4"), np.asarray(faces, "<u4")
    data = points.tobytes() + corners.tobytes()
    content = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0]}],
        "nodes": [{"mesh": 0}],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 0}, "indices": 1}]}],
        "buffers": [{"byteLength": len(data)}],
        "bufferViews": [
            {"buffer": 0, "byteOffset": 0, "byteLength": points.nbytes},
            {"buffer": 0, "byteOffset": points.nbytes, "byteLength": corners.nbytes},
        ],
        "accessors": [
            {
                "bufferView": 0,
                "componentType": 5126,
                "count": len(points),
                "type": "VEC3",
                "min": points.min(axis=0).tolist(),
                "max": points.max(axis=0).tolist(),
            },
            {"bufferView": 1, "componentType": 5125, "count": corners.size, "type": "SCALAR"},
        ],
    }
    return content, data


def packed_glb(content, data):
    text = json.dumps(content).encode("ascii")
    text += b" " * (-len(text) % 4)
    data += b"\x00" * (-len(data) % 4)
    chunks = struct.pack("<2I", len(text), 0x4E4F534A) + text + struct.pack("<2I", len(data), 0x004E4942) + data
    return b"glTF" + struct.pack("<2I", 2, 12 + len(chunks)) + chunks


def glb_bytes(vertices, faces):
    return packed_glb(*gltf_content(vertices, faces))


def gltf_bytes(vertices, faces):
    content, data = gltf_content(vertices, faces)
    content["buffers"][0]["uri"] = "data:application/octet-stream;base64," + base64.b64encode(data).decode("ascii")
    return json.dumps(content).encode("ascii")


def xyz_bytes(vertices):
    return ("\n".join("{} {} {}".format(*vertex) for vertex in vertices) + "\n").encode("ascii")


def zip_bytes(name, data):
    """An archive of one file."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as bundle:
        bundle.writestr(name, data)
    return stream.getvalue()


WRITERS = {
    "ascii.ply": lambda v, f: ply_bytes(v, f, encoding="ascii"),
    "little.ply": ply_bytes,
    "big.ply": lambda v, f: ply_bytes(v, f, encoding="binary_big_endian"),
    "limb.stl": stl_bytes,
    "ascii.stl": ascii_stl_bytes,
    "limb.obj": obj_bytes,
}
"""Formats without a unit, by a file name of theirs."""

METRE_WRITERS = {"limb.glb": glb_bytes, "limb.gltf": gltf_bytes}
"""Formats in metres."""
