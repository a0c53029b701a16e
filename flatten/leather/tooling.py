"""Where a leather's grain moves too much in forming to be carved or stamped."""

from __future__ import annotations

import numpy as np

from flatten.leather.bending import LEAST_RADIUS, bend_around
from flatten.leather.model import LeatherError
from flatten.leather.tensors import flat_areas, log_excess, patch_tensors
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.unwrap.model import FlatPanel, Limits

TOOLING_SHARE = 0.8
"""Share of the leather's limits beyond which tooling suffers: of 5 % that cased leather takes, 4 % open a cut line of
1 mm by a hair and flatten a stamped ground visibly, and half as much squeeze closes it. From memory: an opinion."""

SHARPEST = LEAST_RADIUS["dry"]
"""Thicknesses of inside radius below which a bend spoils tooling: where even dry leather's plain grain would crack, a
cut line in it opens. From memory."""


def tooled_limits(limits: Limits) -> Limits:
    """The stretch and squeeze that tooling takes, of leather with these limits."""
    return Limits(
        stretch_along=TOOLING_SHARE * limits.stretch_along,
        stretch_across=TOOLING_SHARE * limits.stretch_across,
        squeeze_along=TOOLING_SHARE * limits.squeeze_along,
        squeeze_across=TOOLING_SHARE * limits.squeeze_across,
        source=limits.source,
    )


def beyond_tooling(
    flat: FlatPanel, *, limits: Limits, surface: LimbSurface, thickness: float, neutral: float
) -> Floats:
    """How far (V,) each vertex of a flat panel lies beyond what tooling takes, as a logarithm; <= 0: it may be tooled.

    The worse of two: the stretch and squeeze of the patches about it, against TOOLING_SHARE of `limits`; and the bend
    round the limb, its inside radius against SHARPEST thicknesses. `surface` is the neutral surface that the panel lies
    on, `neutral` the share of the thickness beneath it.

    Raises StretchError where a flat face has no area or is turned over, LeatherError where there is no thickness.
    """
    if not thickness > 0.0:
        raise LeatherError(f"leather {thickness:g} mm thick cannot be tooled; its thickness must be above 0")
    faces, areas = flat.panel.mesh.faces, flat_areas(flat)
    over = log_excess(patch_tensors(flat), limits=tooled_limits(limits))
    total, weight = np.zeros(len(flat.uv)), np.zeros(len(flat.uv))
    for corner in faces.T:
        np.add.at(total, corner, over * areas)
        np.add.at(weight, corner, areas)
    curvature = bend_around(surface, flat.panel.heights, flat.panel.bearings, thickness=thickness)
    share = np.where(curvature >= 0.0, neutral, 1.0 - neutral)
    # 1/curvature − share·t against SHARPEST·t; at and below no inside radius at all the bend is as sharp as can be.
    sharp = np.log(np.maximum(np.abs(curvature) * thickness * (SHARPEST + share), np.finfo(float).tiny))
    return np.maximum(total / weight, sharp)
