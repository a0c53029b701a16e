"""By how much the flat faces of a coarse scan cut a round limb's girth short."""

from __future__ import annotations

import numpy as np

from flatten.findings import Finding, finding
from flatten.limb.model import Frame
from flatten.limb.surface.model import LimbSurface
from flatten.limb.surface.sample import even_faces
from flatten.scan.model import Scan

COARSE = 0.5
"""mm of girth. Faces that cut off more are told: as much as the fit itself may be off at a phone's noise."""

SOME = 20_000
"""Faces that stand for all: of each 12 mm² of a leg one, and the mean of so many is within a percent of that of all."""


def girth_short(scan: Scan, surface: LimbSurface, *, frame: Frame) -> float:
    """How much, mm, a girth is short where the corners of the scan's faces lie on the skin; 0 without faces.

    A face whose corners lie on a curve of radius r lies Σ t²/(24 r) beneath it on average, t being its edges' parts
    round the limb: the mean of the error of linear interpolation. A program that took faces away may have moved corners
    out to make up for that, so the true girth lies between the one told and that much more. `frame` is that of the
    surface's heights. Of a scan with more than SOME faces so many stand for all, each as often as its area asks for.
    """
    if not len(scan.faces):
        return 0.0
    chosen, shares = np.arange(len(scan.faces)), scan.areas
    if len(chosen) > SOME:
        chosen, shares = even_faces(scan, count=SOME), np.ones(SOME)
    corners = frame.to_limb(scan.points[scan.faces[chosen].ravel()]).reshape(-1, 3, 3)
    middles = corners.mean(axis=1)
    low, high = surface.trusted
    within = (middles[:, 2] > low) & (middles[:, 2] < high)
    corners, middles, shares = corners[within], middles[within], shares[within]
    out = middles[:, :2] - surface.centre_line(middles[:, 2])
    radius = np.linalg.norm(out, axis=1)
    near = radius > 0.5 * surface.radius(middles[:, 2], np.arctan2(out[:, 1], out[:, 0]))
    corners, out, radius, shares = corners[near], out[near], radius[near], shares[near]
    if not len(corners):
        return 0.0
    edges = np.roll(corners, -1, axis=1) - corners
    around = (edges[..., 1] * out[:, None, 0] - edges[..., 0] * out[:, None, 1]) / radius[:, None]
    depths = np.sum(around**2, axis=1) / (24.0 * radius)
    return 2.0 * np.pi * float(np.average(depths, weights=shares)) if shares.any() else 0.0


def facet_findings(girth: float) -> tuple[Finding, ...]:
    """What to know of a girth that faces leave short by up to so many mm; nothing where it is little."""
    return (finding("limb.facets", "look", girth=girth),) if girth > COARSE else ()
