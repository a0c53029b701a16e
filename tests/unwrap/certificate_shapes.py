"""Pairs of points with distances in closed form, and flat maps of known spread, for the tests of the certificate."""

import numpy as np

from flatten.mesh.edges import edge_lengths, mesh_edges
from flatten.mesh.gradient import face_gradients, singular_values
from flatten.unwrap.certificate.distances import (
    boundary_distances,
    edge_distances,
    edge_graph,
    halved,
    nearby_distances,
)
from flatten.unwrap.certificate.paths import Field, Neighbours, Paths
from flatten.unwrap.certificate.struts import Pairs
from flatten.unwrap.overlap import count_overlaps


def known_pairs(distance: np.ndarray, to_boundary: np.ndarray) -> Pairs:
    """All pairs of points with known distances (N,N) and (N,), without paths: so with short struts only."""
    first, second = np.triu_indices(len(to_boundary), 1)
    size = len(first)
    paths = Paths(np.zeros((1, size)), np.zeros((1, size)), np.zeros(size, dtype=bool))
    return Pairs(np.arange(len(to_boundary)), to_boundary, first, second, distance[first, second], paths)


def hub_and_rim(count: int, radius: float, chord) -> tuple[np.ndarray, np.ndarray]:
    """Distances (n+1,n+1) of a hub and a rim, `chord` the distance at an angle, and the points (n+1,2) laid flat."""
    turn = 2 * np.pi * np.arange(count) / count
    distance = np.zeros((count + 1, count + 1))
    distance[0, 1:] = distance[1:, 0] = radius
    distance[1:, 1:] = chord(np.abs(turn[:, None] - turn))
    guide = np.vstack([[0.0, 0.0], radius * np.stack([np.cos(turn), np.sin(turn)], axis=1)])
    return distance, guide


def sphere_chord(radius):
    """Distance at an angle between points of a circle of `radius` on the unit sphere."""
    return lambda angle: 2 * np.arcsin(np.sin(radius) * np.abs(np.sin(angle / 2)))


def hyperbolic_chord(radius):
    """Distance at an angle between points of a circle of `radius` in the hyperbolic plane of curvature −1."""
    return lambda angle: 2 * np.arcsinh(np.sinh(radius) * np.abs(np.sin(angle / 2)))


def flat_spread(mesh, uv) -> tuple[float, float]:
    """Least flat / worn of a flat map (V,2) without flipped faces, and its spread."""
    large, small = singular_values(face_gradients(mesh), uv[:, 0] + 1j * uv[:, 1])
    assert small.min() > 0
    return float(small.min()), float(np.log(large.max() / small.min()))


def waved(mesh, boundary, uv, *, amount: float, seed: int) -> tuple[np.ndarray, float]:
    """The flat map moved by smooth random waves and scaled so that flat / worn is at least 1; and its spread."""
    rng = np.random.default_rng(seed)
    size = np.ptp(uv, axis=0).max()
    moved = uv.copy()
    for _ in range(6):
        wave = rng.normal(size=2) * 2 * np.pi / size
        moved += amount * size * rng.normal(size=2) * np.sin(uv @ wave + rng.uniform(0, 2 * np.pi))[:, None]
    least, spread = flat_spread(mesh, moved)
    assert count_overlaps(moved[:, 0] + 1j * moved[:, 1], boundary) == 0
    return moved / least, spread


def fields(mesh, sources) -> Field:
    """The whole distance fields of the vertices `sources`, ready for tracing."""
    edges = mesh_edges(mesh)
    clear = boundary_distances(halved(mesh, edges))
    along = edge_distances(edge_graph(mesh, edges), sources)
    longest = float(edge_lengths(mesh, edges).max())
    known = [nearby_distances(mesh, int(s), a, reach=1e4, longest=longest) for s, a in zip(sources, along, strict=True)]
    count = len(mesh.vertices)
    return Field(mesh, Neighbours(mesh), np.array(known), sources, clear[:count], clear[count:], edges)
