"""Panels: the neutral surface cut along edges and lacing gaps, each meshed to its own curves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.interpolate import CubicSpline

from flatten.limb.kind import QUARTERS
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.curves import Dart, Edge, Seam
from flatten.worn.cuts import Cuts
from flatten.worn.darts import Notch, notches_of
from flatten.worn.gap import cut_lines, lines_beside
from flatten.worn.meshing import Closing, meshed
from flatten.worn.panel import CutError, DartCutError, EdgeCutError, Panel, SeamCutError
from flatten.worn.plan import Quad
from flatten.worn.rise import STEP_THICKNESSES, LayerStep, Rise, SkivedLower, SkivedUpper

LEAST_LENGTH = 40.0
"""mm. A panel shorter than this from edge to edge holds no two eyelets: surely a slip of the edges."""

LEAST_WIDTH = 30.0
"""mm. A panel narrower than this has no room for eyelets along both its sides."""

SAME = 1e-9
"""rad. Seams so near to one another are the same line: beyond rounding, and far below a thousandth of a mm."""

LEAST_FACES = 4.0
"""Mesh edges across a panel's narrowest place: a thin panel is meshed more finely, or it would be all slivers."""


def cut_panels(
    surface: LimbSurface,
    cuts: Cuts,
    *,
    edge_length: float,
    thickness: float = 0.0,
    neutral: float = 0.5,
    side_names: Sequence[str] = QUARTERS,
) -> tuple[Panel, ...]:
    """The panels between neighbouring seams, by rising bearing; one seam gives one panel round the limb.

    Each is meshed with edges of about `edge_length` mm; its boundary vertices lie exactly on the curves. A single
    panel is called "whole", one of several by which of the four `side_names` it looks to. Where a seam overlaps,
    the upper side lies `thickness` mm (the leather's) higher, see `LayerStep`; where it is skived less, see
    `SkivedUpper`, by the share `neutral` of the thickness beneath the neutral surface. Lips flare the edges.

    Raises CutError where an edge leaves the trusted heights, edges come too near one another, a seam ends
    inside an edge, two seams' gaps meet or lie on one line, a dart has no room, or a seam is skived to no less than its
    leather.
    """
    laid, widths, notches = _laid_out(surface, cuts, _Leather(thickness, neutral), side_names)
    names = _panel_names([quad for quad, _, _ in laid], side_names)
    return tuple(
        meshed(quad, low=low, high=high, notches=own, edge_length=min(edge_length, width / LEAST_FACES), name=name)
        for name, own, width, (quad, low, high) in zip(names, notches, widths, laid, strict=True)
    )


def check_cuts(
    surface: LimbSurface,
    cuts: Cuts,
    *,
    thickness: float = 0.0,
    neutral: float = 0.5,
    side_names: Sequence[str] = QUARTERS,
) -> None:
    """See that `cut_panels` can cut so, without meshing: some hundredths of a second. Raises CutError as it does."""
    _laid_out(surface, cuts, _Leather(thickness, neutral), side_names)


@dataclass(frozen=True, eq=False)
class _Parted:
    """A seam, and the cut lines (n,2) of the leather before and after it."""

    seam: Seam
    before: Floats
    after: Floats

    def line(self, layer: str) -> Floats:
        """The cut line of the "upper" or the "lower" layer."""
        return self.before if (self.seam.upper == "before") == (layer == "upper") else self.after


@dataclass(frozen=True)
class _Leather:
    """mm, and the share of it that lies beneath its neutral surface."""

    thickness: float
    neutral: float


