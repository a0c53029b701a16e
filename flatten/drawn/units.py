"""How many mm one of a drawing's numbers is."""

from __future__ import annotations

from flatten.drawn.model import DrawnError
from flatten.units import MM_PER_UNIT

DOT = 25.4 / 96.0
"""mm. The px of SVG and CSS (CSS Values and Units 4, section 6.2)."""

SVG_UNITS = {"mm": 1.0, "cm": 10.0, "q": 0.25, "in": 25.4, "pt": 25.4 / 72.0, "pc": 25.4 / 6.0, "px": DOT}
"""mm in one of each absolute unit of CSS, in small letters."""

DXF_UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m", 9: "mil", 13: "micron", 14: "dm"}
"""What $INSUNITS of a DXF's header names, of the units that drawings have (DXF reference)."""

_DXF_MM = {**MM_PER_UNIT, "ft": 304.8, "mil": 0.0254, "micron": 0.001, "dm": 100.0}

_UNSAID = (
    "does not say its unit, as $INSUNITS of a DXF and the width of an SVG do; save it in millimetres, or write "
    "unit = 'mm' (or cm, m, in) for {what}"
)


def told_unit(found: str | None, unit: str) -> tuple[str, float]:
    """The unit's name and its mm: `unit`, or where that is "auto" what was `found` in the file.

    Raises DrawnError where neither tells it.
    """
    known = unit if unit != "auto" else found
    if known is None:
        raise DrawnError(_UNSAID)
    return known, DOT if known == "px" else _DXF_MM[known]
