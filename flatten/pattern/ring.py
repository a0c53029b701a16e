"""A closed line in the plane by its arc length: its corners, and the way that its parts look."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.mesh.surface import Floats, frozen

CORNER = np.radians(30.0)
"""rad. A line that turns by more than this within CORNER_REACH has a corner there."""

CORNER_REACH = 4.0
"""mm to each side over which a line's turn is looked at: a corner rounded by 6 mm is one still."""

_STEP = 0.25
"""mm between the places of a line at which its turn is looked at."""


@dataclass(frozen=True, eq=False)
class Ring:
    """A closed polyline through `points` (n,2) mm, counter-clockwise, the last one the first again; `run` (n,) are its
    arc lengths."""

    points: Floats
    run: Floats

    @classmethod
    def through(cls, points: Floats) -> Ring:
        """The ring through points (n,2), counter-clockwise, the last one the first again."""
        run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        return cls(frozen(points), frozen(run))

    @property
    def length(self) -> float:
        """Length once round, mm."""
        return float(self.run[-1])

    def at(self, places: Floats) -> Floats:
        """Points (n,2) at arc lengths (n,), of any number of turns."""
        places = np.mod(places, self.length)
        return np.column_stack([np.interp(places, self.run, self.points[:, k]) for k in (0, 1)])

    def places(self) -> Floats:
        """Arc lengths (n,) evenly round it, close enough to see all that it does."""
        return np.linspace(0.0, self.length, max(int(self.length / _STEP), 8), endpoint=False)

    def corners(self, least: float) -> Floats:
        """Arc lengths (n,), rising, of its corners: where it turns most, and more than CORNER. Two of them nearer to
        one another than `least` mm count as one, half-way."""
        places = self.places()
        turns = np.abs(self._turns(places))
        found: list[float] = []
        for k in np.argsort(-turns, kind="stable"):
            if turns[k] <= CORNER:
                break
            apart = [min((places[k] - other) % self.length, (other - places[k]) % self.length) for other in found]
            if all(distance >= 2 * CORNER_REACH for distance in apart):
                found.append(self._vertex(float(places[k])))
        return self._merged(np.sort(found), least)

    def looks(self, place: float) -> str:
        """The way that it looks outwards at an arc length: "top", "bottom", "low" (left) or "high" (right)."""
        behind, ahead = self.at(np.array([place - CORNER_REACH, place + CORNER_REACH]))
        x, y = ahead[1] - behind[1], behind[0] - ahead[0]
        if abs(y) >= abs(x):
            return "top" if y > 0.0 else "bottom"
        return "high" if x > 0.0 else "low"

    def changes(self) -> Floats:
        """Arc lengths (n,) at which it begins to look another way."""
        places = self.places()
        looks = [self.looks(place) for place in places]
        return np.array([place for k, place in enumerate(places) if looks[k] != looks[k - 1]])

    def highest(self) -> float:
        """Arc length of its highest place."""
        places = self.places()
        return float(places[self.at(places)[:, 1].argmax()])

    def _turns(self, places: Floats) -> Floats:
        """By how much (n,) it turns within CORNER_REACH of arc lengths (n,), rad."""
        behind, here, ahead = (self.at(places + shift) for shift in (-CORNER_REACH, 0.0, CORNER_REACH))
        (x0, y0), (x1, y1) = (here - behind).T, (ahead - here).T
        return np.arctan2(x0 * y1 - y0 * x1, x0 * x1 + y0 * y1)

    def _vertex(self, place: float) -> float:
        """Its own vertex at a corner, where it has one within two steps."""
        nearest = float(self.run[np.abs(self.run - place).argmin()])
        return nearest if abs(nearest - place) <= 2 * _STEP else place

    def _merged(self, corners: Floats, least: float) -> Floats:
        kept = [float(corner) for corner in corners]
        while len(kept) > 2:
            gaps = np.mod(np.roll(kept, -1) - kept, self.length)
            k = int(gaps.argmin())
            if gaps[k] >= least:
                break
            middle = float(np.mod(kept[k] + 0.5 * gaps[k], self.length))
            gone = {k, (k + 1) % len(kept)}
            kept = sorted([middle, *(corner for i, corner in enumerate(kept) if i not in gone)])
        return np.array(kept)
