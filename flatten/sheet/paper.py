"""Papers, and what of a sheet a printer leaves blank."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from flatten.errors import CalfskinError

ONE_PAGE = "one page"
"""All pieces on one page of its own size, for a copy shop's plotter."""

Paper = Literal["A4", "Letter", "A3", "Tabloid", "one page"]
"""What is printed on, by the names in a job file."""

PAPERS: dict[Paper, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "Letter": (215.9, 279.4),
    "A3": (297.0, 420.0),
    "Tabloid": (279.4, 431.8),
}
"""mm. Width and height, upright: ISO 216; 8.5 by 11 and 11 by 17 inches."""

HOME: tuple[Paper, ...] = ("A4", "Letter")
"""The papers that a home printer takes."""

PRINTER_EDGE = 8.0
"""mm. What is left blank along a sheet's edges where nobody says: home printers leave 3 to 6 mm. Common practice."""

PLOTTER = 841.0
"""mm. Widest page of all pieces on one page: A0 upright, on a roll of 914 mm (36 inches). Common practice."""

LONGEST = 5080.0
"""mm. The longest side of a page: 14400 points, the limit that readers of PDF keep (ISO 32000-1, annex C)."""


class PaperError(CalfskinError, ValueError):
    """A paper size is not known, or a page cannot be as long as it would have to be."""


@dataclass(frozen=True)
class Printing:
    """What is printed on, and how much the printer leaves blank along each edge of a sheet, mm."""

    paper: Paper = "A4"
    edge: float = PRINTER_EDGE


HOME_PRINTER = Printing()
"""What sheets are printed on where nobody says."""


def paper_size(paper: str) -> tuple[float, float]:
    """Width and height (mm) of an upright sheet. Raises PaperError where the paper is not one of PAPERS."""
    for name, size in PAPERS.items():
        if name == paper:
            return size
    known = ", ".join(PAPERS)
    raise PaperError(f"'{paper}' is no paper that is known here; choose {known} or {ONE_PAGE}")
