"""A field filled with interlace: a grid whose strands turn back at walls, laid into the field along its outline."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from scipy.ndimage import gaussian_filter1d

from flatten.mesh.surface import Flags, Floats
from flatten.ornament.bands import carved
from flatten.ornament.chart import Chart, chart_of
from flatten.ornament.model import Field, NoRoomError, OrnamentError, Strand
from flatten.ornament.nearness import nearest_beside
from flatten.ornament.rail import Rail, mirrored, rails
from flatten.ornament.reeds import reed_bed
from flatten.ornament.tiles import Tiles, crossings, curves
from flatten.ornament.trouble import TroubleError, told_place
from flatten.ornament.weave import woven

LEAST_ANGLE = float(np.radians(35.0))
"""rad. Strands that cross more flatly leave slivers of leather between their edges, too narrow to carve."""

_SLENDER = 1.15
"""Height of a tile over its width where rows are not asked for: reeds are taller than they are apart."""

_SWING = 0.4
"""Shares of a tile that strands keep from walls: at 1/2 reeds would stand straight, below 1/3 they would wriggle."""

_SPARE = 0.05
"""mm. What a frame lies further inside than half a band: strands are polylines, and a rail is let come 0.02 nearer."""

_EVENINGS = (1.0, 2.5, 4.0, 6.0)
"""Samples of an arc, twelve a tile, that strands are evened out over, tried in turn until no bend is too tight."""

_FRAMES = 6
"""Times that a frame is moved inwards for what its chart swings out over it."""

_LEAST_BEND = 1.2
"""Radius that a frame may bend with, as a share of a band's width: strands that run along it are bent as sharply."""


@dataclass(frozen=True)
class Filling:
    """What is asked of a filling: an even number of `strands` abreast, in bands `width` mm wide, broken `apart` mm from
    what they pass under, also the least distance of bands that do not cross. `rows` of tiles, an even number, are
    chosen where it is 0. The same `seed` gives the same drawing."""

    strands: int = 16
    width: float = 6.0
    apart: float = 1.5
    seed: int = 1
    rows: int = 0


def filling(field: Field, asked: Filling) -> tuple[Strand, ...]:
    """Closed strands that fill a field, with transverse double points alone, half a band's width inside its rims.

    Rows run along the field's outline. Holes are gone round: tiles that a hole meets are left out, and strands turn
    back beside them. In an even field the drawing is its own mirror image.

    Raises OrnamentError where a number is not possible, and where bands would lie on one another beside crossings, with
    what would fit.
    """
    if asked.strands < 4 or asked.strands % 2:
        raise OrnamentError(
            f"a filling has {asked.strands} strands abreast; every strand comes back, so take an even number from 4 on"
        )
    if asked.rows % 2 or asked.rows < 0:
        raise OrnamentError(f"a filling has {asked.rows} rows; take an even number, or 0 to have them chosen")
    if not (asked.width > 0.0 and asked.apart >= 0.0):
        raise OrnamentError(
            f"a band is {asked.width:g} mm wide and broken {asked.apart:g} mm from others; its width must be above 0 "
            f"and that distance not below 0"
        )
    frames = _frames(field, asked)
    try:
        return _filled(field, asked, frames)
    except OrnamentError as lack:
        fits = _most(field, asked, frames)
        reason = TroubleError(lack.troubles[:1]) if isinstance(lack, TroubleError) else lack
        if not fits:
            raise OrnamentError(
                f"{asked.strands} strands of {asked.width:g} mm do not fit the field of {field.piece}: {reason}; take "
                f"narrower bands, or a border"
            ) from lack
        raise NoRoomError(
            f"{asked.strands} strands of {asked.width:g} mm do not fit the field of {field.piece}: {reason}; take "
            f"{fits} strands, which fit",
            strands=fits,
        ) from lack


