"""Straight lines over a plane triangle mesh, walked from face to face."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.disk import twins_of
from flatten.mesh.edges import mesh_edges
from flatten.mesh.surface import Floats, Ints, Mesh


@dataclass(frozen=True, eq=False)
class PlaneFaces:
    """The faces of a plane mesh as half planes: side k of a face runs from its corner k to the next.

    A place p lies on side k's inner hand where `normals` (F,3,2) · p >= `offsets` (F,3). `beyond` (F,3) is the face on
    a side's other hand, −1 on the boundary, and `back` (F,3) the same side's number there.
    """

    normals: Floats
    offsets: Floats
    beyond: Ints
    back: Ints


def plane_faces(mesh: Mesh, uv: Floats) -> PlaneFaces:
    """The half planes of the faces of `mesh` laid flat at `uv` (V,2), each counter-clockwise.

    Raises DiskError where the mesh's faces do not meet two at an edge, wound alike.
    """
    corners = uv[mesh.faces]
    along = np.roll(corners, -1, axis=1) - corners
    normals = np.stack([-along[..., 1], along[..., 0]], axis=-1)
    twins = twins_of(mesh, mesh_edges(mesh)).reshape(3, -1).T
    count = len(mesh.faces)
    return PlaneFaces(
        normals,
        np.einsum("fkx,fkx->fk", normals, corners),
        np.where(twins < 0, -1, twins % count),
        np.where(twins < 0, -1, twins // count),
    )


def traced(plane: PlaneFaces, faces: Ints, starts: Floats, steps: Floats, *, growth: Floats) -> tuple[Floats, Ints]:
    """Length (N,) of the images of straight lines, and the faces (N,) that they end in, −1 where they leave the mesh.

    Line n begins at `starts` (N,2) inside the face `faces` (N,) and runs by `steps` (N,2), from face to face across
    their common sides, whatever else lies at the same place of the plane. `growth` (F,3) are each face's metric
    xx, yy, xy: √(xx·dx² + yy·dy² + 2·xy·dx·dy) is the length of the image of (dx, dy). Of a line that leaves the mesh,
    what came before counts.
    """
    ends = np.asarray(faces).copy()
    lengths = np.zeros(len(ends))
    live = np.flatnonzero(ends >= 0)
    at, came, done = ends[live], np.full(len(live), -1), np.zeros(len(live))
    while len(live):
        start, step = starts[live], steps[live]
        normals = plane.normals[at]
        rate = np.einsum("nkx,nx->nk", normals, step)
        room = np.einsum("nkx,nx->nk", normals, start) - plane.offsets[at]
        # A side is left where its room runs out; rounding may have put the line a hair beyond the one it came by.
        leaves = (rate < 0.0) & (np.arange(3) != came[:, None])
        when = np.where(leaves, np.maximum(room, 0.0) / np.where(leaves, -rate, 1.0), np.inf)
        side = when.argmin(axis=1)
        row = np.arange(len(live))
        until = np.clip(when[row, side], done, 1.0)
        xx, yy, xy = growth[at].T
        dx, dy = step.T
        lengths[live] += (until - done) * np.sqrt(xx * dx**2 + yy * dy**2 + 2.0 * xy * dx * dy)
        onward = when[row, side] < 1.0
        following = np.where(onward, plane.beyond[at, side], at)
        ends[live] = following
        came = plane.back[at, side]
        go = onward & (following >= 0)
        live, at, came, done = live[go], following[go], came[go], until[go]
    return lengths, ends
