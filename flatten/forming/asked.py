"""What leather at rest is asked for, place by place, beside what it takes: patches, straight lines and rims.

All figures are logarithms by which a length grows beyond its limit, or shrinks beyond it; 0 or less is within.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csr_array

from flatten.forming.sheet import Elements
from flatten.leather.aims import Aim
from flatten.leather.lines import LINE
from flatten.leather.sighted import sighted_lines
from flatten.leather.tensors import PATCH_RADIUS, near_each
from flatten.mesh.disk import boundary_loops, twins_of
from flatten.mesh.edges import mesh_edges
from flatten.mesh.raster import rastered
from flatten.mesh.surface import Floats, Ints, Mesh

PIXEL = 2.0
"""mm of the picture by which lines are sighted."""

SAMPLES = 20
"""Places along a line at which the growth of the face there counts."""


@dataclass(frozen=True, eq=False)
class Lines:
    """Straight lines of LINE mm on the flat leather: the `faces` (N,SAMPLES) under them, their directions (N,2) in the
    grain's frame, and the `signs` (N,) and `allowed` growth (N,) of the aims that they were sighted for."""

    faces: Ints
    ways: Floats
    signs: Floats
    allowed: Floats

    def and_those(self, more: Lines) -> Lines:
        """These and more."""
        return Lines(
            *(np.concatenate([getattr(self, k), getattr(more, k)]) for k in ("faces", "ways", "signs", "allowed"))
        )


class Asker:
    """Asks the faces of a flat piece."""

    def __init__(self, mesh: Mesh, places: Floats, aims: Sequence[Aim]) -> None:
        """`places` (V,2) are the flat vertices in the grain's frame, mm; `aims` are the limits'."""
        self.aims, self._faces = tuple(aims), mesh.faces
        self._loops = tuple(boundary_loops(mesh, twins_of(mesh, mesh_edges(mesh))))
        self._near = self._patches(places)

    def reshaped(self, places: Floats) -> Asker:
        """The same for the piece in another flat shape, whose patches are other faces."""
        found = copy(self)
        found._near = self._patches(places)
        return found

    def _patches(self, places: Floats) -> csr_array:
        """Which faces (F,F) lie in the patch about each."""
        return near_each(places[self._faces].mean(axis=1), PATCH_RADIUS)

    def patches(self, elements: Elements, tensors: Floats) -> tuple[Floats, Floats, Floats]:
        """Beyond what is allowed (2F,), each aim's patches in turn; the patches' tensors (F,3); and the weights (2F,3)
        by which a change of a patch's tensor changes that."""
        means = self._means(elements.areas, tensors)
        found = [_beyond(means, aim) for aim in self.aims]
        return np.concatenate([one for one, _ in found]), means, np.concatenate([weights for _, weights in found])

    def patch_slopes(
        self, elements: Elements, tensors: Floats, means: Floats, changes: Floats, grown: Floats
    ) -> Floats:
        """Changes (K,F,3) of the patches' tensors, where faces' tensors change by (K,F,3) and areas grow by (K,F)."""
        areas, count = elements.areas, len(elements.areas)
        swelling = (changes + tensors * grown[..., None]) * areas[:, None]
        stacked = np.concatenate([swelling, (grown * areas)[..., None]], axis=-1)
        sums = self._near.dot(stacked.transpose(1, 0, 2).reshape(count, -1)).reshape(count, -1, 4).transpose(1, 0, 2)
        return (sums[..., :3] - means * sums[..., 3:]) / self._near.dot(areas)[:, None]

    def _means(self, areas: Floats, tensors: Floats) -> Floats:
        sums: Floats = self._near.dot(np.column_stack([tensors * areas[:, None], areas]))
        return sums[:, :3] / sums[:, 3:]

    def sighted(self, places: Floats, faces: Ints, tensors: Floats) -> Lines:
        """The worst lines in the worst squares of each aim, on flat places (V,2)."""
        raster = rastered(places, faces, pixel=PIXEL, margin=int(np.ceil(0.5 * LINE / PIXEL)))
        found = []
        for aim, lines in sighted_lines(raster, tensors, self.aims, length=LINE).items():
            shares = ((np.arange(SAMPLES) + 0.5) / SAMPLES - 0.5) * LINE
            points = lines.middles[:, None] + shares[:, None] * lines.ways[:, None]
            columns, rows = np.rint((points - raster.origin) / raster.pixel).astype(np.int64).transpose(2, 0, 1)
            under = raster.faces[rows, columns]
            whole = (under >= 0).all(axis=1)
            ways = lines.ways[whole]
            found.append(Lines(under[whole], ways, np.full(len(ways), float(aim.sign)), aim.allowed(ways)))
        return found[0].and_those(found[1])

    def rims(self, places: Floats, points: Floats) -> Floats:
        """Beyond what is allowed (R,), each piece of the rim LINE mm long from and to each vertex, at flat places
        (V,2) and worn points (V,3)."""
        found = []
        for loop in self._loops:
            steps = np.roll(places[loop], -1, axis=0) - places[loop]
            worn = np.linalg.norm(np.roll(points[loop], -1, axis=0) - points[loop], axis=1)
            flat = np.hypot(*steps.T)
            count = len(flat)
            run = np.concatenate([[0.0], np.cumsum(np.tile(flat, 3))])
            starts = np.concatenate([run[count : 2 * count], run[count : 2 * count] - LINE])
            for aim in self.aims:
                grown, allowed = (_over(starts, run, each) for each in (worn, aim.allowed(steps)))
                found.append(aim.sign * np.log(grown / allowed))
        return np.concatenate(found)


def lines_beyond(lines: Lines, tensors: Floats) -> tuple[Floats, Floats]:
    """Beyond what is allowed (N,), and the weights (N,SAMPLES,3) by which changes of the faces' tensors change it."""
    x, y = lines.ways.T
    forms = np.stack([x * x, y * y, 2 * x * y], axis=1)
    growths = np.sqrt(np.einsum("nsk,nk->ns", tensors[lines.faces], forms))
    mean = growths.mean(axis=1)
    weights = forms[:, None, :] / (2 * SAMPLES * growths * mean[:, None])[..., None]
    return lines.signs * np.log(mean / lines.allowed), lines.signs[:, None, None] * weights


def _over(starts: Floats, run: Floats, lengths: Floats) -> Floats:
    total = np.concatenate([[0.0], np.cumsum(np.tile(lengths, 3))])
    return np.interp(starts + LINE, run, total) - np.interp(starts, run, total)


def _beyond(tensors: Floats, aim: Aim) -> tuple[Floats, Floats]:
    """How far tensors (F,3) lie beyond an aim, and the weights (F,3) of their changes."""
    scales = np.array([aim.along**2, aim.across**2, aim.along * aim.across])
    along, across, shear = (tensors / scales).T
    middle, half = 0.5 * (along + across), 0.5 * (along - across)
    radius = np.hypot(half, shear)
    greatest = middle + radius
    value = greatest if aim.sign > 0 else (along * across - shear**2) / greatest
    angle = 0.5 * np.arctan2(shear, half) + (0.0 if aim.sign > 0 else 0.5 * np.pi)
    cos, sin = np.cos(angle), np.sin(angle)
    forms = np.stack([cos * cos, sin * sin, 2 * sin * cos], axis=1)
    return aim.sign * 0.5 * np.log(value), aim.sign * 0.5 * forms / value[:, None] / scales
