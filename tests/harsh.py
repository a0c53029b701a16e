"""Known limbs under the harsher of the damages that phones and programs do, one to a scan and seeded.

Few triangles, few points, rows of points, two passes that do not meet, a strip unseen, coordinates in steps or far from
their origin, a clip that leaves its vertices behind, crumbs by the hundred. The truth is that of the limb before.
"""

from dataclasses import dataclass

import fast_simplification
import numpy as np
import trimesh

from tests.damage import NAMES, UPPER_NAMES, Known, Plane, known, section, waves
from tests.scan import scan_files as files

LIMBS = (*NAMES, *UPPER_NAMES)


@dataclass(frozen=True, eq=False)
class Harsh:
    """A scan file's bytes in mm, the ending of its name, its limb, what was done to it, and its true girths."""

    kind: str
    limb: Known
    data: bytes
    ending: str
    planes: tuple[Plane, ...]
    amount: float


def harsh(seed: int) -> Harsh:
    """The scan of a seed; the same every time. Seeds run through KINDS, and more slowly through LIMBS."""
    rng = np.random.default_rng([seed, 7])
    kind, limb = KINDS[seed % len(KINDS)], known(LIMBS[seed // len(KINDS) % len(LIMBS)])
    normals = trimesh.Trimesh(limb.vertices, limb.faces, process=False).vertex_normals
    shared = float(rng.choice([0.0, rng.uniform(0.1, 0.4)]))
    vertices = limb.vertices + shared * waves(rng)(limb.vertices)[:, None] * normals
    low, high = limb.girths
    heights = np.linspace(low + 5.0, high - 5.0, 12)
    planes = tuple(Plane(h, *section(vertices, limb.faces, limb.origin + h * limb.axis, limb.axis)) for h in heights)
    vertices, faces, amount = DAMAGES[kind](limb, vertices, rng)
    if len(faces):
        return Harsh(kind, limb, files.ply_bytes(vertices, faces), "ply", planes, amount)
    return Harsh(kind, limb, files.xyz_bytes(np.round(vertices, 4)), "xyz", planes, amount)


NONE = np.empty((0, 3), np.int64)


def _spread(vertices, faces, count, rng):
    mesh = trimesh.Trimesh(vertices, faces, process=False)
    return np.asarray(trimesh.sample.sample_surface(mesh, count, seed=int(rng.integers(2**31)))[0])


def _round_the_limb(limb, vertices):
    """Heights (N,), bearings (N,) from the front."""
    away = vertices - limb.origin
    return away @ limb.axis, np.arctan2(away @ np.cross(limb.axis, limb.front), away @ limb.front)


def _coarse(limb, vertices, rng):
    share = rng.uniform(0.05, 0.4)
    coarse = fast_simplification.simplify(vertices, limb.faces, target_count=int(share * len(limb.faces)))
    return coarse[0].astype(float), coarse[1].astype(np.int64), share


def _sparse(limb, vertices, rng):
    count = int(rng.uniform(2500, 8000))
    return _spread(vertices, limb.faces, count, rng), NONE, count


def _rows(limb, vertices, rng):
    step = rng.uniform(4.0, 12.0)
    heights = (vertices - limb.origin) @ limb.axis
    mesh = trimesh.Trimesh(vertices, limb.faces, process=False)
    rows = []
    for height in np.arange(heights.min() + 3.0, heights.max() - 3.0, step):
        lines = trimesh.intersections.mesh_plane(mesh, limb.axis, limb.origin + height * limb.axis)
        rows.append(lines[:, 0] + rng.random(len(lines))[:, None] * (lines[:, 1] - lines[:, 0]))
    return np.concatenate(rows), NONE, step


def _passes(limb, vertices, rng):
    heights, turn = _round_the_limb(limb, vertices)
    toward = rng.uniform(-np.pi, np.pi)
    by = rng.uniform(1.8, 4.0)
    seen = (np.cos(turn - toward) > 0) & (np.abs(heights - np.mean(limb.girths)) < 140.0)
    aside = np.cos(toward) * limb.front + np.sin(toward) * np.cross(limb.axis, limb.front)
    both = np.concatenate([vertices, vertices + by * aside])
    faces = np.concatenate([limb.faces, limb.faces[seen[limb.faces].all(axis=1)] + len(vertices)])
    return _spread(both, faces, 50_000, rng), NONE, by


def _strip(limb, vertices, rng):
    heights, turn = _round_the_limb(limb, vertices)
    wide, tall, toward = np.radians(rng.uniform(30.0, 90.0)), rng.uniform(80.0, 160.0), rng.uniform(-np.pi, np.pi)
    gone = (np.cos(turn - toward) > np.cos(wide / 2)) & (np.abs(heights - np.mean(limb.girths)) < tall / 2)
    return vertices, limb.faces[~gone[limb.faces].any(axis=1)], wide


def _steps(limb, vertices, rng):
    step = rng.uniform(0.5, 2.0)
    return np.round(vertices / step) * step, limb.faces, step


def _clipped(limb, vertices, rng):
    heights = _round_the_limb(limb, vertices)[0]
    kept = heights < limb.girths[1] + 12.0
    beside = rng.uniform(-300, 300, (int(rng.uniform(0.25, 0.6) * len(vertices)), 3)) + limb.origin
    return np.concatenate([vertices, beside]), limb.faces[kept[limb.faces].all(axis=1)], len(beside)


def _far(limb, vertices, rng):
    away = rng.uniform(1e4, 2e5, 3)
    return (vertices + away).astype(np.float32).astype(float) - away, limb.faces, float(away.max())


def _crumbs(limb, vertices, rng):
    count = int(rng.integers(100, 400))
    parts, faces = [vertices], [limb.faces]
    ball = trimesh.creation.icosphere(subdivisions=0, radius=1.0)
    for number in range(count):
        away = rng.normal(size=3)
        place = limb.origin + np.mean(limb.girths) * limb.axis + rng.uniform(250.0, 600.0) * away / np.linalg.norm(away)
        parts.append(rng.uniform(1.0, 4.0) * ball.vertices + place)
        faces.append(ball.faces + len(vertices) + number * len(ball.vertices))
    return np.concatenate(parts), np.concatenate(faces), count


DAMAGES = {
    "coarse": _coarse,
    "sparse": _sparse,
    "rows": _rows,
    "passes": _passes,
    "strip": _strip,
    "steps": _steps,
    "clipped": _clipped,
    "far": _far,
    "crumbs": _crumbs,
}

KINDS = tuple(DAMAGES)
