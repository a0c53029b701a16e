"""What a sheet at rest presses on the limb with, place by place, and what its held sides ask of their laces."""

from __future__ import annotations

import numpy as np

from flatten.forming.sheet import Sheet, Stiffness, vertex_sums
from flatten.leather.tensors import near_each
from flatten.mesh.surface import Flags, Floats
from flatten.worn.panel import Panel

CALM = 12.0
"""mm over which pressing forces are averaged: forces on single vertices of chords jump between neighbours."""


def vertex_areas(sheet: Sheet) -> Floats:
    """Flat area (V,), mm², that belongs to each vertex: a third of its faces'."""
    areas = sheet.elements.areas
    return vertex_sums(sheet.elements, np.broadcast_to(areas[:, None] / 3.0, (3, len(areas), 1)))[:, 0]


def pressure_of(sheet: Sheet, places: Floats) -> Floats:
    """Pressure (V,) by flat area, 1/mm of E·t, averaged over CALM, of a sheet whose vertices lie at places (V,2)."""
    normals = sheet.surface.normals(places[:, 0], places[:, 1] / sheet.scale)
    outwards = np.sum(Stiffness(sheet, places).forces * normals, axis=1)
    sums: Floats = near_each(sheet.points(places), CALM).dot(np.column_stack([outwards, vertex_areas(sheet)]))
    return sums[:, 0] / sums[:, 1]


def pull_of(panel: Panel, points: Floats, forces: Floats, *, held: Flags) -> Floats:
    """Forces (V,) outwards across the panel's held sides, E·t·mm, of the `forces` (V,3) at worn points (V,3)."""
    pull = np.zeros(len(points))
    for boundary in panel.boundaries:
        at = boundary.vertices
        if not held[at].all():
            continue
        ways = np.gradient(points[at], axis=0)
        outwards = np.cross(ways, _normals(panel, points)[at])
        outwards /= np.linalg.norm(outwards, axis=1)[:, None]
        pull[at] = np.sum(forces[at] * outwards, axis=1)
    return pull


def _normals(panel: Panel, points: Floats) -> Floats:
    """Normals (V,3), not of unit length, outwards at worn points (V,3)."""
    corners = points[panel.mesh.faces]
    faces = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    out = np.zeros_like(points)
    for corner in panel.mesh.faces.T:
        np.add.at(out, corner, faces)
    return out
