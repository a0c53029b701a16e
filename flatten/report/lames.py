"""How rows of lames move, in findings and numbers."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import numpy as np

from flatten.findings import Finding, finding, message
from flatten.limb.kind import LimbKind
from flatten.report.model import MovedRow
from flatten.worn.lames import Pair

STRAYS = 10.0
"""mm. A row that ends up further from where the joint carries it is told: padding takes up less. From memory."""


def lame_findings(rows: Iterable[MovedRow], *, kind: LimbKind) -> tuple[Finding, ...]:
    """How each row of lames overlaps, turns and slides, and where it does not follow its joint."""
    found = []
    for moved in rows:
        row, pairs = moved.row, moved.pairs
        bend = float(np.degrees(row.hinge.bend))
        found.append(
            finding(
                "lames.move",
                "note",
                name=row.name,
                count=row.count,
                overlap=row.overlap,
                bend=bend,
                step=float(np.degrees(row.step)),
                middle=tuple(pair.middle for pair in pairs),
                ends=tuple(pair.ends for pair in pairs),
                slots=tuple(max(slot.run for slot in pair.slots) + row.rivet for pair in pairs),
                rivet=row.rivet,
                pivots=tuple(
                    message(
                        "lames.pivot",
                        number=pair.number if row.count > 1 else None,
                        where=kind.at_height(float(pair.pivot[1])),
                    )
                    for pair in pairs
                ),
            )
        )
        if moved.off > STRAYS:
            at = kind.at_height(row.hinge.height)
            found.append(finding("lames.off", "look", name=row.name, off=moved.off, where=at, bend=bend))
    return tuple(found)


def lame_numbers(moved: MovedRow) -> dict[str, Any]:
    """One entry of report.json's `lames`."""
    row, hinge = moved.row, moved.row.hinge
    return {
        "name": row.name,
        "count": row.count,
        "width": row.width,
        "overlap": row.overlap,
        "hinge": {"height": hinge.height, "ahead": hinge.ahead, "bend": hinge.bend},
        "off_joint": moved.off,
        "pairs": [_pair(pair, row.rivet) for pair in moved.pairs],
    }


def _pair(pair: Pair, rivet: float) -> dict[str, Any]:
    """How one lame moves on its neighbour; bearings in rad."""
    return {
        "lame": pair.number,
        "overlap_bent": {"middle": pair.middle, "ends": pair.ends, "least": pair.least, "most": pair.most},
        "pivots": [{"height": height, "bearing": bearing} for height, bearing in pair.pivots.tolist()],
        "slots": [
            {"height": slot.rivet[0], "bearing": slot.rivet[1], "travel": slot.travel, "length": slot.run + rivet}
            for slot in pair.slots
        ],
    }
