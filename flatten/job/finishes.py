"""The job file's finish of the edges: raw, turned over or bound."""

from __future__ import annotations

from typing import Literal

from pydantic import model_validator

from flatten.job.amounts import Skived, StripWidth
from flatten.job.points import FrozenSettings
from flatten.pattern.finish import Finish


class FinishSettings(FrozenSettings):
    """How the top and the bottom edge are finished.

    A turned edge is folded over to the flesh side, `turn` wide there, skived to `skived`; a bound one has a strip of
    `binding` sewn or cemented round it that covers `cover` on both faces.
    """

    top: Literal["raw", "turned", "bound"] = "raw"
    bottom: Literal["raw", "turned", "bound"] = "raw"
    turn: StripWidth = 10.0
    skived: Skived = 1.0
    binding: Skived = 1.0
    cover: StripWidth = 8.0

    @model_validator(mode="after")
    def _strips_are_wide_enough(self) -> FinishSettings:
        if self.turn < 4.0 * self.skived:
            raise ValueError(
                f"a strip {self.skived:g} mm thick is turned by {self.turn:g} mm, wanted at least 4 times its "
                "thickness; turn more of it, or skive it thinner"
            )
        return self

    def finish(self, *, thickness: float, neutral: float) -> Finish:
        """The finish of leather of a thickness (mm) whose neutral line lies at a share of that."""
        skived = min(self.skived, thickness)
        return Finish(self.top, self.bottom, self.turn, skived, self.binding, self.cover, neutral)
