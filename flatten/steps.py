"""The steps of a job, as the keys of their names, for whoever waits for it."""

from __future__ import annotations

from collections.abc import Callable
from enum import StrEnum


class Step(StrEnum):
    """A step that is announced as it begins, in the order in which `make` takes them."""

    READING = "step.read"
    FINDING = "step.find"
    DRESSING = "step.dress"
    CUTTING = "step.cut"
    LAYING = "step.lay flat"
    STRETCHING = "step.stretch"
    BOUNDING = "step.bound"
    ADVISING = "step.advice"
    DRAWING = "step.draw"
    REPORTING = "step.report"


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
