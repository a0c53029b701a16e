"""Makes the demo scans beside it, and a JSON of what is true of each: `python meshes/make_demo.py`.

Each is one of the invented limbs of bodies.py, seen as a phone would see it: noise, a hole, a floor, a pose, a unit.
Everything is seeded: the same files every time.
"""

from __future__ import annotations

import json
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import trimesh
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

sys.path.insert(0, str(Path(__file__).parent))

from bodies import LEFT_FOREARM, LEFT_SHIN, RIGHT_SHIN
from parametric import Body, Floats, Ints, centre, field, girth, gradient, landmarks, radius, section, surface, tape

HERE = Path(__file__).parent
MM_PER_UNIT = {"mm": 1.0, "m": 1000.0}
FLOOR_EDGE = 8.0
"""mm. Edge length of the floor's triangles."""


@dataclass(frozen=True)
class Recipe:
    """How a limb becomes a scan; lengths in mm.

    `waves` is the rms of the noise that neighbouring vertices share (wavelengths 35 to 150), `grain` that of each
    vertex alone. `hole` is height, bearing in degrees and radius. `turn` is a rotation vector in degrees.
    """

    body: Body
    ending: str
    unit: str
    edge: float
    waves: float
    grain: float
    hole: tuple[float, float, float]
    turn: tuple[float, float, float]
    shift: tuple[float, float, float]
    seed: int


RECIPES = (
    Recipe(LEFT_SHIN, "ply", "mm", 4.0, 0.6, 0.25, (318.0, 184.0, 24.0), (64.0, -22.0, 31.0), (120.0, -85.0, 410.0), 1),
    Recipe(RIGHT_SHIN, "glb", "m", 4.0, 0.5, 0.2, (262.0, 158.0, 18.0), (-81.0, 12.0, -40.0), (-60.0, 240.0, 35.0), 2),
    Recipe(LEFT_FOREARM, "obj", "m", 3.5, 0.4, 0.2, (120.0, 200.0, 11.0), (15.0, 96.0, 8.0), (310.0, 20.0, -150.0), 3),
)


def limb_to_file(recipe: Recipe) -> Floats:
    """The 4×4 matrix from limb coordinates (mm) to the file's own, mirror and unit included."""
    # (front, lateral, height) is right-handed on a left leg and on a right arm.
    mirrored = (recipe.body.kind == "lower leg") == (recipe.body.side == "right")
    matrix = np.eye(4)
    turn = Rotation.from_rotvec(recipe.turn, degrees=True).as_matrix()
    matrix[:3, :3] = turn @ np.diag([1.0, -1.0 if mirrored else 1.0, 1.0])
    matrix[:3, 3] = recipe.shift
    matrix[:3] /= MM_PER_UNIT[recipe.unit]
    return matrix


def moved(matrix: Floats, points: Floats) -> Floats:
    """Points (N,3) under a 4×4 matrix."""
    return points @ matrix[:3, :3].T + matrix[:3, 3]


@dataclass(frozen=True, eq=False)
class Waves:
    """Noise that is alike at neighbouring points: plane waves of 35 to 150 mm, of unit rms together."""

    vectors: Floats
    phases: Floats

    def at(self, points: Floats) -> Floats:
        """The noise (N,) at points (N,3)."""
        return np.sqrt(2 / len(self.phases)) * np.cos(points @ self.vectors.T + self.phases).sum(axis=1)


def waves(seed: int, use: str, *, count: int = 90) -> Waves:
    """The plane waves of a seed for one use: "skin", "hole" or "floor"."""
    rng = np.random.default_rng((seed, ("skin", "hole", "floor").index(use)))
    directions = rng.normal(size=(count, 3))
    directions /= np.linalg.norm(directions, axis=1, keepdims=True)
    lengths = np.exp(rng.uniform(np.log(35.0), np.log(150.0), count))
    return Waves(directions * (2 * np.pi / lengths)[:, None], rng.uniform(0, 2 * np.pi, count))


def scanned_tape(recipe: Recipe, height: float) -> float:
    """Length of a tape round the limb at one body height as the phone saw it, mm: with the waves, without the grain."""
    ring = section(recipe.body, height)
    points = np.column_stack([ring, np.full(len(ring), height)])
    normals = gradient(recipe.body, points)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    seen = points + recipe.waves * waves(recipe.seed, "skin").at(points)[:, None] * normals
    return float(ConvexHull(seen[:, :2]).area)


