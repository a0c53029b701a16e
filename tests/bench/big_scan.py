"""A scan of a leg as a phone leaves it: finer where the phone was near, noisy, on a floor, with a hole and with crumbs
that float beside it."""

from pathlib import Path

import numpy as np
import trimesh

from tests.scan import scan_files as files

LEG = Path(__file__).parent.parent / "data" / "scans" / "leg_a_clean.ply"
"""A left leg in mm with 50 thousand triangles; y is up, z towards the front, x to the left, its outside."""

NOISE = 0.2
"""mm, of each vertex by itself."""

HOLE = np.array([230.0, -500.0, 0.0]), 25.0
"""The middle of a hole at the outside of the calf, mm, and its radius."""

FLOOR = 400.0
"""mm. Side of the piece of floor under the foot."""

SQUARE = 8.0
"""mm. Side of the floor's squares at the most."""

CRUMBS = 20
"""Parts that float beside the leg."""

NEAR = 0.25
"""Share of the leg's triangles that lie nearest to the phone, at the inside of the shin."""


def leg_on_a_floor(path, *, near, far):
    """Writes the scan as binary PLY and gives the number of its faces.

    The leg's triangles are parted until none has a side longer than `far` mm, none near the phone one longer than
    `near` mm; the floor's squares are `far` mm wide, or SQUARE.
    """
    mesh = trimesh.load_mesh(LEG)
    vertices, faces = np.array(mesh.vertices), np.array(mesh.faces, np.int64)
    faces = faces[np.linalg.norm(vertices[faces].mean(axis=1) - HOLE[0], axis=1) > HOLE[1]]
    toward = np.array([-0.5, 0.0, 1.0])
    limit = np.quantile(vertices[faces].mean(axis=1) @ toward, 1 - NEAR)
    rough = np.ones(1, bool)
    while rough.any():
        most = np.where(vertices[faces].mean(axis=1) @ toward > limit, near, far)
        rough = longest_sides(vertices, faces) > most
        vertices, faces = parted(vertices, faces, rough)
    parts = [(vertices, faces), floor_under(vertices, step=min(far, SQUARE)), *crumbs(vertices)]
    starts = np.cumsum([0, *(len(places) for places, _ in parts)])
    faces = np.concatenate([corners + start for (_, corners), start in zip(parts, starts[:-1], strict=True)])
    vertices = np.concatenate([places for places, _ in parts])
    noise = np.random.default_rng(0).normal(0, NOISE, vertices.shape)
    path.write_bytes(files.ply_bytes(vertices + noise, faces))
    return len(faces)


def longest_sides(vertices, faces):
    """The length (F,) of each triangle's longest side."""
    corners = vertices[faces]
    return np.linalg.norm(np.roll(corners, -1, axis=1) - corners, axis=2).max(axis=1)


def parted(vertices, faces, chosen):
    """Triangles of which those `chosen` (F,) are parted in four, their neighbours so that none has a corner on an edge
    (Bank, Sherman & Weiser 1983)."""
    sides = np.sort(np.stack([faces, np.roll(faces, -1, axis=1)], axis=2), axis=2)
    edges, edge = np.unique(sides[..., 0] * len(vertices) + sides[..., 1], return_inverse=True)
    edge = edge.reshape(faces.shape)
    halved = np.zeros(len(edges), bool)
    halved[edge[chosen]] = True
    middle = len(vertices) + np.cumsum(halved) - 1
    ends = np.stack(np.divmod(edges[halved], len(vertices)))
    vertices = np.concatenate([vertices, vertices[ends].mean(axis=0)])
    count = halved[edge].sum(axis=1)
    # Each face is turned so that a face with one halved edge has it first, and one with two has its whole one last.
    first = np.where(count == 1, np.argmax(halved[edge], axis=1), (np.argmin(halved[edge], axis=1) + 1) % 3)
    turn = (first[:, None] + np.arange(3)) % 3
    a, b, c = np.take_along_axis(faces, turn, axis=1).T
    ab, bc, ca = middle[np.take_along_axis(edge, turn, axis=1)].T
    into = [
        [(a, b, c)],
        [(a, ab, c), (ab, b, c)],
        [(ab, b, bc), (a, ab, bc), (a, bc, c)],
        [(a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca)],
    ]
    # The parts of a face stay together, as neighbours do in a scan's file.
    pieces = [np.stack([np.stack(each, axis=1)[count == n] for each in into[n]], axis=1) for n in range(4)]
    order = np.concatenate([np.repeat(np.flatnonzero(count == n), n + 1) for n in range(4)])
    return vertices, np.concatenate([piece.reshape(-1, 3) for piece in pieces])[np.argsort(order, kind="stable")]


def floor_under(vertices, *, step):
    """A square of the floor under the foot, as triangles that look up."""
    middle, low = vertices[vertices[:, 1] < vertices[:, 1].min() + 30].mean(axis=0), vertices[:, 1].min()
    cells = round(FLOOR / step)
    at = np.linspace(-FLOOR / 2, FLOOR / 2, cells + 1)
    z, x = (grid.ravel() for grid in np.meshgrid(at, at, indexing="ij"))
    i, j = (index.ravel() for index in np.meshgrid(np.arange(cells), np.arange(cells), indexing="ij"))
    a = i * (cells + 1) + j
    b, c, d = a + 1, a + cells + 1, a + cells + 2
    faces = np.concatenate([np.stack([a, c, b], axis=1), np.stack([b, c, d], axis=1)])
    return np.stack([middle[0] + x, np.full(x.shape, low), middle[2] + z], axis=1), faces


def crumbs(vertices):
    """Small tubes in the air around the leg."""
    rng = np.random.default_rng(1)
    places, faces = files.tube(radius=3.0, length=12.0, columns=6, rows=4)
    low, high = vertices.min(axis=0), vertices.max(axis=0)
    for _ in range(CRUMBS):
        away = rng.uniform(low, high)
        away[0] = high[0] + rng.uniform(20.0, 60.0)
        yield places + away, faces
