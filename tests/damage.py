"""Known limbs, and seeded random damage to them as phones and programs do it, with the truth that is left.

The limbs are a body of the test scans (tests/data/scans/README.md) and two of the invented demo limbs. The truth of
a girth is the section of the mesh itself, cut by a general library, after the noise that neighbouring points share and
before all other damage: so it parts the pipeline's error from the scanner's.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import fast_simplification
import numpy as np
import trimesh
from scipy.spatial import ConvexHull, cKDTree
from scipy.spatial.transform import Rotation

from flatten.units import MM_PER_UNIT
from tests.scan import scan_files as files

ROOT = Path(__file__).parent
sys.path.append(str(ROOT.parent / "meshes"))

UPPER_NAMES = ("left thigh", "left upper arm")
"""Limbs of the invented figure (tests/figures.py)."""

NAMES = ("leg_a_clean", "harbour_watch_right_shin", "harbour_watch_left_forearm")


@dataclass(frozen=True, eq=False)
class Known:
    """A whole limb, mm: its mesh, the place of its ankle or wrist, unit vectors of its axis, front and upright.

    `girths` are the heights above `origin` between which its girths are asked for.
    """

    kind: str
    side: str
    vertices: np.ndarray
    faces: np.ndarray
    origin: np.ndarray
    axis: np.ndarray
    front: np.ndarray
    up: np.ndarray
    girths: tuple[float, float]


@dataclass(frozen=True)
class Plane:
    """A plane across the true axis at `height`, with the length of the limb's section and that of a tape round it."""

    height: float
    section: float
    tape: float


@dataclass(frozen=True, eq=False)
class Damaged:
    """A scan file's bytes, what its maker would say of it, and what is true of it in mm in the file's own axes."""

    name: str
    data: bytes
    kind: str
    side: str
    unit: str
    given: str | None
    front_given: bool
    origin: np.ndarray
    axis: np.ndarray
    front: np.ndarray
    planes: tuple[Plane, ...]
    cloth: tuple[float, float] | None
    mirrored: bool
    extremity: bool
    faces: int
    grain: float
    done: dict[str, int] = field(default_factory=dict)


@cache
def known(name: str) -> Known:
    """A limb of NAMES or of UPPER_NAMES."""
    if name in UPPER_NAMES:
        return _upper(name)
    if name == "leg_a_clean":
        facts = json.loads((ROOT / "data" / "scans" / f"{name}.json").read_text("utf8"))
        mesh = trimesh.load_mesh(ROOT / "data" / "scans" / facts["file"])
        axis, place = facts["axis"], np.array(facts["axis"]["origin_file"]) * facts["mm_per_unit"]
        up = np.array(facts["canonical_mm_to_file"])[:3, 1]
        return Known(
            "lower leg", facts["side"], np.array(mesh.vertices), np.array(mesh.faces), place,
            np.array(axis["direction_file"]), np.array(axis["front_file"]), up / np.linalg.norm(up), (45.0, 400.0),
        )  # fmt: skip
    from bodies import BODIES
    from parametric import landmarks, surface

    body = next(each for each in BODIES if each.name == name)
    vertices, faces = surface(body, edge=5.0)
    # (front, lateral, height) is right-handed on a left leg and on a right arm.
    if (body.kind == "lower leg") == (body.side == "right"):
        vertices, faces = vertices * [1.0, -1.0, 1.0], faces[:, ::-1]
    marks = landmarks(body)
    zero = marks["ankle" if body.floor else "wrist"]
    x, _, z = np.eye(3)
    reach = (0.0, body.top - zero - 25.0)
    return Known(body.kind, body.side, vertices, faces, zero * z, z, x, z, reach)


