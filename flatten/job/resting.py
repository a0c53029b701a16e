"""What the base's panels do when they are let go on the limb, and shapes in which they rest within their limits."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.findings import Finding, Place, finding
from flatten.forming.errors import FormingError
from flatten.forming.reshape import Change, change_for, changed, refined
from flatten.forming.way import Forming, forming_of
from flatten.job.design import Design
from flatten.job.pieces import Flats, fitted
from flatten.leather.model import LeatherLimits, StretchReport
from flatten.leather.stretch import stretch_report
from flatten.limb.kind import LimbKind
from flatten.limb.surface.model import LimbSurface
from flatten.pattern.holes import rows_inside
from flatten.unwrap.mates import mates_of
from flatten.unwrap.model import FlatPanel

FORMS_ITSELF = "forms itself"
"""The aim of a pattern that is to rest within its limits when it is let go."""


@dataclass(frozen=True, eq=False)
class Rested:
    """The panels, changed where they were to form themselves and that was found; what each does when it is let go, on
    meshes of 8 mm where there are such and it was not changed, None where that is not known; and what is told of the
    change."""

    panels: tuple[FlatPanel, ...]
    forming: tuple[Forming | None, ...]
    findings: tuple[Finding, ...] = ()


def rested(design: Design, flats: Flats, surface: LimbSurface, *, limits: LeatherLimits) -> Rested:
    """What the flat panels of a design do on the neutral surface, changed first where the design asks for that.

    Raises UnwrapError where coarse panels cannot be fitted to each other, PatternError where a seam's holes cannot be.
    """
    coarse = fitted(design, flats.coarse, limits=limits)[0] if flats.coarse else flats.panels
    panels, found, told = list(flats.panels), list(coarse), []
    if design.aim == FORMS_ITSELF:
        for group in _groups(design, panels):
            told += _reshaped(design, panels, found, group, surface, limits)
    kind = design.limb.kind
    forming = tuple(forming_of(flat, surface, kind=kind, limits=limits) for flat in found)
    return Rested(tuple(panels), forming, tuple(told))


def _groups(design: Design, panels: Sequence[FlatPanel]) -> list[list[int]]:
    """Panels that are changed together, by number: of a symmetrical design those that are mirror images."""
    if not design.symmetrical:
        return [[number] for number in range(len(panels))]
    return [sorted(set(mates)) for mates in mates_of([flat.panel for flat in panels])]


def _reshaped(
    design: Design,
    panels: list[FlatPanel],
    coarse: list[FlatPanel],
    group: Sequence[int],
    surface: LimbSurface,
    limits: LeatherLimits,
) -> list[Finding]:
    """Put the changed panels of a group in place of those that are there, where a change is found; what is told."""
    own, small = [panels[i] for i in group], [coarse[i] for i in group]
    joined = set(rows_inside(design.fastenings, design.wear.thickness))
    even = design.symmetrical and len(group) == 1
    kind = design.limb.kind
    force = limits.in_force
    try:
        change = change_for(small, surface, limits=force, room=design.room, even=even, joined=joined)
        if not change.needed:
            return []
        found = change.found
        for _ in range(2):
            if not found:
                break
            made = changed(own, surface, change, limits=force, joined=joined)
            if all(_rests(flat, kind, limits) for flat in made):
                for i, flat in zip(group, made, strict=True):
                    panels[i] = coarse[i] = flat
                return [_found(old, new, change) for old, new in zip(own, made, strict=True)]
            change = refined(own, surface, change, limits=force, joined=joined)
            found = change.found
        worst = _worst(changed(small, surface, change, limits=force, joined=joined), design, limits)
    except FormingError as error:
        return [finding("forming.no rest", "look", place=Place(part=own[0].panel.name), reason=str(error))]
    spot, stretched = worst
    return [
        finding(
            "forming.none found",
            "look",
            place=kind.place(height=spot[0], bearing=spot[1], part=own[0].panel.name),
            beyond=max(change.excess, 0.0),
            stretched=stretched,
            where=kind.at(*spot),
        )
    ]


def _rests(flat: FlatPanel, kind: LimbKind, limits: LeatherLimits) -> bool:
    """Whether a panel lies within its limits where it rests, and not over itself when it is flat."""
    return stretch_report(flat, kind=kind, limits=limits).fits and not flat.overlaps


def _found(old: FlatPanel, new: FlatPanel, change: Change) -> Finding:
    """By how much a panel's outline was changed: the share that it is narrower by where that was all, and mm."""
    rim = np.unique(np.concatenate([boundary.vertices for boundary in old.panel.boundaries]))
    before, after = old.uv[rim], new.uv[rim]
    # As the two outlines lie best on each other.
    before, after = before - before.mean(axis=0), after - after.mean(axis=0)
    turn = np.angle(np.vdot(after @ [1, 1j], before @ [1, 1j]))
    apart = np.abs(before @ [1, 1j] - (after @ [1, 1j]) * np.exp(1j * turn))
    narrower = 1.0 - float(np.ptp(new.uv[:, 0]) / np.ptp(old.uv[:, 0])) if change.rounds == 0 else None
    return finding(
        "forming.reshaped", "note", place=Place(part=old.panel.name), narrower=narrower, moved=float(apart.max())
    )


def _worst(flats: Sequence[FlatPanel], design: Design, limits: LeatherLimits) -> tuple[tuple[float, float], bool]:
    """Where (height, bearing) panels go furthest beyond their limits, and whether they are stretched there."""
    kind = design.limb.kind
    reports = [stretch_report(flat, kind=kind, limits=limits) for flat in flats]
    worst = max(reports, key=_beyond)
    force = limits.in_force
    stretch = worst.most.stretch - 1.0 - max(force.stretch_along, force.stretch_across)
    squeeze = 1.0 - worst.least.stretch - max(force.squeeze_along, force.squeeze_across)
    spot = worst.most if stretch >= squeeze else worst.least
    return (spot.height, spot.bearing), stretch >= squeeze


def _beyond(report: StretchReport) -> float:
    lines = [found.excess for found in (report.lines, report.rims) if found is not None]
    return max(report.excess_patch, *lines) if lines else report.excess_patch
