"""Sheets round limbs with a formula, their grain sides, and lengths along those: by another library's geodesics."""

from functools import cache

import igl
import numpy as np
import shapely

from flatten.ornament.grain_face import grain_face
from flatten.unwrap.panel import flatten_panel
from flatten.worn.cut import cut_panels
from flatten.worn.cuts import Cuts
from tests.limbs import calf, cylinder, limb_of
from tests.pattern.test_seam_holes import EDGES, LEVEL, seam

RADIUS, THICK = 60.0, 4.0
SURFACES = {
    "cylinder": cylinder(RADIUS),
    "calf": limb_of(calf),
    # A waist with a hollow side, as above an ankle: curved both ways, and against each other.
    "waist": limb_of(lambda h, b: 55.0 + ((h - 120.0) / 90.0) ** 2 * 6.0 + 4.0 * np.cos(2 * b) + 0.0 * h),
}


@cache
def face_on(name, edge_length, *, mirrored=False, lost=(0.0, 0.0), edges="level"):
    """The grain side of a sheet round a surface, laid flat without limits."""
    cuts = Cuts(seams=[seam(gap=25.0)], darts=(), **(LEVEL if edges == "level" else EDGES))
    (panel,) = cut_panels(SURFACES[name], cuts, edge_length=edge_length, thickness=THICK)
    flat = flatten_panel(panel)
    return grain_face(flat, surface=SURFACES[name], thickness=THICK, neutral=0.5, mirrored=mirrored, lost=lost)


def disc(x, y, radius=22.0):
    return shapely.Point(x, y).buffer(radius)


def ring(x, y, radius, count):
    turn = np.arange(count) * 2 * np.pi / count
    return np.array([x, y]) + radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)


def diameters(face, outline):
    """Lengths (n/2,) along a face between opposite points (n,2) of a piece, shortest over its triangles."""
    mesh = face.mesh
    points = face.carried(outline)
    count = len(outline)
    # The points become vertices of their own: each splits the face that it lies in.
    middle, far = points.mean(axis=0), np.linalg.norm(points - points.mean(axis=0), axis=1).max()
    near = np.linalg.norm(mesh.vertices[mesh.faces].mean(axis=1) - middle, axis=1) < 2.0 * far + 20.0
    vertices, faces = np.array(mesh.vertices), np.array(mesh.faces[near])
    used, number = np.unique(faces, return_inverse=True)
    vertices, faces = vertices[used], number.reshape(-1, 3)
    first = len(vertices)
    for point in points:
        squared, index, _ = igl.point_mesh_squared_distance(point[None], vertices, faces)
        assert squared[0] < 1e-12
        a, b, c = faces[index[0]]
        new = len(vertices)
        vertices = np.concatenate([vertices, point[None]])
        faces = np.concatenate([np.delete(faces, index[0], axis=0), [[a, b, new], [b, c, new], [c, a, new]]])
    empty = np.zeros(0, dtype=np.int64)
    return np.array(
        [
            igl.exact_geodesic(
                vertices,
                faces.astype(np.int64),
                np.array([first + k]),
                empty,
                np.array([first + k + count // 2]),
                empty,
            )[0]
            for k in range(count // 2)
        ]
    )