def _upper(name: str) -> Known:
    """A thigh with its lower leg, or an upper arm with its forearm, cut below the groin or the armpit."""
    from tests.figures import PLACES, lone

    vertices, faces = lone(name)
    body = PLACES[name].body
    x, _, z = np.eye(3)
    zero, top = ("kneecap", "groin") if body.kind == "thigh" else ("elbow", "armpit")
    # From a hand below the joint: a calf and a forearm must be seen to begin.
    girths = (-130.0 if body.kind == "thigh" else -75.0, body.marks[top] - body.marks[zero] - 25.0)
    return Known(body.kind, body.side, vertices, faces, body.marks[zero] * z, z, x, z, girths)


def waves(rng: np.random.Generator) -> Callable[[np.ndarray], np.ndarray]:
    """Noise of unit rms that neighbours share, at places (N,3): plane waves of 35 to 150 mm, as in the test scans."""
    directions = rng.normal(size=(90, 3))
    directions /= np.linalg.norm(directions, axis=1, keepdims=True)
    lengths = np.exp(rng.uniform(np.log(35.0), np.log(150.0), 90))
    phases = rng.uniform(0, 2 * np.pi, 90)
    pulls = (directions * (2 * np.pi / lengths)[:, None]).T
    return lambda points: np.sqrt(2 / 90) * np.cos(points @ pulls + phases).sum(axis=1)


def section(vertices: np.ndarray, faces: np.ndarray, origin: np.ndarray, normal: np.ndarray) -> tuple[float, float]:
    """Lengths of a mesh's section by a plane and of the section's convex hull, both by general libraries."""
    lines = trimesh.intersections.mesh_plane(trimesh.Trimesh(vertices, faces, process=False), normal, origin)
    across = np.linalg.svd(np.asarray(normal)[None])[2][1:]
    return float(np.linalg.norm(lines[:, 1] - lines[:, 0], axis=1).sum()), float(
        ConvexHull((lines.reshape(-1, 3) - origin) @ across.T).area
    )


FINER = 3
"""Halvings of the body's triangles, up to 18 mm wide, for the truth: along the slivers among them a section with waves
of 35 mm is 1.6 mm too long without any, 0.8 with one, and 0.1 with three."""

NEAR_PLANE = 6.0
"""mm. Faces so near to a plane may cross it when the waves, of 0.7 mm rms, have moved them."""


def _plane(limb: Known, normals: np.ndarray, height: float, noise: Callable[[np.ndarray], np.ndarray]) -> Plane:
    """The truth at a height: the limb's section, moved by `noise` along its normals."""
    above = ((limb.vertices - limb.origin) @ limb.axis - height)[limb.faces]
    near = limb.faces[(above.min(axis=1) < NEAR_PLANE) & (above.max(axis=1) > -NEAR_PLANE)]
    both, fine = np.hstack([limb.vertices, normals]), near
    for _ in range(FINER):
        both, fine = trimesh.remesh.subdivide(both, fine)
    used = np.unique(fine)
    shape, away = both[used, :3], both[used, 3:]
    away = away / np.linalg.norm(away, axis=1, keepdims=True)
    shape = shape + noise(shape)[:, None] * away
    return Plane(height, *section(shape, np.searchsorted(used, fine), limb.origin + height * limb.axis, limb.axis))


