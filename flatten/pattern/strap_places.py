"""Where the straps of a seam stand: at heights, by number, by pitch, or by the usual rule."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from flatten.mesh.surface import Floats
from flatten.pattern.fastening import STRAP_ASIDE, Strapping
from flatten.pattern.model import PatternError
from flatten.pattern.rows import Row, evenly, mean_length

STRAPS_APART = 180.0
"""mm. Straps stand no further apart than this where nobody says how many: two on a forearm, two or three on a shin by
its length. Common practice, the figure from memory."""

_PLACE_FIT = 0.05
"""mm by which a strap may lie beyond the ends of its run or nearer to its neighbour: a tenth of what a hand punch
wanders."""


def strap_places(name: str, rows: list[Row], strapping: Strapping, first: float, last: float) -> Floats:
    """The places (n,), n >= 2, of the straps of the seam `name` between the first and last on its rows, going up.

    Raises PatternError where they do not fit, with what would.
    """
    room, least = mean_length(rows, first, last), strapping.width + 2.0 * STRAP_ASIDE
    if not room >= least - _PLACE_FIT:
        raise PatternError(
            f"the seam '{name}' has {max(room, 0.0):.0f} mm for straps clear of its ends; two of them "
            f"{strapping.width:g} mm wide need at least {least:.0f} mm: make it longer or close it otherwise"
        )
    if strapping.at:
        return _at_heights(name, rows, strapping, (first, last), least)
    most = 1 + int((room + _PLACE_FIT) / least)
    number = strapping.number
    if number is None:
        pitch = strapping.pitch
        number = 1 + (int(np.ceil(room / STRAPS_APART)) if pitch is None else max(round(room / pitch), 1))
        # A pitch is a wish: where rounding brings straps nearer than they can stand, one less does.
        number = min(number, most)
    if number > most:
        raise PatternError(
            f"the seam '{name}' has {room:.0f} mm for {number} straps {strapping.width:g} mm wide, which want "
            f"{least:.0f} mm from one to the next: at most {most} fit"
        )
    return evenly(rows, first, last, number)


def strap_heights(rows: list[Row], places: Floats) -> tuple[float, ...]:
    """The heights along the limb of the middles of straps at places (n,), mm, in the mean of a seam's rows."""
    return tuple(np.mean([_heights(row, places) for row in rows], axis=0).tolist())


def _at_heights(name: str, rows: list[Row], strapping: Strapping, ends: tuple[float, float], least: float) -> Floats:
    """Places at the heights asked for; on rows by share, the mean share of each height."""
    heights = np.array(strapping.at)
    low, high = strap_heights(rows, np.array(ends))
    if heights[0] < low - _PLACE_FIT or heights[-1] > high + _PLACE_FIT:
        beyond = heights[0] if heights[0] < low - _PLACE_FIT else heights[-1]
        raise PatternError(
            f"a strap of the seam '{name}' is asked for at {beyond:g} mm; clear of its ends straps {strapping.width:g} "
            f"mm wide stand from {np.ceil(low - _PLACE_FIT):.0f} to {np.floor(high + _PLACE_FIT):.0f} mm"
        )
    places = np.mean([_places(row, heights) for row in rows], axis=0).clip(*ends)
    for (lower, upper), (one, other) in zip(pairwise(strapping.at), pairwise(places), strict=True):
        apart = mean_length(rows, float(one), float(other))
        if apart < least - _PLACE_FIT:
            raise PatternError(
                f"the straps of the seam '{name}' at {lower:g} and {upper:g} mm are {apart:.0f} mm apart; "
                f"{strapping.width:g} mm wide they want {least:.0f} mm: move one, or leave it out"
            )
    return places


def _heights(row: Row, places: Floats) -> Floats:
    """Heights along the limb (n,) of a row's places (n,)."""
    return np.interp(row.arcs(places), row.side.arcs, row.side.heights) if row.by_share else places


def _places(row: Row, heights: Floats) -> Floats:
    """A row's places (n,) at heights along the limb (n,)."""
    return np.interp(heights, row.side.heights, row.side.arcs) / row.size if row.by_share else heights
