"""Parts of a flat piece by a value on its mesh, as smooth closed outlines: where it is not to be tooled."""

from __future__ import annotations

import numpy as np
import shapely
from scipy.interpolate import CubicSpline
from shapely.geometry.polygon import orient

from flatten.mesh.surface import Floats, Ints
from flatten.pattern.model import Path, Zone
from flatten.pattern.outline import FINE
from flatten.pattern.path import polyline

ROUNDED = 6.0
"""mm. Zones have no bays, tongues or corners of a smaller radius: what a swivel knife turns in."""

LEAST_AREA = 400.0
"""mm². A zone, or a hole in one, smaller than a thumb's print is left out: nobody tools round it."""

_INSIDE = 1.5
"""mm. Zones end this far inside the cut line, so that their outlines are not taken for it."""

_STEP = 6.0
"""mm. Step along a zone's outline at which it is taken up to be drawn smoothly: as its smallest radius."""

_LEVEL = 1e-9
"""Sine of the angle between two tangents below which an arc between them is a line."""


def zones_of(uv: Floats, faces: Ints, values: Floats, *, shape: shapely.Polygon) -> tuple[Zone, ...]:
    """The zones of `zones_above` by smooth rims."""
    return tuple(Zone(rim_paths(zone), float(zone.area)) for zone in zones_above(uv, faces, values, shape=shape))


def zones_above(uv: Floats, faces: Ints, values: Floats, *, shape: shapely.Polygon) -> tuple[shapely.Polygon, ...]:
    """Where on a piece `values` (V,), linear on each face (F,3) of the mesh at `uv` (V,2) mm, are more than 0.

    In the piece's own coordinates, counter-clockwise, the largest first; inside its outline's polygon `shape`, rounded
    by ROUNDED, without zones and holes below LEAST_AREA.
    """
    parts = _parts_above(uv, faces, values)
    if not len(parts):
        return ()
    # Opened and closed by discs, so that the outline bends no more sharply than they do.
    region = shapely.union_all(parts).buffer(ROUNDED).buffer(-2.0 * ROUNDED).buffer(ROUNDED)
    region = shapely.intersection(region, shape.buffer(-_INSIDE)).buffer(-ROUNDED).buffer(ROUNDED)
    zones = [_without_small_holes(part) for part in shapely.get_parts(region) if part.area >= LEAST_AREA]
    return tuple(sorted(zones, key=lambda zone: (-round(zone.area, 3), zone.bounds)))


def _without_small_holes(part: shapely.Polygon) -> shapely.Polygon:
    holes = [ring for ring in part.interiors if shapely.Polygon(ring).area >= LEAST_AREA]
    return orient(shapely.Polygon(part.exterior, holes))


def _parts_above(uv: Floats, faces: Ints, values: Floats) -> list[shapely.Polygon]:
    """The part of each face in which the values are more than 0."""
    above = values[faces] > 0.0
    whole = above.all(axis=1)
    found = [shapely.Polygon(corners) for corners in uv[faces[whole]]]
    for face, high in zip(faces[above.any(axis=1) & ~whole], above[above.any(axis=1) & ~whole], strict=True):
        corners = []
        for k in range(3):
            a, b = face[k], face[(k + 1) % 3]
            if high[k]:
                corners.append(uv[a])
            if high[k] != high[(k + 1) % 3]:
                corners.append(uv[a] + values[a] / (values[a] - values[b]) * (uv[b] - uv[a]))
        found.append(shapely.Polygon(corners))
    return found


def rim_paths(zone: shapely.Polygon) -> tuple[Path, ...]:
    """The outer and inner rims of a zone as closed paths of tangent arcs, through its rim at steps of _STEP or less."""
    return tuple(_closed_curve(shapely.get_coordinates(ring)[:-1]) for ring in (zone.exterior, *zone.interiors))


def _closed_curve(ring: Floats) -> Path:
    """The closed path of pairs of tangent arcs through places along a ring (n,2), its directions those of a spline.

    Between two places with directions t and u and the chord v the two arcs take equal tangent lengths d:
    d²·2(1 − t·u) + 2d·v·(t + u) = v·v, and they meet tangentially (Bolton, "Biarc curves", 1975; from memory).
    """
    line = shapely.LinearRing(ring)
    count = max(int(np.ceil(line.length / _STEP)), 8)
    points = shapely.get_coordinates(line.interpolate(np.arange(count) / count, normalized=True))
    closed = np.vstack([points, points[:1]])
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
    tangents = CubicSpline(run, closed, bc_type="periodic")(run[:-1], 1)
    tangents = tangents / np.hypot(*tangents.T)[:, None]
    ahead, chord = np.roll(tangents, -1, axis=0), np.diff(closed, axis=0)
    along, square = (chord * (tangents + ahead)).sum(axis=1), (chord**2).sum(axis=1)
    bent = 2.0 * (1.0 - (tangents * ahead).sum(axis=1))
    # The root of the quadratic in its form without cancellation.
    reach = square / (along + np.sqrt(along**2 + bent * square))
    joints = points + 0.5 * (chord + reach[:, None] * (tangents - ahead))
    every = np.empty((2 * count, 2))
    every[::2], every[1::2] = points, joints
    turns = np.stack([_half_turn(joints - points, tangents), -_half_turn(closed[1:] - joints, ahead)], axis=1)
    return Path(every, np.tan(0.5 * turns.ravel()), closed=True)


def _half_turn(chords: Floats, tangents: Floats) -> Floats:
    """Angles (n,) from tangents (n,2) to chords (n,2): half of what the arcs over them turn by."""
    across = tangents[:, 0] * chords[:, 1] - tangents[:, 1] * chords[:, 0]
    size = np.hypot(*chords.T)
    return np.where(np.abs(across) < _LEVEL * size, 0.0, np.arctan2(across, (tangents * chords).sum(axis=1)))


def ground_of(zone: Zone) -> shapely.Polygon:
    """The ground of a zone as a polygon, its inner rims taken out."""
    outer, *inner = (polyline(rim, FINE) for rim in zone.rims)
    return shapely.Polygon(outer, inner)
