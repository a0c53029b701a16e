"""The job file's lines along the edges: bevel, border, and stitches."""

from __future__ import annotations

import itertools

from pydantic import model_validator

from flatten.job.amounts import Diameter, LineDistance, StitchesPerInch
from flatten.job.points import FrozenSettings
from flatten.pattern.fastening import Stitching

LEAST_BETWEEN = 1.5
"""mm between two lines along an edge: nearer ones tear the strip between them. Common practice."""


class EdgeLineSettings(FrozenSettings):
    """How far inside the edges that lie open lines run along them, 0 for none, and the stitches of the last.

    `bevel` is how far a beveller takes the edge off, `border` where tooling ends, `stitch` a row of stitches, with
    `stitches` holes to the inch of `hole` mm.
    """

    bevel: LineDistance = 0.0
    border: LineDistance = 0.0
    stitch: LineDistance = 0.0
    stitches: StitchesPerInch = 5.0
    hole: Diameter = 1.3

    @property
    def stitching(self) -> Stitching:
        """The holes of the stitches. Raises PatternError where they would run into one another."""
        return Stitching(self.hole, self.stitches)

    @model_validator(mode="after")
    def _lines_keep_apart(self) -> EdgeLineSettings:
        rows = sorted((value, name) for name in ("bevel", "border", "stitch") if (value := getattr(self, name)))
        for (low, one), (high, other) in itertools.pairwise(rows):
            if high - low < LEAST_BETWEEN:
                raise ValueError(
                    f"the lines '{one}' and '{other}' are {high - low:.1f} mm apart, wanted {LEAST_BETWEEN:g} mm; "
                    "move one of them further in"
                )
        return self