def damaged(seed: int, *, cloth: bool | None = None, names: tuple[str, ...] = NAMES) -> Damaged:
    """The limb and the damage of a seed; the same every time. `cloth` says whether a cuff must or must not be there."""
    rng = np.random.default_rng(seed)
    limb = known(names[seed % len(names)])
    done: dict[str, int] = {}
    normals = trimesh.Trimesh(limb.vertices, limb.faces, process=False).vertex_normals
    shared, grain = rng.choice([0.0, rng.uniform(0.2, 0.7)]), rng.choice([0.0, rng.uniform(0.1, 0.5)])
    noise = waves(rng)
    vertices, faces = limb.vertices + shared * noise(limb.vertices)[:, None] * normals, limb.faces
    low, high = limb.girths
    if rng.random() < 0.3:
        high = low + rng.uniform(0.85, 1.0) * (high - low)
    planes = tuple(
        _plane(limb, normals, h, lambda points: shared * noise(points)) for h in np.linspace(low + 5.0, high - 5.0, 14)
    )
    if rng.random() < 0.2:
        coarse = fast_simplification.simplify(vertices, faces, target_count=int(rng.uniform(0.4, 0.8) * len(faces)))
        vertices, faces = coarse[0].astype(float), coarse[1].astype(np.int64)
        normals = trimesh.Trimesh(vertices, faces, process=False).vertex_normals
    heights = (vertices - limb.origin) @ limb.axis
    bare = rng.random() < 0.12
    bottom = low - 15.0 if bare else heights.min() - 1.0
    vertices = vertices + rng.normal(0, grain, (len(vertices), 1)) * normals
    cuff = None
    if (rng.random() < 0.15) if cloth is None else cloth:
        start, tall = rng.uniform(low + 30.0, high - 120.0), rng.uniform(18.0, 40.0)
        cuff = (start, start + tall)
        vertices = _with_cuff(limb, vertices, faces, cuff, rng)
        heights = (vertices - limb.origin) @ limb.axis
        done["cloth"] = 1
    faces = faces[((heights > bottom) & (heights < high + 12.0))[faces].all(axis=1)]
    faces = _with_holes(limb, vertices, faces, (low + 30.0, high - 40.0), rng, done)
    vertices, faces = _with_company(limb, vertices, faces, rng, done, floor=not bare)
    return _written(seed, limb, vertices, faces, rng, done, planes=planes, cuff=cuff, bare=bare, grain=float(grain))


def _with_cuff(limb, vertices, faces, cuff, rng):
    """The skin under a loose ring of cloth: pushed out at once at its lower end, falling to the skin at its upper."""
    heights = (vertices - limb.origin) @ limb.axis
    inside = (heights > cuff[0]) & (heights < cuff[1])
    away = vertices - limb.origin - heights[:, None] * limb.axis
    middle = away[inside].mean(axis=0)
    away = away - middle
    turn = np.arctan2(away @ np.cross(limb.axis, limb.front), away @ limb.front)
    folds = rng.uniform(6.0, 12.0) * (1 + 0.4 * np.cos(rng.integers(3, 7) * turn + rng.uniform(0, 6)))
    share = np.where(inside, np.sqrt(np.clip((cuff[1] - heights) / (cuff[1] - cuff[0]), 0, 1)), 0.0)
    return vertices + (folds * share / np.linalg.norm(away, axis=1))[:, None] * away


def _with_holes(limb, vertices, faces, between, rng, done):
    heights = (vertices - limb.origin) @ limb.axis
    among = np.flatnonzero((heights > between[0]) & (heights < between[1]))
    for _ in range(rng.integers(0, 4)):
        middle, radius = vertices[rng.choice(among)], rng.uniform(5.0, 24.0)
        gone = np.linalg.norm(vertices - middle, axis=1) < radius
        faces = faces[~gone[faces].any(axis=1)]
        done["hole"] = done.get("hole", 0) + 1
    return faces


