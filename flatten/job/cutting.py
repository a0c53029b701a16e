"""The settings of a cutting machine: the width that its beam takes away."""

from __future__ import annotations

from flatten.drawing.kerf import Kerf
from flatten.findings import Finding, finding
from flatten.job.amounts import KerfWidth
from flatten.job.points import FrozenSettings


class KerfSettings(FrozenSettings):
    """What the DXF and the SVG count in for the beam: along outlines, and round holes and slots; 0 where the machine
    counts it in itself, or a knife cuts."""

    cut: KerfWidth = 0.0
    holes: KerfWidth = 0.0

    @property
    def kerf(self) -> Kerf:
        """As the drawing wants it."""
        return Kerf(self.cut, self.holes)


def kerf_findings(settings: KerfSettings) -> tuple[Finding, ...]:
    """That the files' lines are not where the leather ends; nothing without a kerf."""
    if settings == KerfSettings():
        return ()
    return (finding("drawing.kerf counted", "note", cut=settings.cut, holes=settings.holes),)
