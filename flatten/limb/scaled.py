"""A limb that was found, made as large as tape girths say: the same landmarks and surface, not looked for again."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.interpolate import BSpline
from scipy.linalg import lstsq

from flatten.findings import Figure, Finding, Message
from flatten.limb.anatomy.landmarks import least_height, widest_height
from flatten.limb.girths.taping import Correction
from flatten.limb.kind import DistalLimb
from flatten.limb.model import Frame, Limb
from flatten.limb.surface.model import DEGREE, LimbSurface

LENGTHS = frozenset({"above", "apart", "girth", "height", "sigma", "step"})
"""The figures of findings about a limb that are mm; all others are angles, shares, keys and names."""

PER_SPAN = 8
"""Places in each span of the knots through which a corrected radius is fitted again: twice what a cubic needs. The
correction bends over 150 mm and a span is 8 mm at the most, so that what the fit leaves is below a thousandth of a
millimetre."""


def scaled_limb(limb: Limb, surface: LimbSurface, correction: Correction) -> tuple[Limb, LimbSurface]:
    """The limb and its surface as large as a correction says, as `taping.corrected` makes its scan.

    Nothing is looked for again, so that no threshold that the scan's size decides can give another limb. Only where the
    girths are corrected by height do the least and the greatest of them lie elsewhere: these two move, and with the
    least one height 0.
    """
    factor = correction.factor
    frame = Frame(factor * limb.frame.origin, limb.frame.axes)
    marks = tuple(replace(mark, height=factor * mark.height, sigma=factor * mark.sigma) for mark in limb.landmarks)
    larger = replace(
        limb,
        frame=frame,
        landmarks=marks,
        findings=tuple(_larger(each, factor) for each in limb.findings),
        cloth_edges=tuple(factor * edge for edge in limb.cloth_edges),
    )
    skin = _scaled_surface(surface, correction)
    return _extremes_moved(larger, skin) if len(correction.heights) > 1 else (larger, skin)


def lowered(surface: LimbSurface, by: float) -> LimbSurface:
    """The same surface with heights counted from `by`, mm."""
    return replace(
        surface,
        height_knots=surface.height_knots - by,
        trusted=(surface.trusted[0] - by, surface.trusted[1] - by),
        bridges=tuple(replace(bridge, height=bridge.height - by) for bridge in surface.bridges),
    )


def _scaled_surface(surface: LimbSurface, correction: Correction) -> LimbSurface:
    factor, knots = correction.factor, surface.height_knots
    breaks = np.unique(knots)
    at = np.interp(np.arange(PER_SPAN * (len(breaks) - 1) + 1) / PER_SPAN, np.arange(len(breaks)), breaks)
    wider = correction.at(np.clip(at, *surface.trusted))
    radii = BSpline(knots, surface.radii, DEGREE)(at) * wider[:, None]
    fitted = lstsq(BSpline.design_matrix(at, knots, DEGREE).toarray(), radii)[0]
    share = factor * float(np.mean(wider))
    return replace(
        surface,
        height_knots=factor * knots,
        radii=factor * fitted,
        centre=factor * surface.centre,
        trusted=(factor * surface.trusted[0], factor * surface.trusted[1]),
        rms=share * surface.rms,
        p99=share * surface.p99,
        bridges=tuple(
            replace(
                bridge,
                height=factor * bridge.height,
                width=share * bridge.width,
                uncertainty=share * bridge.uncertainty,
                likely=share * bridge.likely,
            )
            for bridge in surface.bridges
        ),
        smoothing=share * surface.smoothing,
        noise_left=share * surface.noise_left,
    )


def _extremes_moved(limb: Limb, surface: LimbSurface) -> tuple[Limb, LimbSurface]:
    """The limb with height 0 at its least girth again, where that is what it is, and its widest place found again."""
    zero = least_height(surface) if isinstance(limb.kind, DistalLimb) else 0.0
    surface = lowered(surface, zero)
    marks = [replace(mark, height=mark.height - zero) for mark in limb.landmarks if mark.name != limb.kind.zero]
    joint = next((mark.height for mark in marks if mark.name == limb.kind.joint_mark), None)
    widest = widest_height(surface, 0.0, joint)
    marks = [replace(mark, height=widest) if mark.name == "widest" else mark for mark in marks]
    first = next(mark for mark in limb.landmarks if mark.name == limb.kind.zero)
    frame = Frame(limb.frame.origin + zero * limb.frame.axes[2], limb.frame.axes)
    moved = replace(
        limb,
        frame=frame,
        landmarks=(replace(first, height=0.0), *marks),
        cloth_edges=tuple(edge - zero for edge in limb.cloth_edges),
    )
    return moved, surface


def _larger(said: Finding, factor: float) -> Finding:
    place = said.place
    if place.height is not None:
        place = replace(place, height=factor * place.height)
    return replace(said, filled=_filled(said, factor), place=place)


def _filled(said: Message, factor: float) -> tuple[tuple[str, Figure], ...]:
    return tuple((key, _figure(key, figure, factor)) for key, figure in said.filled)


def _figure(key: str, figure: Figure, factor: float) -> Figure:
    if isinstance(figure, Message):
        return replace(figure, filled=_filled(figure, factor))
    if key in LENGTHS and isinstance(figure, float | int) and not isinstance(figure, bool):
        return factor * figure
    return figure