def _with_company(limb, vertices, faces, rng, done, *, floor):
    """Fragments, a floor, spikes, twice-told and turned faces."""
    for _ in range(rng.integers(0, 4)):
        ball = trimesh.creation.icosphere(subdivisions=2, radius=rng.uniform(3.0, 9.0))
        away = np.cross(limb.axis, rng.normal(size=3))
        place = limb.origin + rng.uniform(50, 300) * limb.axis + rng.uniform(130, 220) * away / np.linalg.norm(away)
        faces = np.concatenate([faces, ball.faces + len(vertices)])
        vertices = np.concatenate([vertices, ball.vertices + place])
        done["fragments"] = done.get("fragments", 0) + 1
    if floor and limb.kind == "lower leg" and rng.random() < 0.4:
        ground, tiles = _floor(limb, vertices, rng)
        faces, vertices = np.concatenate([faces, tiles + len(vertices)]), np.concatenate([vertices, ground])
        done["floor"] = 1
    count = int(rng.choice([0, 0, rng.integers(1, 8)]))
    if count:
        used = np.unique(faces)
        spikes = rng.choice(used, count, replace=False)
        vertices = vertices.copy()
        vertices[spikes] += rng.normal(0, 150.0, (count, 3))
        done["spike"] = count
    if rng.random() < 0.2:
        again = rng.choice(len(faces), len(faces) // 50, replace=False)
        faces = np.concatenate([faces, faces[again]])
        done["duplicate"] = len(again)
    if rng.random() < 0.3:
        faces = np.where((rng.random(len(faces)) < rng.choice([0.2, 1.1]))[:, None], faces[:, ::-1], faces)
        done["turned"] = 1
    return vertices, faces


def _floor(limb, vertices, rng):
    reach, step = rng.uniform(150, 260), 6.0
    base = np.linalg.svd(limb.up[None])[2][1:]
    low = (vertices @ limb.up).min()
    foot = vertices[vertices @ limb.up < low + 30.0]
    x, y = np.meshgrid(np.arange(-reach, reach, step), np.arange(-reach, reach, step), indexing="ij")
    middle = foot.mean(axis=0) - (foot.mean(axis=0) @ limb.up - low - rng.uniform(0.0, 2.0)) * limb.up
    points = middle + x.reshape(-1, 1) * base[0] + y.reshape(-1, 1) * base[1]
    points += rng.normal(0, 0.4, (len(points), 1)) * limb.up
    number = np.arange(x.size).reshape(x.shape)
    a, b, c, d = (part.ravel() for part in (number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]))
    tiles = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
    seen = (np.hypot(x, y).ravel() < reach) & (cKDTree(foot).query(points)[0] > 6.0)
    return points, tiles[seen[tiles].all(axis=1)]


def _written(seed, limb, vertices, faces, rng, done, *, planes, cuff, bare, grain) -> Damaged:
    """The limb in a random pose, side, unit and format."""
    used = np.unique(faces)
    vertices, faces = vertices[used], np.searchsorted(used, faces)
    cloud = rng.random() < 0.12 and "spike" not in done and "fragments" not in done
    mirrored = rng.random() < 0.1
    matrix = Rotation.random(random_state=np.random.RandomState(seed)).as_matrix()
    if mirrored:
        matrix = matrix @ np.diag([1.0, 1.0, -1.0])
        faces = faces[:, ::-1]
    shift = rng.uniform(-500, 500, 3)
    placed = vertices @ matrix.T + shift
    unit = str(rng.choice(list(MM_PER_UNIT)))
    choice = rng.choice(["little.ply", "ascii.ply", "limb.obj", "limb.stl", "limb.glb", "limb.zip"])
    if choice == "limb.glb" and not cloud:
        unit, given = "m", None
        data = files.glb_bytes(placed / 1000, faces)
    else:
        given = unit if rng.random() < 0.6 else None
        size = placed / MM_PER_UNIT[unit]
        if cloud:
            # The truth is that of the triangles, so the points lie anywhere on them, not on their corners alone.
            shares = rng.dirichlet((1.0, 1.0, 1.0), len(size))
            spots = np.einsum("ij,ijk->ik", shares, size[faces[rng.integers(len(faces), size=len(size))]])
            choice, data = "limb.xyz", files.xyz_bytes(np.round(spots, 6))
        elif choice == "limb.zip":
            data = files.zip_bytes("limb.obj", files.obj_bytes(np.round(size, 6), faces))
        else:
            choice = "little.ply" if choice == "limb.glb" else choice
            data = files.WRITERS[str(choice)](np.round(size, 6), faces)
    return Damaged(
        name=f"{seed} {choice}", data=data, kind=limb.kind, side=limb.side, unit=unit, given=given,
        front_given=bare and rng.random() < 0.5, origin=matrix @ limb.origin + shift, axis=matrix @ limb.axis,
        front=matrix @ limb.front, planes=planes, cloth=cuff, mirrored=mirrored, extremity=not bare,
        faces=0 if cloud else len(faces), grain=grain, done=done,
    )  # fmt: skip
