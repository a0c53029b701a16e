"""A limb of our own invention: a tube r(height, bearing) with a foot or a hand, its girths, and its triangles.

A limb is drawn from four outlines (front, back, outside, inside) and the bumps and hollows of its muscles and bones;
a foot or a hand of rounded solids is blended to it. Marching cubes make triangles of the whole, which are then
pulled onto the exact surface.

Limb coordinates are mm: front, lateral, height along the axis. A leg's height counts from the floor, an arm's from
the wrist bone; the bearing is 0 at the front, growing to lateral (arm: back of the hand, then the thumb).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import igl
import numpy as np
import numpy.typing as npt
import trimesh
from scipy.interpolate import CubicSpline
from scipy.optimize import minimize_scalar
from scipy.spatial import ConvexHull

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Field = Callable[[Floats], Floats]


@dataclass(frozen=True)
class Bump:
    """A rise (or, negative, a hollow) of the skin: mm of radius, middle, and half widths (standard deviations)."""

    rise: float
    height: float
    bearing_deg: float
    tall: float
    wide_deg: float


@dataclass(frozen=True)
class Ball:
    """An ellipsoid of foot or hand: middle and half axes, mm."""

    middle: tuple[float, float, float]
    axes: tuple[float, float, float]


@dataclass(frozen=True)
class Rod:
    """A round cone of foot or hand: from a point with a radius to another point with another, mm."""

    start: tuple[float, float, float]
    start_radius: float
    end: tuple[float, float, float]
    end_radius: float


@dataclass(frozen=True)
class Blend:
    """Solids of foot or hand that flow into one another over about `width` mm."""

    width: float
    solids: tuple[Ball | Rod | Blend, ...]


@dataclass(frozen=True)
class Body:
    """One invented limb.

    `outline` rows: height, front, back, outside, inside (mm from the axis, back and inside negative).
    `tube` is the height range of the tube itself, `top` where the scan ends. `extremity` is the foot or hand,
    blended over `blend` mm. `marks` are heights of landmarks; `search` the ranges of least and widest girth.
    """

    name: str
    kind: str
    side: str
    outline: tuple[tuple[float, ...], ...]
    bumps: tuple[Bump, ...]
    extremity: Blend
    blend: float
    tube: tuple[float, float]
    top: float
    floor: bool
    marks: dict[str, float]
    search: dict[str, tuple[float, float]]


def _outline(body: Body, heights: Floats) -> Floats:
    """Front, back, outside and inside (4,N) at heights (N,), mm from the axis."""
    rows = np.array(body.outline)
    spline = CubicSpline(rows[:, 0], rows[:, 1:], bc_type="natural")
    return spline(np.clip(heights, rows[0, 0], rows[-1, 0])).T


def centre(body: Body, heights: Floats) -> Floats:
    """Centre line (N,2): front and lateral mm at heights (N,)."""
    front, back, outside, inside = _outline(body, np.asarray(heights, float))
    return np.stack([(front + back) / 2, (outside + inside) / 2], axis=-1)


def radius(body: Body, heights: Floats, bearings: Floats) -> Floats:
    """Distance (N,) mm of the skin from the centre line at heights (N,) and bearings (N,) radians."""
    heights, bearings = np.broadcast_arrays(np.asarray(heights, float), np.asarray(bearings, float))
    front, back, outside, inside = _outline(body, heights.ravel())
    deep, wide = (front - back).reshape(heights.shape) / 2, (outside - inside).reshape(heights.shape) / 2
    result = deep * wide / np.hypot(wide * np.cos(bearings), deep * np.sin(bearings))
    for bump in body.bumps:
        # A von Mises bell: a Gaussian that closes smoothly round the limb.
        turn = np.cos(bearings - np.radians(bump.bearing_deg)) - 1
        along = (heights - bump.height) / bump.tall
        result = result + bump.rise * np.exp(turn / np.radians(bump.wide_deg) ** 2 - along**2 / 2)
    return result


def section(body: Body, height: float, *, count: int = 1440) -> Floats:
    """The skin's section (count,2) at one height: front and lateral mm, counter-clockwise in bearing."""
    bearings = np.arange(count) * 2 * np.pi / count
    r = radius(body, np.full(count, height), bearings)
    return centre(body, np.full(1, height)) + r[:, None] * np.stack([np.cos(bearings), np.sin(bearings)], axis=1)


def girth(body: Body, height: float) -> float:
    """Length of the skin's section at one height, mm, hollows followed."""
    ring = section(body, height)
    return float(np.linalg.norm(ring - np.roll(ring, 1, axis=0), axis=1).sum())


def tape(body: Body, height: float) -> float:
    """Length of a tape round the limb at one height, mm: the section's convex hull."""
    return float(ConvexHull(section(body, height)).area)


def landmarks(body: Body) -> dict[str, float]:
    """Heights of the named places, mm: those of `marks`, and the least and the widest girth by tape."""
    found = dict(body.marks)
    for name, bounds in body.search.items():
        sign = -1.0 if name == "widest" else 1.0
        heights = np.arange(bounds[0], bounds[1], 2.0)
        best = heights[np.argmin([sign * tape(body, h) for h in heights])]
        fine = minimize_scalar(lambda h, sign=sign: sign * tape(body, h), bounds=(best - 3, best + 3), method="bounded")
        found[name] = round(float(fine.x), 1)
    return found


