"""The surface by a second route that shares nothing with the fit: a distance field, and marching cubes through it."""

import json
from pathlib import Path

import numpy as np
import pytest
from limb_shapes import calf, points_of
from scipy.spatial import cKDTree
from skimage.measure import marching_cubes

from flatten.limb.find import find_limb
from flatten.limb.kind import FOREARM, LOWER_LEG
from flatten.limb.surface.fit import fit_surface
from flatten.limb.surface.sample import even_points
from flatten.scan.read import read_scan

SCANS = Path(__file__).parent.parent / "data" / "scans"

GRID = 4.0
"""mm. Marching cubes cut edges of this length linearly: an error of GRID²/8R, 0.04 mm at a calf's bend."""

REACH = 4.0
"""mm. Standard deviation of the weights by which the planes of near points are averaged."""


def field_surface(points, normals, low, high):
    """Vertices where the mean of the signed distances from the tangent planes of near points is 0.

    Implicit moving least squares (Kolluri, "Provably good moving least squares", SODA 2005).
    """
    near = points[(points[:, 2] > low - 12) & (points[:, 2] < high + 12)]
    side = normals[(points[:, 2] > low - 12) & (points[:, 2] < high + 12)]
    corner = np.array([*(near[:, :2].min(axis=0) - 8.0), low])
    counts = np.ceil((np.array([*(near[:, :2].max(axis=0) + 8.0), high]) - corner) / GRID).astype(int) + 1
    grid = corner + np.stack(np.meshgrid(*map(np.arange, counts), indexing="ij"), axis=-1).reshape(-1, 3) * GRID
    tree = cKDTree(near)
    away, first = tree.query(grid)
    field = np.sign(np.einsum("ij,ij->i", grid - near[first], side[first])) * away
    band = np.flatnonzero(away < 2 * GRID)
    far, which = tree.query(grid[band], k=60)
    weights = np.exp(-0.5 * (far / REACH) ** 2)
    planes = np.einsum("ikj,ikj->ik", grid[band, None] - near[which], side[which])
    field[band] = np.sum(weights * planes, axis=1) / np.sum(weights, axis=1)
    vertices = marching_cubes(field.reshape(counts), 0.0, spacing=(GRID,) * 3)[0] + corner
    return vertices[(vertices[:, 2] > low + GRID) & (vertices[:, 2] < high - GRID)]


def apart(vertices, skin):
    """First-order distances of vertices from the fitted surface."""
    away = vertices[:, :2] - skin.centre_line(vertices[:, 2])
    turn = np.arctan2(away[:, 1], away[:, 0])
    normals = skin.normals(vertices[:, 2], turn)
    radial = normals[:, 0] * np.cos(turn) + normals[:, 1] * np.sin(turn)
    return (np.hypot(*away.T) - skin.radius(vertices[:, 2], turn)) * radial


def test_a_noisy_limb_with_a_formula_comes_out_alike_by_both_routes():
    points = points_of(calf, count=30_000)
    skin = fit_surface(points, heights=(0.0, 300.0))
    turn = np.arctan2(points[:, 1], points[:, 0])
    normals = skin.normals(points[:, 2], turn)
    points = points + np.random.default_rng(5).normal(0, 0.3, (len(points), 1)) * normals
    again = fit_surface(points, heights=(0.0, 300.0))
    found = apart(field_surface(points, normals, 60.0, 240.0), again)
    assert len(found) > 2000
    assert np.sqrt(np.mean(found**2)) < 0.3


@pytest.mark.parametrize("name", ["leg_b_phone", "forearm_c_nodes"])
def test_a_scan_comes_out_alike_by_both_routes(name):
    facts = json.loads((SCANS / f"{name}.json").read_text("utf8"))
    scan = read_scan(SCANS / facts["file"], unit=facts["unit"])
    limb, skin = find_limb(scan, kind=LOWER_LEG if "leg" in name else FOREARM, side=facts["side"])
    points = limb.frame.to_limb(even_points(scan, count=60_000))
    nearest = cKDTree(limb.frame.to_limb(scan.points)).query(points)[1]
    normals = (scan.normals @ limb.frame.axes.T)[nearest]
    # Above the hole of leg_b_phone, and clear of wrist and elbow: both routes need points.
    low, high = (230.0, 380.0) if "leg" in name else (30.0, 200.0)
    vertices = field_surface(points, normals, low, high)
    assert len(vertices) > 1500
    assert np.sqrt(np.mean(apart(vertices, skin) ** 2)) < 0.3
