"""The steps of a job, by name, for whoever waits for it."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum


class Step(StrEnum):
    """A step that is announced as it begins, in the order in which `make` takes them."""

    READING = "reading the scan"
    FINDING = "finding the limb"
    DRESSING = "dressing the limb"
    CUTTING = "cutting the panels"
    LAYING = "laying them flat"
    STRETCHING = "telling the stretch"
    BOUNDING = "seeking what no pattern can beat"
    ADVISING = "seeking what to change"
    DRAWING = "drawing the pieces"
    REPORTING = "writing the report"


Announce = Callable[[str], None]
"""Called with each step as it begins: one of `Step`, or one that a part of them is told by."""

TO_LAY = (Step.READING, Step.FINDING, Step.DRESSING, Step.CUTTING, Step.LAYING, Step.STRETCHING)
"""From the scan to leather that is laid flat."""

TO_JUDGE = (Step.BOUNDING, Step.ADVISING)
"""What is told of a job beyond its own pieces, as far as it asks for that."""

TO_WRITE = (Step.DRAWING, Step.REPORTING)
"""From leather that is laid flat to the files."""


def quietly(step: str) -> None:
    """Announce nothing."""
