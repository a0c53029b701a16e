"""The page's colours: the report's, on a darker ground, and those of its own wood and thread."""

from __future__ import annotations

from flatten.report.palette import REPORT, Colour, Palette

PAGE: Palette = {
    **REPORT,
    "paper": Colour("#efe7d8", "#171411"),
    "card": Colour("#fffdf8", "#25201b"),
    "soft": Colour("#665a4f", "#b9ac9c"),
    "line": Colour("#d3c5ae", "#4a4036"),
    "accent": Colour("#8a4a1c", "#e5ab73"),
    "skin": Colour("#d9c7b2", "#7d6c5c"),
    "dry": Colour("#2d5c41", "#8fd0aa"),
    "cased": Colour("#24527a", "#8fc2ee"),
    "hard": Colour("#96420a", "#f7b76c"),
    "thread": Colour("#a94b0a", "#e8983c"),
    "plank": Colour("#b98a5a", "#5a3f28"),
    "lip": Colour("#6d4524", "#a77a4d"),
    "wall": Colour("#f7f1e6", "#1f1b17"),
    "shade": Colour("#e9dcc6", "#17130f"),
    "halo": Colour("#fffdf8", "#1f1b17"),
    "button": Colour("#fffdf8", "#322b24"),
    "press": Colour("#8a4a1c", "#e5ab73"),
    "pressed-ink": Colour("#fffdf8", "#1d1a17"),
}
"""Inks and verdicts are those that read well on this ground; the bands of stretch and squeeze are the report's."""
