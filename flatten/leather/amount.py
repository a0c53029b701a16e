"""How much leather a piece takes, and what it weighs."""

from __future__ import annotations

from flatten.leather.model import LeatherError

DENSITY = 1.0
"""g/cm³ of vegetable-tanned leather, between 0.9 and 1.05. From memory."""


def leather_mass(area: float, *, thickness: float, density: float = DENSITY) -> float:
    """Mass in grams of leather of `area` mm² and `thickness` mm; `density` in g/cm³.

    Raises LeatherError where the area is negative, or the thickness or the density is not above 0.
    """
    if not area >= 0.0:
        raise LeatherError(f"a leather area of {area:g} mm² has no mass; it must be at least 0")
    if not thickness > 0.0 or not density > 0.0:
        raise LeatherError(f"leather {thickness:g} mm thick at {density:g} g/cm³ has no mass; both must be above 0")
    return area * thickness * density / 1000.0
