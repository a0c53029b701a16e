"""The colours of all that is shown: by day, and where the reader's screen is dark."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Colour:
    """A colour as "#rrggbb", by day and on a dark screen."""

    light: str
    dark: str


Palette = Mapping[str, Colour]

REPORT: Palette = {
    "paper": Colour("#faf6ee", "#1d1a17"),
    "card": Colour("#fffdf8", "#26221e"),
    "ink": Colour("#2b2520", "#efe7db"),
    "soft": Colour("#6d6156", "#b3a696"),
    "line": Colour("#d9cdb9", "#463d34"),
    "accent": Colour("#8a5423", "#e0a46a"),
    "skin": Colour("#ece3d6", "#38322c"),
    "even": Colour("#f3e8d2", "#40382e"),
    "hatch": Colour("#2b2520", "#fff8ec"),
    "hatch-rim": Colour("#fffdf8", "#1d1a17"),
    "s1": Colour("#fcce98", "#634728"),
    "s2": Colour("#f7ae63", "#875824"),
    "s3": Colour("#ed8c34", "#aa6c22"),
    "s4": Colour("#d86d18", "#cd8227"),
    "s5": Colour("#ba560c", "#ea9c43"),
    "s6": Colour("#994309", "#f8bd76"),
    "s7": Colour("#773307", "#ffdcae"),
    "q1": Colour("#b3d0e9", "#3f5973"),
    "q2": Colour("#7aacd6", "#5080ad"),
    "q3": Colour("#4586bd", "#72a9dc"),
    "q4": Colour("#1f5f9b", "#a9d2f7"),
    "dry": Colour("#35674a", "#8fd0aa"),
    "cased": Colour("#2b5d8a", "#8fc2ee"),
    "hard": Colour("#a94b0a", "#f7b76c"),
    "not": Colour("#8c1d1d", "#ff9d94"),
}
"""Of the report, and in daylight of the card and of the scan's picture: paper and inks; leather that stays even, the
bands of stretch (s) and squeeze (q) as `bands` names them; hatching beyond the limits, each line with a rim of the
other lightness, so that one of the two is seen on any band; the verdicts. From even leather outwards the bands lie at
equal distances in OKLab (Ottosson, 2020): no step between neighbours is harder to see than another."""

CLOTH, LEFT_OUT = "#2f5f8f", "#7d93a8"
"""In the scan's picture alone: an edge of cloth, and points of the scan that were left out."""


def css_variables(palette: Palette) -> str:
    """Style rules that give a page the palette's colours as variables, `--ink` for "ink", the dark ones by itself.

    On paper they are those of the day.
    """
    light = " ".join(f"--{name}: {colour.light};" for name, colour in palette.items())
    dark = " ".join(f"--{name}: {colour.dark};" for name, colour in palette.items())
    return f":root {{ {light} }}\n@media screen and (prefers-color-scheme: dark) {{ :root {{ {dark} }} }}\n"
