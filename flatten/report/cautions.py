"""The cautions that everyone meets who makes or wears a piece."""

from __future__ import annotations

from flatten.findings import Finding, finding
from flatten.limb.kind import LimbKind

NOT_PROTECTIVE = finding("caution.not protective", "note")

_LEG_NERVE = finding("caution.leg nerve", "note")

_FOR_ALL = (
    finding("caution.numb", "note"),
    finding("caution.heat", "note"),
    finding("caution.blades", "note"),
    finding("caution.solvents", "note"),
    finding("caution.laser", "note"),
    finding("caution.local rules", "note"),
    finding("caution.paper", "note"),
    finding("caution.private", "note"),
)


def standing_cautions(kind: LimbKind) -> tuple[Finding, ...]:
    """The cautions that hold for every piece on a limb of this kind, the gravest first."""
    return (NOT_PROTECTIVE, *((_LEG_NERVE,) if kind.nerve else ()), *_FOR_ALL)
