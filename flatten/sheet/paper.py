"""Home printer paper."""

from __future__ import annotations

from typing import Literal

from flatten.errors import CalfskinError

Paper = Literal["A4", "Letter"]
"""The papers that are known, by the names in a job file."""

PAPERS: dict[Paper, tuple[float, float]] = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""mm. Width and height, upright: ISO 216, and 8.5 by 11 inches."""


class PaperError(CalfskinError, ValueError):
    """A paper size is not known."""


def paper_size(paper: str) -> tuple[float, float]:
    """Width and height (mm) of an upright sheet. Raises PaperError where the paper is not one of PAPERS."""
    for name, size in PAPERS.items():
        if name == paper:
            return size
    raise PaperError(f"'{paper}' is no paper that is known here; choose {' or '.join(PAPERS)}")