def _most(field: Field, asked: Filling, frames: list[tuple[Rail, Chart]]) -> int:
    """The most strands below those asked for that fit, 0 where none do; halved until known, as fewer lie further
    apart."""
    fits, too_many = 2, asked.strands
    while too_many - fits > 2:
        middle = fits + 2 * ((too_many - fits) // 4)
        try:
            _filled(field, replace(asked, strands=middle, rows=0), frames)
        except OrnamentError:
            too_many = middle
        else:
            fits = middle
    return fits if fits > 2 else 0


def _frames(field: Field, asked: Filling) -> list[tuple[Rail, Chart]]:
    inset = asked.width / 2.0 + _SPARE
    extra = 0.0
    for _ in range(_FRAMES):
        found = rails(field, inset + extra, radius=_LEAST_BEND * asked.width)
        charts = [chart_of(rail, field.piece) for rail in found]
        # Between its knots the chart's rim may swing out over a sharply bent frame.
        over = max(
            float(shapely.distance(shapely.points(chart.rim()), rail.shape).max())
            for rail, chart in zip(found, charts, strict=True)
        )
        if over <= _SPARE / 2.0 + extra:
            return list(zip(found, charts, strict=True))
        extra = over
    raise OrnamentError(
        f"the outline of {field.piece}'s field is bent too sharply for a filling of bands {asked.width:g} mm wide; "
        f"take narrower bands or a plainer field"
    )


def _filled(field: Field, asked: Filling, frames: list[tuple[Rail, Chart]]) -> tuple[Strand, ...]:
    """The strands in all frames, evened out as little as their bends allow. Raises OrnamentError where they do not
    fit."""
    for evening in _EVENINGS:
        try:
            return _evened(field, asked, frames, evening)
        except TroubleError as error:
            if evening == _EVENINGS[-1] or any(trouble.kind != "tight" for trouble in error.troubles):
                raise
    raise AssertionError


def _evened(field: Field, asked: Filling, frames: list[tuple[Rail, Chart]], evening: float) -> tuple[Strand, ...]:
    spans = [_spans(chart) for _, chart in frames]
    widest = max(span[0] for span in spans)
    strands: list[Strand] = []
    for (rail, chart), (across, up) in zip(frames, spans, strict=True):
        columns = max(2 * round(asked.strands * across / widest / 2.0), 2)
        rows = asked.rows or max(2 * round(up / (across / columns * _SLENDER) / 2.0), 2)
        present = _present(field, rail, chart, (columns, rows), asked.width / 2.0)
        if not present.any():
            continue
        tiles = reed_bed(present, asked.seed, even=rail.even)
        lines = [chart.at(curve[:, 0] / columns, curve[:, 1] / rows) for curve in curves(tiles, swing=_SWING)]
        # The samples of an arc are the same from both ends: what is even stays so.
        lines = [gaussian_filter1d(line, evening, axis=0, mode="wrap") if evening else line for line in lines]
        _check(tiles, chart, lines, asked)
        strands += [Strand(line, closed=True) for line in lines]
    if not strands:
        raise OrnamentError("its holes leave no room for two tiles side by side")
    carved(woven(strands, field=field.region), width=asked.width, apart=asked.apart, field=field.region)
    return tuple(strands)


def _spans(chart: Chart) -> tuple[float, float]:
    """How wide and how high a frame is on average, mm, measured on its chart's lines."""
    knots = np.linspace(0.0, 1.0, 33)
    across, up, _ = chart.scales(*(grid.ravel() for grid in np.meshgrid(knots, knots)))
    return float(across.mean()), float(up.mean())


def _present(field: Field, rail: Rail, chart: Chart, size: tuple[int, int], half: float) -> Flags:
    """The tiles (w,h) of blocks of four that no hole comes nearer to than half a band; lone blocks are left out."""
    columns, rows = size
    frame = rail.shape
    holes = shapely.difference(frame, field.region.shape)
    if rail.even:
        holes = shapely.union(holes, mirrored(holes, rail.axis))
    kept = np.ones((columns // 2, rows // 2), dtype=bool)
    if not holes.is_empty:
        side = np.linspace(0.0, 1.0, 9)[:-1]
        low, high = np.zeros_like(side), np.ones_like(side)
        around = np.hstack(
            [np.stack(pair) for pair in ((side, low), (high, side), (1.0 - side, high), (low, 1.0 - side))]
        )
        for i, j in np.ndindex(kept.shape):
            block = shapely.Polygon(chart.at((i + around[0]) * 2.0 / columns, (j + around[1]) * 2.0 / rows))
            kept[i, j] = shapely.distance(block, holes) >= half
    if rail.even:
        kept &= kept[::-1]
    return np.repeat(np.repeat(_joined(kept), 2, axis=0), 2, axis=1)


def _joined(kept: Flags) -> Flags:
    """Blocks that have a neighbour."""
    beside = np.zeros_like(kept)
    beside[1:] |= kept[:-1]
    beside[:-1] |= kept[1:]
    beside[:, 1:] |= kept[:, :-1]
    beside[:, :-1] |= kept[:, 1:]
    return kept & beside


def _check(tiles: Tiles, chart: Chart, lines: list[Floats], asked: Filling) -> None:
    """Raises OrnamentError where strands cross too flatly, or come too near to each other beside crossings."""
    columns, rows = tiles.size
    at = crossings(tiles)
    across, up, turn = chart.scales(at[:, 0] / columns, at[:, 1] / rows)
    step = np.stack([across / columns, np.zeros(len(at))], axis=1)
    rise = (up / rows)[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    one, other = step + rise, rise - step
    angle = np.arctan2(np.abs(one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]), np.abs((one * other).sum(axis=1)))
    if angle.min(initial=np.pi / 2.0) < LEAST_ANGLE:
        raise OrnamentError(
            f"some cross at {np.floor(np.degrees(angle.min())):.0f}°, and below {np.degrees(LEAST_ANGLE):.0f}° no "
            f"leather stays between their edges"
        )
    wanted = asked.width + asked.apart
    near = nearest_beside(lines, chart.at(at[:, 0] / columns, at[:, 1] / rows), wanted, angle)
    if near is not None:
        distance, (x, y) = near
        raise OrnamentError(
            f"beside crossings their middle lines come within {distance:.1f} mm of each other {told_place(x, y)}, and "
            f"{wanted:.1f} mm are wanted"
        )
