"""What is seen on the way from scan to leather, as codes and figures: `flatten.words` puts them into sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

Severity = Literal["stop", "look", "note"]
"""How grave a finding is: leather must not be cut by it as it is; to be looked at before; good to know."""

SEVERITIES: tuple[Severity, ...] = ("stop", "look", "note")
"""The gravest first."""

Figure: TypeAlias = "float | int | str | bool | tuple[Figure, ...] | Message | None"
"""What a sentence is filled with: mm, rad, shares and counts as numbers, keys of names, and messages within it."""


@dataclass(frozen=True)
class Message:
    """Something to be told: the code of its sentence, and the figures in it by name."""

    code: str
    filled: tuple[tuple[str, Figure], ...] = ()

    @property
    def figures(self) -> Mapping[str, Figure]:
        """The figures by name, in the order in which they were given."""
        return dict(self.filled)


@dataclass(frozen=True)
class Place:
    """Where a finding is, as far as that is known; None for the rest.

    `height` mm from `zero`, the key of what heights count from on that limb, and `bearing` rad with `side`, the key of
    the limb's side there. `limb` ("left" or "right") is told where there are two, and `scan` then says whether it is
    about that limb's scan alone; `part` where it is about an edge, a seam or a piece.
    """

    limb: str | None = None
    zero: str | None = None
    height: float | None = None
    side: str | None = None
    bearing: float | None = None
    part: str | None = None
    scan: bool = False


NOWHERE = Place()
"""Of a finding that is about the whole scan, limb or job."""


@dataclass(frozen=True)
class Finding(Message):
    """A message that somebody must hear: how grave it is and where."""

    severity: Severity = "note"
    place: Place = NOWHERE


def message(code: str, **figures: Figure) -> Message:
    """A message with its figures. They are keywords so that each call shows, and a test can see, what it fills in."""
    return Message(code, tuple(figures.items()))


def finding(code: str, severity: Severity, *, place: Place = NOWHERE, **figures: Figure) -> Finding:
    """A finding with its figures."""
    return Finding(code, tuple(figures.items()), severity, place)


def on_limb(found: Iterable[Finding], limb: str, *, scan: bool = False) -> tuple[Finding, ...]:
    """Findings as those on one of two limbs, "left" or "right", or about its `scan`."""
    return tuple(replace(each, place=replace(each.place, limb=limb, scan=scan)) for each in found)


def gravest_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Findings by severity, those of one severity in the order given."""
    return tuple(sorted(findings, key=lambda each: SEVERITIES.index(each.severity)))
