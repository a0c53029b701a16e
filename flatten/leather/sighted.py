"""Where on a flat panel its worst straight lines lie, as a picture of its faces tells: where to look more closely."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from flatten.leather.aims import Aim
from flatten.mesh.raster import Raster
from flatten.mesh.surface import Floats, Ints

DIRECTIONS = 32
"""Directions of half a turn in which lines are laid. Where a place grows by 10 % more one way than the other, the
worst line grows by less than 0.03 % more than the nearest of these: 5 % · (1 − cos 5.6°) = 0.024 %."""

TILE = 6.0
"""mm. The worst line whose middle lies in a square of this size stands for the square."""

SQUARES = 48
"""Squares with the worst lines that are looked at more closely: together they are as large as five patches."""


@dataclass(frozen=True, eq=False)
class Lines:
    """Lines by their middles (…,2), mm, the faces (…) that those lie on, and angles (…) from the grain, radians."""

    middles: Floats
    faces: Ints
    angles: Floats

    @property
    def ways(self) -> Floats:
        """Their directions (…,2)."""
        return np.stack([np.cos(self.angles), np.sin(self.angles)], axis=-1)


def sighted_lines(raster: Raster, tensors: Floats, aims: Iterable[Aim], *, length: float) -> dict[Aim, Lines]:
    """For each aim the worst lines of `length` mm in the SQUARES worst squares, the worst first; fewer where lines
    lie on the leather in fewer.

    `raster` shows the faces in the grain's frame with an empty margin of half a line, `tensors` (F,3) are those of
    `grain_tensors`. A line is the mean of its samples, each the growth of the pixel nearest to it, in the line's
    direction: the picture of all pixels' growth, shifted along the line and added up, tells all lines of a direction.
    """
    pad = raster.margin
    # Beside the leather growth is no number, and so is that of each line that reaches there.
    shown = np.vstack([tensors, np.full(3, np.nan)]).astype(np.float32)[raster.faces]
    along, across, shear = (np.ascontiguousarray(shown[..., k]) for k in range(3))
    rows, columns = (size - 2 * pad for size in raster.faces.shape)
    samples = 2 * int(np.ceil(0.5 * length / raster.pixel))
    places = ((np.arange(samples) + 0.5) / samples - 0.5) * length / raster.pixel
    squares = _Squares(rows, columns, side=max(1, round(TILE / raster.pixel)))
    best = {aim: (np.full(squares.count, -np.inf), np.zeros(squares.count), squares.corners.copy()) for aim in aims}
    for angle in np.arange(DIRECTIONS) * (np.pi / DIRECTIONS):
        way = np.array([np.cos(angle), np.sin(angle)])
        weights = np.array([way[0] ** 2, way[1] ** 2, 2.0 * way[0] * way[1]]).astype(np.float32)
        growth = np.sqrt(weights[0] * along + weights[1] * across + weights[2] * shear)
        total = np.zeros((rows, columns), np.float32)
        for right, up in np.rint(places[:, None] * way).astype(np.int64):
            total += growth[pad + up : pad + up + rows, pad + right : pad + right + columns]
        worst = {sign: squares.worst(sign * total) for sign in {aim.sign for aim in best}}
        for aim, (values, angles, pixels) in best.items():
            found, at = worst[aim.sign]
            beyond = aim.sign * (np.log(np.abs(found) / samples) - np.log(aim.allowed(way)))
            more = np.isfinite(found) & (beyond > values)
            values[more], angles[more], pixels[more] = beyond[more], angle, at[more]
    return {aim: _first(raster, *kept) for aim, kept in best.items()}


def _first(raster: Raster, values: Floats, angles: Floats, pixels: Ints) -> Lines:
    order = np.argsort(-values, kind="stable")[:SQUARES]
    order = order[np.isfinite(values[order])]
    rows, columns = (pixels[order] + raster.margin).T
    return Lines(raster.middles(rows, columns), raster.faces[rows, columns], angles[order])


class _Squares:
    """A picture of `rows` × `columns` pixels in squares of `side` pixels; `corners` (S,2) are their first pixels."""

    def __init__(self, rows: int, columns: int, *, side: int) -> None:
        self.side, self.down, self.wide = side, -(-rows // side), -(-columns // side)
        self.count = self.down * self.wide
        self.corners = side * np.stack(np.divmod(np.arange(self.count), self.wide), axis=1)
        self._whole = np.full((self.down * side, self.wide * side), -np.inf, np.float32)
        self._part = self._whole[:rows, :columns]

    def worst(self, values: Floats) -> tuple[Floats, Ints]:
        """The largest number (S,) of each square of a picture, and its pixel's row and column (S,2); −∞ without."""
        np.copyto(self._part, np.where(np.isnan(values), np.float32(-np.inf), values))
        rows_of_squares = self._whole.reshape(self.down, self.side, self.wide, self.side)
        squares = rows_of_squares.swapaxes(1, 2).reshape(self.count, self.side**2)
        at = squares.argmax(axis=1)
        return squares[np.arange(self.count), at].astype(float), self.corners + np.stack(np.divmod(at, self.side), 1)
