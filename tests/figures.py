"""The invented watchman as scans: the whole figure, a pair of legs, thighs; and each limb of his alone."""

import sys
from functools import cache
from pathlib import Path

import numpy as np

from flatten.scan.model import Scan
from flatten.scan.orient import vertex_normals

sys.path.append(str(Path(__file__).parent.parent / "meshes"))
import figure
import parametric

EDGE = 10.0
"""mm. Step of the grid; the triangles' edges are up to √2 times as long."""

PLACES = figure.PLACES
CROPS = {
    "whole": (-9.0, 2000.0),
    "up to the chest": (-9.0, 1300.0),
    "pair of legs": (-9.0, 1000.0),
    "thighs and hips": (380.0, 1040.0),
}
"""Heights above the floor between which the figure is shown."""


@cache
def watchman():
    """Vertices and faces of the whole figure."""
    return figure.figure(edge=EDGE)


def scan_of(vertices, faces):
    """A scan in mm of the triangles, without vertices that no face uses."""
    used = np.unique(faces)
    vertices, faces = vertices[used], np.searchsorted(used, faces)
    normals = vertex_normals(vertices, faces)
    return Scan("watchman", vertices, normals, faces, "mm", "given", 1.0, len(faces), ())


@cache
def cropped(name):
    """The figure between the heights of CROPS; hands that hang lower than the arms are cut are left out."""
    vertices, faces = watchman()
    low, high = CROPS[name]
    kept = (vertices[:, 2] > low) & (vertices[:, 2] < high)
    if high < 1200.0:
        kept &= np.abs(vertices[:, 1]) < 250.0
    return scan_of(vertices, faces[kept[faces].all(axis=1)])


def on(limb, height):
    """A point (x, y, z) on the front of a limb of PLACES, at a height of its body."""
    place = PLACES[limb]
    middle = parametric.centre(place.body, np.array([height]))[0]
    forward = parametric.radius(place.body, np.array([height]), np.zeros(1))[0]
    return tuple(float(x) for x in place.to_figure(np.array([[middle[0] + forward, middle[1], height]]))[0])


@cache
def lone(limb):
    """Vertices and faces of one limb of PLACES alone, in its own coordinates, cut below the groin or the armpit."""
    body = PLACES[limb].body
    top = body.marks["groin"] if body.kind == "thigh" else body.marks["armpit"]
    low, high = np.array([-110.0, -110.0, -210.0]), np.array([215.0, 110.0, top + 15.0])
    if body.floor:
        low[2] = -15.0
    vertices, faces = parametric.triangulated(lambda points: parametric.field(body, points), low, high, edge=6.0)
    return vertices, faces[(vertices[faces, 2] < top).all(axis=1)]
