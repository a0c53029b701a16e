"""A scan corrected by girths from a tape: one sets its scale, several correct its girth smoothly by height."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats, frozen
from flatten.scan.model import Scan
from flatten.scan.scale import scaled

TAPE_ERROR = 2.0
"""mm. Standard deviation of a girth read from a tape by a layman: half of the 4 mm that ISO 20685 allows a scanner on
small girths. From memory that tapes do about so well. A scanner's waves, of 35 to 150 mm, add to it where the tape was
laid: 1.2 to 2.1 mm of girth on the noisy test scans. Nothing in one scan tells them from the limb. (Its girth averaged
over the tape's width or more does not: by mean or parabola over ± 7 to ± 80 mm the error against the skin fell on two
or three of the five noisy scans, by 40 % at most, and grew on the others and on the clean one.)"""

WARP = 0.03
"""Standard deviation of a scan's error of scale from one place of the limb to another, where the whole is right; an
opinion: with it, two tapes that differ by 3 % are each met to a quarter of their difference or better."""

WARP_LENGTH = 150.0
"""mm along the limb over which an error of scale fades: a third of a shin, so that no bulge is made or unmade."""


@dataclass(frozen=True, eq=False)
class Correction:
    """How much larger the limb is than its scan: `factor` as a whole, and times `at(height)` across its axis there.

    `heights` (k,) are those of the tape girths, `weights` (k,) their pull.
    """

    factor: float
    heights: Floats
    weights: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "heights", frozen(self.heights))
        object.__setattr__(self, "weights", frozen(self.weights))

    def at(self, heights: Floats) -> Floats:
        """The further factor (N,) of girths at heights (N,), mm along the limb as scanned."""
        return np.exp(_alike(np.asarray(heights, float), self.heights) @ self.weights)


def tape_correction(heights: Floats, *, scanned: Floats, taped: Floats) -> Correction:
    """The correction that takes the girths `scanned` (k,) at `heights` (k,) to the girths `taped` (k,), all mm.

    The best linear unbiased estimate of a constant with smooth error about it (ordinary kriging; Matheron, Economic
    Geology 58(8), 1963): log factors that are normal with WARP and a Gaussian likeness over WARP_LENGTH, read with
    TAPE_ERROR. One tape alone gives its own factor and nothing more.
    """
    logs = np.log(taped / scanned)
    spread = _alike(heights, heights) + np.diag((TAPE_ERROR / taped) ** 2)
    solved = np.linalg.solve(spread, np.stack([logs, np.ones_like(logs)], axis=1))
    mean = float(solved[:, 0].sum() / solved[:, 1].sum())
    return Correction(float(np.exp(mean)), heights, solved[:, 0] - mean * solved[:, 1])


def corrected(scan: Scan, limb: Limb, surface: LimbSurface, correction: Correction) -> Scan:
    """The scan as large as the correction says; `scale` tells its whole factor.

    Below and above the trusted range the nearest trusted height counts. Raises ScanError where the whole factor is
    unbelievable.
    """
    points = limb.frame.to_limb(scan.points)
    heights = np.clip(points[:, 2], *surface.trusted)
    middle = surface.centre_line(heights)
    points[:, :2] = middle + correction.at(heights)[:, None] * (points[:, :2] - middle)
    return scaled(replace(scan, points=limb.frame.to_scan(points)), correction.factor)


def _alike(one: Floats, other: Floats) -> Floats:
    """Covariance (m,k) of the log factors at two sets of heights."""
    return WARP**2 * np.exp(-0.5 * ((one[:, None] - other) / WARP_LENGTH) ** 2)
