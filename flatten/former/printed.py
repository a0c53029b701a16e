"""A former to print: its body, with the piece's edges, front, height 0 and side engraved, in parts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, Manifold, OpType

from flatten.findings import message
from flatten.former.engraving import arrow, engraved, width, words
from flatten.former.face import Face
from flatten.former.model import FormerPlan, Part
from flatten.former.parts import parts_of
from flatten.former.solid import body_of, grooves
from flatten.mesh.surface import Floats
from flatten.words import say
from flatten.words.language import Language

LETTERS = 8.0
"""mm. Height of engraved capitals: their stems are then two nozzle widths, and are read at arm's length."""

FREE = 3.0
"""mm that stay free between letters and the piece's edges, the front line and the former's end."""

BETWEEN = 10
"""Places at which an edge is looked at from one of its points to the next."""

ZERO_LINE = 10.0
"""mm. How far the line at height 0 runs to both sides of the front."""


def printed(
    face: Face, plan: FormerPlan, edges: Sequence[Floats], *, side: str, mirrored: bool, language: Language
) -> tuple[Part, ...]:
    """The parts of a former for the wearer's `side`, `edges` (chart places) engraved; mirrored where limb coordinates
    are the mirror image of the limb.

    Raises FormerError where its wall leaves no inside, or where parts do not fit the bed or have no room for pegs.
    """
    body = body_of(face, wall=plan.wall)
    cut = [grooves([*edges, *_lines(face, edges)], face), *_letters(face, edges, side, mirrored, language)]
    body -= Manifold.batch_boolean(cut, OpType.Add)
    if mirrored:
        body = body.mirror((0.0, 1.0, 0.0))
    return parts_of(body, bed=plan.bed, clearance=plan.clearance)


def ends_at(edges: Sequence[Floats], bearing: float, *, reach: float) -> tuple[float, float]:
    """The lowest and the highest height of the piece's edges within `reach` rad of a bearing; of all of them where
    none come there, as in a lacing gap."""
    heights = []
    for line in edges:
        places = np.linspace(0.0, len(line) - 1.0, BETWEEN * (len(line) - 1) + 1)
        height, turn = (np.interp(places, np.arange(len(line)), column) for column in line.T)
        heights.append(height[np.abs(np.mod(turn - bearing + np.pi, 2.0 * np.pi) - np.pi) <= reach])
    near = np.concatenate(heights)
    if not len(near):
        near = np.concatenate([line[:, 0] for line in edges])
    return float(near.min()), float(near.max())


def _lines(face: Face, edges: Sequence[Floats]) -> list[Floats]:
    """The front, from the piece's edges to the former's ends, and height 0 across it, as chart places."""
    low, high = ends_at(edges, 0.0, reach=0.05)
    found = [np.array([[start, 0.0], [end, 0.0]]) for start, end in ((face.low, low), (high, face.high)) if end > start]
    if face.low < 0.0 < face.high:
        turn = ZERO_LINE / face.radius(0.0, 0.0)
        found.append(np.array([[0.0, -turn], [0.0, turn]]))
    return found


def _letters(face: Face, edges: Sequence[Floats], side: str, mirrored: bool, language: Language) -> list[Manifold]:
    """The side and an arrow upwards, beside the front line beyond the piece's edge, where leather does not lie on them;
    and a 0 at the end of the line at height 0."""
    called = words(say.text(message("former.side", side=side), language), LETTERS)
    up = arrow(LETTERS)
    found = []
    for shape, way in ((called, -1.0), (up, 1.0)):
        aside = way * (FREE + 0.5 * width(shape))
        found.append(_beside_front(face, edges, shape, aside, mirrored))
    if face.low + LETTERS < 0.0 < face.high - LETTERS:
        zero = words("0", 0.6 * LETTERS)
        aside = ZERO_LINE + FREE
        found.append(_at(face, zero, 0.0, aside, mirrored))
    return found


def _beside_front(face: Face, edges: Sequence[Floats], shape: CrossSection, aside: float, mirrored: bool) -> Manifold:
    """A shape `aside` mm of the front, as seen from outside: above the piece where it has room, else below it, else in
    the piece's middle."""
    reach = (abs(aside) + 0.5 * width(shape)) / float(face.surface.radii.min())
    low, high = ends_at(edges, 0.0, reach=reach)
    room = LETTERS + 2.0 * FREE
    if face.high - high >= room:
        height = 0.5 * (high + face.high)
    elif low - face.low >= room:
        height = 0.5 * (face.low + low)
    else:
        height = 0.5 * (low + high)
    return _at(face, shape, height, aside, mirrored)


def _at(face: Face, shape: CrossSection, height: float, aside: float, mirrored: bool) -> Manifold:
    """A shape at a height, `aside` mm to the right of the front as seen from outside once the body is mirrored back."""
    radius = face.radius(height, 0.0)
    bearing = (-aside if mirrored else aside) / radius
    return engraved(shape, face, (height, bearing), mirrored=mirrored)