def scanned(recipe: Recipe) -> tuple[Floats, Ints]:
    """Vertices (V,3) mm in limb coordinates and faces (F,3), outward there, of the limb as a phone sees it."""
    body, rng = recipe.body, np.random.default_rng(recipe.seed)
    vertices, faces = surface(body, edge=recipe.edge)
    normals = gradient(body, vertices)
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    height, bearing = recipe.hole[0], np.radians(recipe.hole[1])
    across = radius(body, np.array([height]), np.array([bearing])) * np.array([np.cos(bearing), np.sin(bearing)])
    middle = np.array([*(centre(body, np.array([height]))[0] + across), height])
    ragged = np.linalg.norm(vertices - middle, axis=1) + 3.0 * waves(recipe.seed, "hole").at(vertices)
    unseen = ragged < recipe.hole[2]
    if body.floor:
        unseen |= vertices[:, 2] < 2.0
    faces = faces[~unseen[faces].any(axis=1)]
    away = recipe.waves * waves(recipe.seed, "skin").at(vertices) + rng.normal(0, recipe.grain, len(vertices))
    vertices = vertices + away[:, None] * normals
    if body.floor:
        ground, tiles = _floor(recipe, rng)
        faces = np.concatenate([faces, tiles + len(vertices)])
        vertices = np.concatenate([vertices, ground])
    used = np.unique(faces)
    return vertices[used], np.searchsorted(used, faces)


def _floor(recipe: Recipe, rng: np.random.Generator) -> tuple[Floats, Ints]:
    """A ragged patch of floor round the foot, open where the foot stands."""
    steps = np.arange(-200.0, 280.0, FLOOR_EDGE)
    x, y = (axis.ravel() for axis in np.meshgrid(steps, steps - 40.0, indexing="ij"))
    points = np.stack([x, y, np.zeros_like(x)], axis=1)
    number = np.arange(len(points)).reshape(len(steps), len(steps))
    a, b, c, d = (part.ravel() for part in (number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]))
    tiles = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
    ragged = np.hypot(x - 50.0, y) + 12.0 * waves(recipe.seed, "floor").at(points)
    seen = (ragged < 185.0) & (field(recipe.body, points + np.array([0.0, 0.0, 6.0])) > 2.0)
    noise = recipe.waves * waves(recipe.seed, "skin").at(points) + rng.normal(0, recipe.grain, len(points))
    points[:, 2] = noise - 0.5
    return points, tiles[seen[tiles].all(axis=1)]


def truth(recipe: Recipe) -> dict[str, Any]:
    """What is true of the limb; heights in mm from its least girth.

    Of a girth: `tape` is that of the limb's convex hull, `section` follows its hollows, `scanned_tape` has the
    scan's shared noise in it, so that a reader's error can be told from the scan's.
    """
    body, matrix = recipe.body, limb_to_file(recipe)
    marks = landmarks(body)
    zero = marks["ankle" if body.floor else "wrist"]
    matrix[:3, 3] = moved(matrix, np.array([[0.0, 0.0, zero]]))[0]
    axes = {
        name: (matrix[:3, k] * MM_PER_UNIT[recipe.unit]).tolist() for k, name in enumerate(("front", "lateral", "axis"))
    }
    heights = [*np.arange(0.0, body.top - zero - 15.0, 25.0).tolist(), marks["widest"] - zero]
    return {
        "file": f"{body.name}.{recipe.ending}",
        "limb": body.kind,
        "side": body.side,
        "unit": recipe.unit,
        "limb_to_file": matrix.tolist(),
        "axes_in_file": axes,
        "landmarks": {name: round(height - zero, 1) for name, height in marks.items()},
        "girths": [
            {
                "height": round(height, 1),
                "tape": round(tape(body, height + zero), 2),
                "section": round(girth(body, height + zero), 2),
                "scanned_tape": round(scanned_tape(recipe, height + zero), 2),
            }
            for height in sorted(heights)
        ],
        "hole": dict(zip(("height", "bearing_deg", "radius"), (recipe.hole[0] - zero, *recipe.hole[1:]), strict=True)),
    }


def file_bytes(recipe: Recipe) -> bytes:
    """The scan file."""
    vertices, faces = scanned(recipe)
    matrix = limb_to_file(recipe)
    points = moved(matrix, vertices)
    if np.linalg.det(matrix[:3, :3]) < 0:
        faces = faces[:, ::-1]
    if recipe.ending == "obj":
        lines = [f"# {recipe.body.name}: {len(points)} vertices, {len(faces)} faces, metres"]
        lines += [f"v {x:.5f} {y:.5f} {z:.5f}" for x, y, z in points]
        lines += [f"f {a} {b} {c}" for a, b, c in faces + 1]
        return ("\n".join(lines) + "\n").encode("ascii")
    mesh = trimesh.Trimesh(points.astype(np.float32), faces, process=False)
    if recipe.ending == "ply":
        return trimesh.exchange.ply.export_ply(mesh, vertex_normal=False)
    scene = trimesh.Scene()
    scene.add_geometry(mesh, node_name=recipe.body.name, geom_name=recipe.body.name)
    return scene.export(file_type="glb")


def main() -> None:
    """Write the scans and their truth beside this script."""
    for recipe in RECIPES:
        path = HERE / f"{recipe.body.name}.{recipe.ending}"
        path.write_bytes(file_bytes(recipe))
        path.with_suffix(".json").write_text(json.dumps(truth(recipe), indent=1) + "\n", "utf8")
        print(f"{path.name}: {path.stat().st_size / 1e6:.2f} MB")


if __name__ == "__main__":
    main()