def _laid_out(
    surface: LimbSurface, cuts: Cuts, leather: _Leather, side_names: Sequence[str]
) -> tuple[list[tuple[Quad, Closing, Closing]], list[float], list[tuple[Notch, ...]]]:
    """The quads between neighbouring seams and what closes them, how wide each is, and its darts.

    Raises CutError as `cut_panels` does.
    """
    bottom, top = cuts.edges
    if not cuts.seams:
        raise SeamCutError("there is no seam; a closed tube cannot be laid flat: give at least one [[seam]]")
    _check_edges(surface, bottom, top, side_names)
    middle = float(np.mean(surface.trusted))
    seams = sorted(cuts.seams, key=lambda seam: float(np.mod(seam.bearing(middle), 2 * np.pi)))
    _check_apart(seams, middle)
    for seam in seams:
        _check_reach(surface, seam, bottom, top)
    parted = [_Parted(seam, *cut_lines(surface, seam, heights=surface.trusted)) for seam in seams]
    laid = [_quad(surface, cuts, (one, parted[(i + 1) % len(parted)]), leather) for i, one in enumerate(parted)]
    widths = [_least_width(quad, low.seam, high.seam) for quad, low, high in laid]
    notches = [notches_of(quad, cuts.darts) for quad, _, _ in laid]
    _check_darts(cuts.darts, {notch.dart.name for own in notches for notch in own}, side_names)
    return laid, widths, notches


def _quad(
    surface: LimbSurface, cuts: Cuts, ends: tuple[_Parted, _Parted], leather: _Leather
) -> tuple[Quad, Closing, Closing]:
    """The quad between two seams, and what closes its low and its high side."""
    one, other = ends
    middle = float(np.mean(surface.trusted))
    turns = _turns(one.after, other.before, float(other.seam.bearing(middle)) - float(one.seam.bearing(middle)))
    low = Closing(one.seam, turns[0], _layer(one.seam, "after"))
    high = Closing(other.seam, turns[1], _layer(other.seam, "before"))
    steps = [
        step
        for closing, parted in ((low, one), (high, other))
        if closing.layer
        for step in _steps(surface, closing, parted, leather)
    ]
    quad = Quad(
        surface, *cuts.edges, _turned(one.after, turns[0]), _turned(other.before, turns[1]), (*steps, *cuts.lips)
    )
    return quad, low, high


def _layer(seam: Seam, which: str) -> str:
    """The layer of the leather before or after a seam: "" where none lies on another."""
    return "" if not seam.overlap else "upper" if seam.upper == which else "lower"


def _turned(line: Floats, turn: float) -> CubicSpline:
    """Bearing by height of a line (n,2) of chart points, `turn` added."""
    return CubicSpline(line[:, 0], line[:, 1] + turn)


def _steps(surface: LimbSurface, closing: Closing, parted: _Parted, leather: _Leather) -> tuple[Rise, ...]:
    """How a layer of a seam lies off the surface: the upper one rises as far as the lower one's cut line is and comes
    down again beyond; the lower one, where it is skived, sinks to its edge."""
    seam, thickness, left = closing.seam, leather.thickness, closing.seam.skived
    if left >= thickness > 0.0:
        raise SeamCutError(
            f"seam '{seam.name}' is skived to {left:g} mm, and its leather is only {thickness:g} mm thick; leave less "
            "of it, or leave 'skive' out"
        )
    upper, lower = (_turned(parted.line(layer), closing.turn) for layer in ("upper", "lower"))
    if closing.layer == "lower":
        return (SkivedLower(lower, upper, leather.neutral * (thickness - left)),) if left else ()
    sign = -1.0 if seam.upper == "before" else 1.0
    length = STEP_THICKNESSES * (np.sqrt(thickness * left) if left else thickness)
    (down,) = lines_beside(surface, seam, offsets=(sign * (0.5 * seam.overlap + length),), heights=surface.trusted)
    none = _turned(down, closing.turn)
    if left:
        return (SkivedUpper(lower, none, upper, left, (1.0 - leather.neutral) * (thickness - left)),)
    return (LayerStep(lower, none, thickness),)


def _turns(low: Floats, high: Floats, apart: float) -> tuple[float, float]:
    """What a panel's bearings exceed its low and its high seam's by, whole turns: the high line's seam follows the
    low line's, `apart` rad from it, within one turn; the panel's middle lies within half a turn of the front."""
    turn = 2 * np.pi
    onwards = turn * (np.ceil(apart / turn) - 1.0)
    middle = 0.5 * float(low[:, 1].mean() + high[:, 1].mean() - onwards)
    back = turn * np.round(middle / turn)
    return -back, -onwards - back