def solid_field(points: Floats, solid: Ball | Rod | Blend) -> Floats:
    """Signed distance (N,), nearly, from foot or hand; negative inside."""
    if isinstance(solid, Blend):
        result = solid_field(points, solid.solids[0])
        for other in solid.solids[1:]:
            result = soft_least(result, solid_field(points, other), solid.width)
        return result
    if isinstance(solid, Ball):
        scaled = (points - solid.middle) / solid.axes
        near = np.linalg.norm(scaled, axis=1)
        slope = np.linalg.norm(scaled / solid.axes, axis=1)
        return near * (near - 1) / np.maximum(slope, 1e-6)
    start, end = np.array(solid.start), np.array(solid.end)
    along = np.clip((points - start) @ (end - start) / ((end - start) @ (end - start)), 0, 1)
    away = np.linalg.norm(points - start - along[:, None] * (end - start), axis=1)
    return away - (solid.start_radius + along * (solid.end_radius - solid.start_radius))


def soft_least(one: Floats, other: Floats, width: float) -> Floats:
    """The lesser of two distances, rounded where they differ by less than `width`: exact elsewhere."""
    near = np.maximum(width - np.abs(one - other), 0) / width
    return np.minimum(one, other) - near**3 * width / 6


def _tube(body: Body, points: Floats) -> Floats:
    heights = np.clip(points[:, 2], *body.tube)
    across = points[:, :2] - centre(body, heights)
    bearings = np.arctan2(across[:, 1], across[:, 0])
    r = radius(body, heights, bearings)
    step = 0.5
    slope = (radius(body, heights + step, bearings) - radius(body, heights - step, bearings)) / (2 * step)
    around = (radius(body, heights, bearings + 0.01) - radius(body, heights, bearings - 0.01)) / (0.02 * r)
    away = (np.linalg.norm(across, axis=1) - r) / np.sqrt(1 + slope**2 + around**2)
    return np.maximum(away, np.maximum(body.tube[0] - points[:, 2], points[:, 2] - body.tube[1]))


def field(body: Body, points: Floats) -> Floats:
    """Signed distance (N,) mm, nearly, of points (N,3) from the limb with its foot or hand; 0 on the skin."""
    result = soft_least(_tube(body, points), solid_field(points, body.extremity), body.blend)
    return np.maximum(result, -points[:, 2]) if body.floor else result


def gradient(body: Body, points: Floats) -> Floats:
    """Gradient (N,3) of the field at points (N,3): it looks outward."""
    return _slope(lambda at: field(body, at), points)


def _slope(distance: Field, points: Floats) -> Floats:
    step = 0.05
    moves = np.eye(3) * step
    return np.stack([(distance(points + m) - distance(points - m)) / (2 * step) for m in moves], axis=1)


def surface(body: Body, *, edge: float) -> tuple[Floats, Ints]:
    """Vertices (V,3) on the skin and faces (F,3), outward, open at the top; `edge` mm is the grid's step."""
    low, high = np.array([-100.0, -100.0, -210.0]), np.array([215.0, 100.0, body.top + 2 * edge])
    if body.floor:
        low[2] = -2.6 * edge
    vertices, faces = triangulated(lambda at: field(body, at), low, high, edge=edge)
    return vertices, faces[(vertices[faces, 2] < body.top).all(axis=1)]


def triangulated(distance: Field, low: Floats, high: Floats, *, edge: float) -> tuple[Floats, Ints]:
    """Vertices (V,3) where a distance is 0 within a box and faces (F,3), outward; `edge` mm is the grid's step."""
    axes = [np.arange(a, b, edge) for a, b in zip(low, high, strict=True)]
    nx, ny, nz = (len(axis) for axis in axes)
    z, y, x = np.meshgrid(axes[2], axes[1], axes[0], indexing="ij")
    grid = np.stack([x.ravel(), y.ravel(), z.ravel()], axis=1)
    vertices, faces = igl.marching_cubes(distance(grid), grid, nx, ny, nz, 0.0)[:2]
    mesh = trimesh.Trimesh(vertices, faces, process=True)
    faces = np.asarray(mesh.faces, np.int64)
    vertices = _relaxed(distance, np.asarray(mesh.vertices), faces)
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    if np.einsum("ij,ij->", a, np.cross(b, c)) < 0:
        faces = faces[:, ::-1]
    return vertices, faces


def _relaxed(distance: Field, vertices: Floats, faces: Ints) -> Floats:
    """Vertices moved along the skin to their neighbours' middle, and onto the skin again: even triangles."""
    pairs = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    count = np.bincount(pairs[:, 0], minlength=len(vertices))
    for _ in range(4):
        middle = np.stack(
            [np.bincount(pairs[:, 0], vertices[pairs[:, 1], k], minlength=len(vertices)) for k in range(3)], axis=1
        )
        move = 0.5 * (middle / np.maximum(count, 1)[:, None] - vertices)
        slope = _slope(distance, vertices)
        normal = slope / np.linalg.norm(slope, axis=1, keepdims=True)
        vertices = vertices + move - np.einsum("ij,ij->i", move, normal)[:, None] * normal
        slope = _slope(distance, vertices)
        steepness = np.einsum("ij,ij->i", slope, slope)
        vertices = vertices - (distance(vertices) / steepness)[:, None] * slope
    return vertices
