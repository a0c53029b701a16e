"""What the sides, lines and parts of a piece are called on it, in the limb's own words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.findings import Message, message
from flatten.limb.kind import LimbKind
from flatten.limb.model import Landmark
from flatten.mesh.surface import Floats
from flatten.pattern.facing import QuarterPart, quarter_parts, way_to_front
from flatten.pattern.labelling import Texts
from flatten.pattern.matching import MatchMark
from flatten.pattern.model import Join, Path
from flatten.pattern.outline import Side
from flatten.pattern.seam_names import called_seam
from flatten.unwrap.model import FlatPanel
from flatten.words import say
from flatten.words.language import Language

BESIDE_SEAM = np.pi / 3
"""rad. The leather beside a seam is called by the side of the limb that lies so far from the seam: of a seam in the
middle of a side, by the next one."""


@dataclass(frozen=True, eq=False)
class LimbWords:
    """What things are called on the pieces of a limb of a `kind`, whose panels are `flats`, in a language."""

    kind: LimbKind
    flats: tuple[FlatPanel, ...]
    joins: tuple[Join, ...]
    language: Language

    def edge(self, which: str) -> Texts:
        """The "top" or "bottom" edge's texts."""
        below, above = self.kind.ends
        if which == "top":
            return self._said(message("piece.top", beyond=above), message("piece.top alone"))
        return self._said(message("piece.bottom", beyond=below), message("piece.bottom alone"))

    def line(self, line: Landmark | Message) -> Texts:
        """A line's texts; of a girth's ring its name with its height, or that alone."""
        if isinstance(line, Message):
            return self._said(line)
        at = self.kind.at_height(line.height)
        return self._said(message("piece.ring", girth=line.name, at=at), at)

    def mark(self, mark: MatchMark) -> str:
        """A match mark's number, which is its height, after its seam's letter."""
        return say.text(message("piece.match mark", letter=mark.letter, height=mark.height), self.language)

    def seams(self, number: int, sides: tuple[Side, ...]) -> list[tuple[Texts, Path]]:
        """What is written along the sides of piece `number`: each seam's or dart's name, and what meets it there."""
        found = []
        for i, side in enumerate(sides):
            dart = side.kind in ("dart", "slash")
            if side.kind == "edge" or (dart and sides[i - 1].name == side.name and sides[i - 1].kind == side.kind):
                continue
            found.append(((side.name,) if dart else self._seam(number, side), side.path))
        return found

    def _seam(self, number: int, side: Side) -> Texts:
        """The texts of one side of a seam of piece `number`."""
        name, mate = self._called_and_mate(number, side)
        half = side.layer or None
        buckle = next((join.buckle for join in self.joins if join.name == side.name and join.buckle), "")
        if buckle:
            here = "after" if side.side == "low" else "before"
            half = "buckles" if buckle == here else "straps"
        return self._said(
            message("piece.seam", seam=name, meets=side.kind, half=half, mate=mate),
            message("piece.seam short", seam=name, mate=mate),
            name,
        )

    def _called_and_mate(self, number: int, side: Side) -> tuple[str, Message]:
        """The key of a seam's name, and what meets its side of piece `number`.

        A seam that is named as a side of a leg is called by the side of the limb that it lies on, where that has words
        of its own. Where a piece meets itself, its other edge is called by the side of the limb that it comes from.
        """
        found = [
            (i, each, float(flat.panel.bearings[each.vertices].mean()))
            for i, flat in enumerate(self.flats)
            for each in flat.panel.boundaries
            if (each.name, each.kind) == (side.name, side.kind)
        ]
        own = next(bearing for i, each, bearing in found if (i, each.side) == (number, side.side))
        other, mate = next((i, bearing) for i, each, bearing in found if each.side != side.side)
        # Half-way between the two cut edges, the short way round.
        seam = own - 0.5 * (np.mod(own - mate + np.pi, 2 * np.pi) - np.pi)
        called = called_seam(side.name, kind=self.kind, panels=[flat.panel for flat in self.flats])
        if other != number:
            return called, message("piece.other piece", panel=self.flats[other].panel.name)
        beyond = seam + (BESIDE_SEAM if side.side == "high" else -BESIDE_SEAM)
        return called, message("piece.own edge", side=self.kind.side_at(beyond))

    def quarters(self, number: int, uv: Floats) -> list[tuple[Texts, QuarterPart]]:
        """The names of the limb's sides that piece `number`, whose vertices lie at `uv` (V,2), has a part of."""
        panel = self.flats[number].panel
        parts = quarter_parts(uv, panel.bearings, panel.heights)
        return [((say.name(self.kind.sides[part.quarter], self.language),), part) for part in parts]

    def way(self, number: int, uv: Floats) -> tuple[str, float] | None:
        """The word for the way to the front and its direction (rad) on piece `number`; None where it shows the front,
        or lies as far from it one way as the other."""
        panel = self.flats[number].panel
        if any(part.quarter == 0 for part in quarter_parts(uv, panel.bearings, panel.heights)):
            return None
        angle = way_to_front(uv, panel.bearings, panel.heights)
        word = say.text(message("piece.way", side=self.kind.sides[0]), self.language)
        return None if angle is None else (word, angle)

    def _said(self, *told: Message | str) -> Texts:
        """The texts of messages and of keys."""
        return tuple(
            say.name(each, self.language) if isinstance(each, str) else say.text(each, self.language) for each in told
        )


def edge_paths(sides: Sequence[Side], name: str) -> tuple[Path, ...]:
    """The paths of the sides that are part of the edge of that name."""
    return tuple(side.path for side in sides if side.kind == "edge" and side.name == name)
