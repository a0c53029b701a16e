"""Surfaces with a known flat shape, meshed for the tests of flattening."""

import numpy as np
from scipy.spatial import Delaunay

from flatten.mesh.surface import Mesh
from flatten.worn.panel import Boundary, Panel


def grid_faces(columns: int, rows: int) -> np.ndarray:
    """Faces of a grid of (columns + 1) × (rows + 1) vertices, x fastest; diagonals alternate."""
    i, j = np.meshgrid(np.arange(columns), np.arange(rows))
    a = (i + j * (columns + 1)).ravel()
    b, c, d = a + 1, a + columns + 2, a + columns + 1
    even = ((i + j) % 2 == 0).ravel()
    one = np.where(even[:, None], np.stack([a, b, c], 1), np.stack([a, b, d], 1))
    two = np.where(even[:, None], np.stack([a, c, d], 1), np.stack([b, c, d], 1))
    return np.concatenate([one, two])


def grid(columns: int, rows: int) -> tuple[np.ndarray, np.ndarray]:
    """x and y of the grid's vertices, from 0 to 1."""
    x, y = np.meshgrid(np.linspace(0, 1, columns + 1), np.linspace(0, 1, rows + 1))
    return x.ravel(), y.ravel()


def jittered(columns: int, rows: int, *, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """An irregular mesh of the unit square: x, y, faces; the boundary stays."""
    rng = np.random.default_rng(seed)
    x, y = grid(columns, rows)
    inner = (x > 0) & (x < 1) & (y > 0) & (y < 1)
    x, y = x.copy(), y.copy()
    x[inner] += rng.uniform(-0.3, 0.3, inner.sum()) / columns
    y[inner] += rng.uniform(-0.3, 0.3, inner.sum()) / rows
    return x, y, ccw(np.stack([x * columns, y * rows], 1))


def ccw(points: np.ndarray) -> np.ndarray:
    """Delaunay faces of plane points, counter-clockwise, without those that have no area."""
    faces = Delaunay(points).simplices
    a, b, c = (points[faces[:, i]] for i in range(3))
    area = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    faces = np.where((area < 0)[:, None], faces[:, ::-1], faces)
    return faces[np.abs(area) > 1e-9].astype(np.int64)


def square(columns: int = 12, rows: int = 9, *, width: float = 120.0, height: float = 90.0, seed: int = 1) -> Mesh:
    """A flat plate, irregularly meshed."""
    x, y, faces = jittered(columns, rows, seed=seed)
    return Mesh(np.stack([width * x, height * y, 0 * x], 1), faces)


def tube_panel(
    radius_at, *, length: float, columns: int, rows: int, opening: float = 0.3, seed: int | None = 1
) -> Panel:
    """An opened tube with the bearings from −π + opening/2 to π − opening/2, radius `radius_at(height, bearing)`."""
    if seed is None:
        (x, y), faces = grid(columns, rows), grid_faces(columns, rows)
    else:
        x, y, faces = jittered(columns, rows, seed=seed)
    bearing = (2 * x - 1) * (np.pi - opening / 2)
    height = length * y
    radius = radius_at(height, bearing)
    vertices = np.stack([radius * np.cos(bearing), radius * np.sin(bearing), height], 1)
    index = np.arange((columns + 1) * (rows + 1)).reshape(rows + 1, columns + 1)
    boundaries = (
        Boundary("bottom edge", "edge", "", index[0]),
        Boundary("back", "laced", "high", index[:, -1]),
        Boundary("top edge", "edge", "", index[-1, ::-1]),
        Boundary("back", "laced", "low", index[::-1, 0]),
    )
    return Panel("tube", Mesh(vertices, faces), height, bearing, boundaries)


def cylinder(columns: int, rows: int, *, radius: float = 60.0, length: float = 200.0, **more) -> Panel:
    return tube_panel(lambda h, b: radius + 0 * h, length=length, columns=columns, rows=rows, **more)


def frustum(columns: int, rows: int, *, low: float, high: float, length: float, **more) -> Panel:
    """An opened cone frustum of radius `low` at the bottom, `high` at the top."""
    return tube_panel(lambda h, b: low + (high - low) * h / length, length=length, columns=columns, rows=rows, **more)


def calf_radius(height: np.ndarray, bearing: np.ndarray) -> np.ndarray:
    """Radius of an invented lower leg over 300 mm: thin above the ankle, a bulge at the back, a blunt shin."""
    u = height / 300.0
    back = 0.5 * (1 - np.cos(bearing))
    bulge = np.exp(-(((u - 0.68) / 0.28) ** 2))
    return 38 + 9 * u + bulge * (7 + 13 * back**2) + 2.5 * np.cos(2 * bearing)


def calf(edge: float, **more) -> Panel:
    """The invented lower leg as a panel with edges of about `edge` mm."""
    columns, rows = round(320 / edge), round(300 / edge)
    return tube_panel(calf_radius, length=300.0, columns=columns, rows=rows, **more)


def polar_disc(vertices: int, *, seed: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """An irregular mesh of the unit disc with an even rim: radius, angle, faces."""
    rng = np.random.default_rng(seed)
    rim = int(2.0 * np.sqrt(np.pi * vertices))
    k = np.arange(vertices)
    r, t = np.sqrt((k + 0.5) / vertices), k * np.pi * (3 - np.sqrt(5))
    inner = r < 1 - 3.5 / rim
    points = np.stack([r * np.cos(t), r * np.sin(t)], 1)[inner]
    points += rng.uniform(-0.6, 0.6, points.shape) / np.sqrt(vertices)
    angle = 2 * np.pi * np.arange(rim) / rim
    points = np.concatenate([points, np.stack([np.cos(angle), np.sin(angle)], 1)])
    return np.hypot(*points.T), np.arctan2(points[:, 1], points[:, 0]), ccw(points)


def cap(vertices: int, angle: float, *, radius: float = 100.0, seed: int = 1) -> Mesh:
    """A spherical cap of angular radius `angle`, irregularly meshed."""
    r, turn, faces = polar_disc(vertices, seed=seed)
    c = r * angle
    return Mesh(radius * np.stack([np.sin(c) * np.cos(turn), np.sin(c) * np.sin(turn), np.cos(c)], 1), faces)


def hyperbolic_like(vertices: int, *, bend: float, seed: int = 1) -> Mesh:
    """A saddle z = bend·(x² − y²)·100 over the disc of radius 100 mm."""
    r, turn, faces = polar_disc(vertices, seed=seed)
    x, y = r * np.cos(turn), r * np.sin(turn)
    return Mesh(100 * np.stack([x, y, bend * (x * x - y * y)], 1), faces)


def face_stretches(mesh: Mesh, uv: np.ndarray) -> np.ndarray:
    """Worn / flat principal stretches (F,2), by numpy's singular values: independent of the solver's own formulas."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    x = b - a
    length = np.linalg.norm(x, axis=1)
    ex = x / length[:, None]
    y = c - a
    normal = np.cross(ex, y)
    ey = np.cross(normal / np.linalg.norm(normal, axis=1)[:, None], ex)
    worn = np.stack([np.stack([length, 0 * length], 1), np.stack([(y * ex).sum(1), (y * ey).sum(1)], 1)], 2)
    flat = np.stack([uv[mesh.faces[:, 1]] - uv[mesh.faces[:, 0]], uv[mesh.faces[:, 2]] - uv[mesh.faces[:, 0]]], 2)
    return np.linalg.svd(worn @ np.linalg.inv(flat), compute_uv=False)


def flat_signs(mesh: Mesh, uv: np.ndarray) -> np.ndarray:
    """Signed area of each flat face (F,), mm²."""
    a, b, c = (uv[mesh.faces[:, i]] for i in range(3))
    return 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])


def worn_lengths(mesh, uv, direction) -> np.ndarray:
    """Worn length of a unit length of flat leather in `direction`, face by face."""
    a, b, c = (mesh.vertices[mesh.faces[:, i]] for i in range(3))
    p, q, r = (uv[mesh.faces[:, i]] for i in range(3))
    flat = np.stack([q - p, r - p], 2)
    share = np.linalg.solve(flat, np.broadcast_to(direction, (len(flat), 2))[..., None])
    return np.linalg.norm(np.stack([b - a, c - a], 2) @ share, axis=1)[:, 0]