def _panel_names(quads: Sequence[Quad], side_names: Sequence[str]) -> list[str]:
    """ "whole" for a single panel, else the side of the limb that its middle looks to, numbered where several do."""
    if len(quads) == 1:
        return ["whole"]
    names = []
    for quad in quads:
        height = float(np.mean(quad.surface.trusted))
        middle = 0.5 * float(quad.low(height) + quad.high(height))
        names.append(side_names[int(np.round(middle / (np.pi / 2))) % 4])
    return [f"{name} {names[: i + 1].count(name)}" if names.count(name) > 1 else name for i, name in enumerate(names)]


def _check_darts(darts: Sequence[Dart], opened: set[str], side_names: Sequence[str]) -> None:
    for dart in darts:
        if dart.name not in opened:
            raise DartCutError(
                f"dart '{dart.name}' lies in the gap of a seam, {_where(dart.bearing, side_names)}; move it onto the "
                f"leather"
            )


def _check_edges(surface: LimbSurface, bottom: Edge, top: Edge, side_names: Sequence[str]) -> None:
    bearing = np.linspace(-np.pi, np.pi, 361)
    low, high = surface.trusted
    for edge in (bottom, top):
        height = edge.height(bearing)
        under, over = int(np.argmin(height)), int(np.argmax(height))
        if height[under] < low:
            raise EdgeCutError(
                f"the {edge.name} runs at {height[under]:.0f} mm, but the surface can be trusted only above "
                f"{low:.0f} mm; "
                f"raise it by {low - height[under]:.0f} mm {_where(bearing[under], side_names)}",
                edge=edge.name,
                by=float(low - height[under]),
            )
        if height[over] > high:
            raise EdgeCutError(
                f"the {edge.name} runs at {height[over]:.0f} mm, but the surface can be trusted only up to "
                f"{high:.0f} mm; "
                f"lower it by {height[over] - high:.0f} mm {_where(bearing[over], side_names)}, "
                f"or scan more of the limb",
                edge=edge.name,
                by=float(high - height[over]),
            )
    length = top.height(bearing) - bottom.height(bearing)
    least = int(np.argmin(length))
    if length[least] < LEAST_LENGTH:
        raise CutError(
            f"the edges come within {length[least]:.0f} mm of one another {_where(bearing[least], side_names)}; "
            f"keep at least {LEAST_LENGTH:.0f} mm between the bottom edge and the top edge"
        )


def _where(bearing: float, side_names: Sequence[str]) -> str:
    """A bearing in words: "at the back" in the middle of one of the limb's four sides, else "at 95° from the front"."""
    degrees = round(float(np.degrees(bearing))) % 360
    side, aside = divmod(degrees, 90)
    return f"at {degrees}° from the {side_names[0]}" if aside else f"at the {side_names[side]}"


def _check_reach(surface: LimbSurface, seam: Seam, bottom: Edge, top: Edge) -> None:
    low, high = seam.reach(surface.trusted)
    for edge, end, outward in ((bottom, low, -1.0), (top, high, 1.0)):
        short = outward * (float(edge.height(seam.bearing(end))) - end)
        if short > 0.0:
            raise SeamCutError(
                f"seam '{seam.name}' ends {short:.1f} mm inside the {edge.name}; draw it past both edges"
            )


def _check_apart(seams: Sequence[Seam], height: float) -> None:
    """A panel between two seams on one line would go all the way round, and there would be two of them."""
    for one, other in pairwise(seams):
        if np.mod(float(other.bearing(height)) - float(one.bearing(height)) + SAME, 2 * np.pi) <= 2 * SAME:
            raise SeamCutError(
                f"seams '{one.name}' and '{other.name}' lie on one line; move one of them round the limb, or leave it "
                "out"
            )


def _least_width(quad: Quad, seam: Seam, following: Seam) -> float:
    """Least width (mm) of a panel along its rings. Raises CutError where it is below LEAST_WIDTH."""
    height = np.linspace(*quad.surface.trusted, 200)
    width = (quad.high(height) - quad.low(height)) * quad.surface.radius(height, quad.low(height))
    least = int(np.argmin(width))
    if width[least] < LEAST_WIDTH:
        raise SeamCutError(
            f"between seam '{seam.name}' and seam '{following.name}' only {max(width[least], 0.0):.0f} mm of leather "
            f"are left at height {height[least]:.0f} mm; keep at least {LEAST_WIDTH:.0f} mm: move them apart or make "
            f"the lacing gap narrower"
        )
    return float(width[least])
