"""A plait along one side of a field, its strands turned back into each other at both ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from scipy.ndimage import gaussian_filter1d

from flatten.ornament.bands import carved
from flatten.ornament.border import Bordered
from flatten.ornament.chart import corners_of
from flatten.ornament.model import Field, OrnamentError, Region, Strand
from flatten.ornament.rail import Rail, rails
from flatten.ornament.tiles import Tiles, curves
from flatten.ornament.trouble import TroubleError
from flatten.ornament.weave import woven

SIDES = ("left", "foot", "right", "top")
"""A field's sides, counter-clockwise."""

_TILE = 1.35
"""Height of a tile over what bands take with their distance: strands beside each other then lie √2 times that apart,
and the ground between them is as wide as a band."""

_LONG = 1.15
"""Length of a tile along the side over its height, where the pitch is not asked for: strands cross at 82°."""

_TURN = 1.4
"""Least radius of the plait's middle line over how far it reaches to its side."""

_EVENINGS = (2.5, 4.0, 6.0)
"""Samples of an arc, twelve a tile, that strands are evened out over, tried in turn until no bend is too tight."""

_SPARE = 0.05
"""mm. What a plait lies further inside than half a band: strands are polylines, and a rail is let come 0.02 nearer."""


@dataclass(frozen=True)
class Plait:
    """What is asked of a plait: the `side` of the field that it lies along, an even number of `strands` in bands
    `width` mm wide, broken `apart` mm from what they pass under; a repeat is `pitch` mm long, chosen where it is 0."""

    side: str = "foot"
    strands: int = 4
    width: float = 4.0
    apart: float = 1.0
    pitch: float = 0.0


def plait(field: Field, asked: Plait) -> Bordered:
    """A plait of closed strands along one side of the largest part of a field, half a band's width inside its rim.

    A whole number of repeats lies between the field's corners; where the field is even, a plait along its top or foot
    is its own mirror image. Of p strands and q repeats it has gcd(p / 2, q) closed strands, as mirror curves have.

    Raises OrnamentError where a number is not possible, and where the side has no room for it.
    """
    if asked.side not in SIDES:
        raise OrnamentError(f"a plait lies along {asked.side!r}; take one of {', '.join(SIDES)}")
    if asked.strands < 2 or asked.strands % 2:
        raise OrnamentError(
            f"a plait has {asked.strands} strands; each is turned back into another at its ends, so take an even number"
        )
    if not (asked.width > 0.0 and min(asked.apart, asked.pitch) >= 0.0):
        raise OrnamentError(
            f"a plait of bands {asked.width:g} mm wide, {asked.apart:g} mm apart, has repeats of {asked.pitch:g} mm; "
            f"its width must be above 0 and the rest not below"
        )
    tile = _TILE * (asked.width + asked.apart)
    amplitude = tile * asked.strands / 2.0
    reach = amplitude + asked.width / 2.0
    rail = rails(field, reach + _SPARE, radius=_TURN * reach)[0]
    start, size = _stretch(rail, asked.side, reach)
    pitch = asked.pitch or 2.0 * _LONG * tile
    repeats = round(size / pitch)
    if repeats < 2:
        raise OrnamentError(
            f"the {asked.side} of {field.piece}'s field leaves {max(size, 0.0):.0f} mm for a plait of {asked.strands} "
            f"strands, and two repeats need {2.0 * pitch:.0f} mm; take fewer strands or narrower bands"
        )
    shape = (2 * repeats, asked.strands)
    tiles = Tiles(np.zeros((shape[0] + 1, shape[1] + 1), dtype=np.int64), np.ones(shape, dtype=bool))
    strands: tuple[Strand, ...] = ()
    for evening in _EVENINGS:
        strands = _laid(rail, (start, size), amplitude, tiles, evening)
        try:
            carved(woven(strands, field=field.region), width=asked.width, apart=asked.apart, field=field.region)
        except TroubleError as error:
            if evening == _EVENINGS[-1] or any(trouble.kind != "tight" for trouble in error.troubles):
                raise
        else:
            break
    middle = shapely.LineString(rail.at(np.linspace(start, start + size, int(size) + 2)))
    strip = shapely.intersection(shapely.buffer(middle, reach, cap_style="square"), field.region.shape)
    return Bordered(strands, Region.of(strip), (repeats,), (size / repeats, size / repeats))


def _laid(
    rail: Rail, stretch: tuple[float, float], amplitude: float, tiles: Tiles, evening: float
) -> tuple[Strand, ...]:
    (start, size), (columns, rows) = stretch, tiles.size
    laid = []
    for curve in curves(tiles):
        even = gaussian_filter1d(curve, evening, axis=0, mode="wrap")
        along = start + size * even[:, 0] / columns
        aside = amplitude * (2.0 * even[:, 1] / rows - 1.0)
        laid.append(Strand(rail.at(along) + aside[:, None] * rail.inward(along), closed=True))
    return tuple(laid)


def _stretch(rail: Rail, side: str, reach: float) -> tuple[float, float]:
    """Where along a rail a plait on one of its sides begins, and how long it is, mm: the plait's reach is left free at
    both corners, where it would lie across the ends of the sides beside it."""
    corners = corners_of(rail)
    number = SIDES.index(side)
    ends = np.append(corners, corners[0] + rail.length)[number : number + 2]
    return float(ends[0] + reach), float(ends[1] - ends[0] - 2.0 * reach)
