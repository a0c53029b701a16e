"""Faces turned so that all of them look outward."""

from __future__ import annotations

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import breadth_first_order

from flatten.findings import Finding, finding
from flatten.mesh.edges import halves_by_edge
from flatten.mesh.graph import components
from flatten.mesh.surface import Floats, Ints
from flatten.scan.areas import area_normals

SLICE = 20.0
"""mm. The middle of a limb is taken over slices as thick as this: a limb bends little within a finger's breadth."""


def turn_outward(vertices: Floats, faces: Ints) -> tuple[Ints, list[Finding]]:
    """Faces with their corners counter-clockwise seen from outside.

    Neighbours across an edge that exactly two faces share are made to agree; each patch so joined is then
    turned as a whole to look away from the middle of the limb. Where more than two faces meet, patches end.
    """
    if not len(faces):
        return faces, []
    patch, turned = _agreeing(faces, vertices=len(vertices))
    outward = _flux(vertices, faces)
    outward[turned] *= -1
    turned ^= np.bincount(patch, outward)[patch] < 0
    count = int(np.count_nonzero(turned))
    if not count:
        return faces, []
    result = faces.copy()
    result[turned] = faces[turned][:, ::-1]
    return result, [finding("scan.turned", "note", count=count)]


def _agreeing(faces: Ints, *, vertices: int) -> tuple[Ints, np.ndarray[tuple[int], np.dtype[np.bool_]]]:
    """Patch of each face (F,), and which faces to turn so that each patch agrees with its first face."""
    count = len(faces)
    order, starts, _ = halves_by_edge(faces, vertices)
    pairs = starts[np.diff(starts, append=len(order)) == 2]
    halves = np.stack([order[pairs], order[pairs + 1]])
    # Two faces that run along their edge the same way start at the same vertex.
    opposed = np.equal(*faces.T.ravel()[halves])
    one, other = np.sort(halves % count, axis=0)
    patch = components(np.stack([one, other], axis=1), count)
    turned = np.zeros(count, bool)
    if opposed.any():
        turned = _parity(one, other, opposed, patch)
    return patch, turned


def _parity(
    one: Ints, other: Ints, opposed: np.ndarray[tuple[int], np.dtype[np.bool_]], patch: Ints
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Whether each face runs against the first face of its patch, along a spanning tree of the neighbours.

    One tree reaches every patch: a further node is joined to each patch's first face. The parity along the
    tree then comes by pointer doubling: log2 of its depth steps over arrays, no walk from face to face.
    """
    count = len(patch)
    first = np.unique(patch, return_index=True)[1]
    rows = np.concatenate([one, np.full(len(first), count)])
    columns = np.concatenate([other, first])
    weights = np.concatenate([np.where(opposed, 2, 1), np.ones(len(first), int)]).astype(np.int8)
    graph = coo_array((weights, (rows, columns)), shape=(count + 1, count + 1)).tocsr()
    graph = graph + graph.T
    _, parent = breadth_first_order(graph, count, directed=False)
    parent = parent.astype(np.int64)
    parent[count] = count
    parity = np.zeros(count + 1, bool)
    lower, upper = np.minimum(one, other), np.maximum(one, other)
    against = np.sort((lower * count + upper)[opposed])
    child = np.arange(count)
    step = np.minimum(child, parent[:count]) * count + np.maximum(child, parent[:count])
    if len(against):
        place = np.minimum(np.searchsorted(against, step), len(against) - 1)
        parity[:count] = against[place] == step
    while (parent != parent[parent]).any():
        parity ^= parity[parent]
        parent = parent[parent]
    return parity[:count]


def _flux(vertices: Floats, faces: Ints) -> Floats:
    """Area of each face (F,) seen from the middle of its slice of the limb, positive where it looks away."""
    normal = area_normals(vertices, faces)
    rows = np.ascontiguousarray(vertices.T)
    a, b, c = np.ascontiguousarray(faces.T)
    middle = np.stack([(row[a] + row[b] + row[c]) / 3 for row in rows])
    centred = middle - middle.mean(axis=1, keepdims=True)
    along = np.linalg.eigh(centred @ centred.T)[1][:, 2] @ centred
    slices = np.floor((along - along.min()) / SLICE).astype(np.int64)
    weight = np.sqrt(np.einsum("ij,ij->j", normal, normal))
    total = np.bincount(slices, weight)
    total[total == 0] = 1.0
    flux, length = np.zeros(len(faces)), np.zeros(len(faces))
    for row, across in zip(middle, normal, strict=True):
        away = row - (np.bincount(slices, weight * row) / total)[slices]
        flux += across * away
        length += away**2
    return flux / np.maximum(np.sqrt(length), SLICE / 10)


def vertex_normals(vertices: Floats, faces: Ints) -> Floats:
    """Unit normals (N,3): the mean of the faces at each vertex by area; zero where there are none."""
    if not len(faces):
        return np.zeros_like(vertices)
    normal = area_normals(vertices, faces)
    columns = np.ascontiguousarray(faces.T)
    summed = np.stack([sum(np.bincount(column, row, len(vertices)) for column in columns) for row in normal], axis=1)
    length = np.linalg.norm(summed, axis=1, keepdims=True)
    return np.divide(summed, length, out=np.zeros_like(summed), where=length > 0)
