"""How forming warps what is drawn on the flat piece: circles become ellipses on the worn grain side."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely

from flatten.leather.tensors import PATCH_RADIUS, patch_tensors, stretches
from flatten.mesh.places import located
from flatten.mesh.surface import Floats, Ints, frozen
from flatten.ornament.grain_face import GrainFace
from flatten.ornament.model import Field, OrnamentError

APART = 32.0
"""mm between the middles of circles that are shown: three patches, so that neighbours do not touch and tell of leather
of their own."""

_AROUND = np.linspace(0.0, 2.0 * np.pi, 73)
"""rad. Places along an ellipse, every 5°."""


@dataclass(frozen=True, eq=False)
class WarpedCircle:
    """A circle of `radius` mm drawn on the piece about (x, y): worn, its diameter is up to `greatest` and at the least
    `least` times what was drawn, the greatest in the direction `angle` (rad) of the piece.

    `outline` (n,2) is the ellipse that it becomes, its middle left where it is, mm.
    """

    x: float
    y: float
    radius: float
    greatest: float
    least: float
    angle: float
    outline: Floats

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "outline", frozen(self.outline))


@dataclass(frozen=True, eq=False)
class Warp:
    """How a field warps, by patches of the leather: the circle whose diameter `grows` most, the one that `shrinks`
    most, and the one that becomes the most `oval`; `along` and `across` the grain, the least and the greatest share of
    its diameter that any has when worn. `circles` are spread over the field, to be looked at."""

    grows: WarpedCircle
    shrinks: WarpedCircle
    oval: WarpedCircle
    along: tuple[float, float]
    across: tuple[float, float]
    circles: tuple[WarpedCircle, ...]

    @property
    def change(self) -> float:
        """The greatest change of any circle's diameter, as a share of it: 0.05 for 5 %."""
        return max(self.grows.greatest - 1.0, 1.0 - self.shrinks.least)


def warp_of(face: GrainFace, field: Field) -> Warp:
    """How forming, with the leather's bend and what it shrinks, warps a field: worn grain side over piece as cut.

    A patch has PATCH_RADIUS, as where stretch is told (`patch_tensors`); the grain side lies outside the neutral
    surface, and so round a limb it is longer than that by the rest of the thickness over the radius.

    Raises OrnamentError where no face of the piece lies in the field, StretchError where a flat face has no area.
    """
    faces = face.mesh.faces
    middles = face.uv[faces].mean(axis=1)
    tensors = patch_tensors(face.flat)
    shape = field.region.shape
    shapely.prepare(shape)
    inside = np.flatnonzero(shapely.contains_xy(shape, *middles.T))
    if not inside.size:
        raise OrnamentError(
            f"the field of '{field.piece}' lies on none of the leather of '{face.flat.panel.name}', so nothing of it "
            "can be said to warp; take the field of the same piece"
        )
    grown = stretches(tensors[inside])

    def circle(at: Floats, number: int) -> WarpedCircle:
        return _warped(face, tensors[number], at)

    def worst(row: int) -> WarpedCircle:
        return circle(middles[inside[row]], int(inside[row]))

    places = _places(shape, field)
    on = located(face.uv, faces, places).faces if len(places) else np.zeros(0, dtype=np.int64)
    return Warp(
        worst(int(grown.greatest.argmax())),
        worst(int(grown.least.argmin())),
        worst(int((grown.greatest / grown.least).argmax())),
        (float(grown.along.min()), float(grown.along.max())),
        (float(grown.across.min()), float(grown.across.max())),
        tuple(circle(at, int(number)) for at, number in zip(places, on, strict=True)),
    )


def _warped(face: GrainFace, tensor: Floats, at: Floats) -> WarpedCircle:
    """The circle about a place (2,) of the piece, of leather that grows by a tensor (3,) in the grain's frame."""
    found = stretches(tensor[None])
    greatest, least = float(found.greatest[0]), float(found.least[0])
    along, across, shear = tensor
    angle = 0.5 * float(np.arctan2(2.0 * shear, along - across)) + face.flat.grain_angle
    angle = np.pi - angle if face.mirrored else angle
    way = np.array([np.cos(angle), np.sin(angle)])
    axes = PATCH_RADIUS * np.stack([greatest * way, least * np.array([-way[1], way[0]])])
    outline = at + np.stack([np.cos(_AROUND), np.sin(_AROUND)], axis=1) @ axes
    return WarpedCircle(float(at[0]), float(at[1]), PATCH_RADIUS, greatest, least, angle % np.pi, outline)


def _places(shape: shapely.Geometry, field: Field) -> Floats:
    """Middles (n,2) of circles that lie in a field, in rows APART; about its centre line where that is upright."""
    middle = np.asarray(shapely.bounds(shape)).reshape(2, 2).mean(axis=0)
    if field.centre is not None:
        middle = np.array([field.centre[:, 0].mean(), middle[1]])
    reach = np.asarray(shapely.bounds(shape)).reshape(2, 2) - middle
    x, y = (APART * np.arange(np.ceil(low / APART), np.floor(high / APART) + 1) for low, high in reach.T)
    grid = middle + np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2)
    room = shapely.buffer(shape, -PATCH_RADIUS)
    kept: Ints = np.flatnonzero(shapely.contains_xy(room, *grid.T))
    return np.asarray(grid[kept])
