"""What the page offers to be chosen and cannot know by itself: sentences, leathers, a strip test's readings."""

from __future__ import annotations

from typing import Any, get_args

from cli.page.readings import kept_readings
from cli.page.session import Session
from flatten.drawing.model import DXF_VERSIONS
from flatten.job.amounts import length_text
from flatten.job.showed import FORMS
from flatten.leather.materials import MATERIALS
from flatten.sheet.hides import CUTS
from flatten.sheet.paper import Paper

_CHOICES: dict[str, Any] = {
    "showed": list(FORMS),
    "hides": {name: {"length": length_text(cut.length), "width": length_text(cut.width)} for name, cut in CUTS.items()},
    "sheets": {name: length_text(material.thickness) for name, material in MATERIALS.items()},
    "papers": list(get_args(Paper)),
    "dxf": list(DXF_VERSIONS),
}


def offered(session: Session) -> dict[str, Any]:
    """Sentences that tell a fitting, leathers and sheets with their usual sizes, papers, versions of DXF, the pieces'
    names, those that can be carved, and the readings that are kept."""
    laid = session.state.leather
    panels = [] if laid is None else [panel.flat.panel.name for panel in laid.laid.panels]
    carved = [] if laid is None else [p.flat.panel.name for p in laid.laid.all_panels if p.part != "lining"]
    return {**_CHOICES, "panels": panels, "carved": carved, "readings": kept_readings(session.state.kept)}
