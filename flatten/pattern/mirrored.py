"""Cut lines of symmetrical pieces: one half drawn, the other half its exact mirror image about x = 0."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from flatten.mesh.surface import Floats
from flatten.pattern.curve import smooth_path
from flatten.pattern.model import Path
from flatten.pattern.outline import FINE, Side, side_along
from flatten.pattern.path import HALVINGS, along, length, mirrored_path, part, polyline, reversed_path
from flatten.pattern.symmetry import Evened, halfway
from flatten.tolerances import CUT_LINE
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Boundary

MEETING = 0.2 * CUT_LINE
"""mm. The arc with which an edge crosses the centre line may lie this far from the smooth line that it stands for."""

_REACHES = (60.0, 40.0, 25.0, 15.0, 8.0, 4.0, 2.0, 1.0)
"""mm. Half-lengths of that arc that are tried: a long one reads as one sweep."""


def even_sides(flats: Sequence[FlatPanel], entries: Sequence[Evened]) -> tuple[tuple[Side, ...], ...]:
    """The sides of each of a limb's flat panels that were made symmetrical, as `sides_of` draws them.

    What is each other's mirror image is so exactly.

    Raises PatternError where a boundary has no length or turns too sharply.
    """
    found: dict[tuple[int, int], Side] = {}
    for entry in entries:
        for k, other in entry.boundaries:
            one, mate = (entry.panel, k), (entry.mate, other)
            if one in found:
                continue
            flat, image = flats[entry.panel], flats[entry.mate]
            boundary, mirror = flat.panel.boundaries[k], image.panel.boundaries[other]
            if one == mate:
                found[one] = side_along(flat, boundary, path=crossing_path(flat.uv[boundary.vertices]))
                continue
            row = _even_row(flat, boundary, image, mirror)
            found[one] = side_along(flat, boundary, row=row)
            path = reversed_path(mirrored_path(found[one].path))
            found[mate] = side_along(image, mirror, path=path, row=None if row is None else mirrored_path(row))
    return tuple(tuple(found[i, k] for k in range(len(flat.panel.boundaries))) for i, flat in enumerate(flats))


def _even_row(flat: FlatPanel, boundary: Boundary, image: FlatPanel, mirror: Boundary) -> Path | None:
    """The seam's own line half-way to its mirror image, where leather runs past the seam on both sides."""
    if not (boundary.line.size and mirror.line.size):
        return None
    return smooth_path(halfway(flat.uv[boundary.line], image.uv[mirror.line], reverse=False), CUT_LINE)


def crossing_path(points: Floats) -> Path:
    """The smooth path along a symmetrical polyline (n,2) from one corner to its mirror image, itself symmetrical.

    Its first half is that of `smooth_path`, up to a place from which one arc about a centre on x = 0 leads, without a
    kink, to that place's mirror image; the rest is the first half's mirror image.

    Raises PatternError as `smooth_path` does.
    """
    whole = smooth_path(points, CUT_LINE - MEETING)
    middle = _crossing(whole)
    for reach in (*(reach for reach in _REACHES if reach < middle), min(_REACHES[-1], 0.5 * middle)):
        first = part(whole, 0.0, middle - reach)
        arc = _arc_across(whole, middle - reach)
        bent = shapely.LineString(polyline(arc, FINE))
        meant = along(whole, np.linspace(middle - reach, middle, 20))[0]
        if shapely.distance(bent, shapely.points(meant)).max() <= MEETING:
            break
    last = reversed_path(mirrored_path(first))
    return Path(
        np.concatenate([first.points, last.points]),
        np.concatenate([first.bulges[:-1], arc.bulges[:1], last.bulges]),
        closed=False,
    )


def _crossing(path: Path) -> float:
    """Arc length at which a path from one side of x = 0 to the other crosses it."""
    start = np.sign(path.points[0, 0])
    low, high = 0.0, length(path)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        beyond = along(path, np.array([middle]))[0][0, 0] * start <= 0.0
        low, high = (low, middle) if beyond else (middle, high)
    return 0.5 * (low + high)


def _arc_across(path: Path, distance: float) -> Path:
    """The arc that leaves the path at an arc length along its tangent and ends at that place's mirror image.

    An arc's tangents make equal angles with its chord, and the chord is level: so it turns by twice the tangent's
    angle, back to level half-way.
    """
    ((x, y),), ((ahead, up),) = along(path, np.array([distance]))
    rise = np.arctan2(up, abs(ahead)) * (1.0 if ahead > 0.0 else -1.0)
    return Path(np.array([[x, y], [-x, y]]), np.array([np.tan(-0.5 * rise), 0.0]), closed=False)
