"""A scan made larger or smaller, as a tape girth asks."""

from __future__ import annotations

import math
from dataclasses import replace

from flatten.scan.model import Scan, ScanError

FACTORS = (0.6, 1.6)
"""A tape may correct a scan by these factors at most: the worst of seven scanners and apps missed size by about −31 %,
a factor of 1.45 [published: Farhan et al., Prosthet. Orthot. Int. 47(6), 625–632, 2023, abstract; it does not say which
were phones]; a tape read half-way round asks for 0.5, a width taken for a girth for 0.32, and a wrong unit for 2.54 or
more."""


def scaled(scan: Scan, factor: float) -> Scan:
    """The scan `factor` times as large, about its own origin; `scale` tells the product of all factors.

    `factor` is a girth by tape divided by the same girth of the scan.

    Raises ScanError where the factor is not a number within FACTORS.
    """
    if not (math.isfinite(factor) and FACTORS[0] <= factor <= FACTORS[1]):
        raise ScanError(
            f"the tape asks for a scan {factor:.3g} times as large, and {FACTORS[0]} to {FACTORS[1]} is believable; "
            "check the unit of the scan and of the tape, and that the tape went all round the limb"
        )
    return replace(scan, points=scan.points * factor, dropped=scan.dropped * factor, scale=scan.scale * factor)
