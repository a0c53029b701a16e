"""The neutral surface: the skin moved outwards along its true normals, as a limb surface of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline, make_interp_spline
from scipy.spatial import cKDTree

from flatten.limb.surface.model import DEGREE, LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.hollow import spanned_radii
from flatten.worn.panel import CutError, LayersError

NODE_SPACING = 5.0
"""mm. Height nodes of an offset surface: half of the skin spline's own knots, so nothing is lost."""

BEARINGS = 60
"""Bearing nodes of an offset surface: twice as many as the skin's spline has."""

LEAST_HEIGHT = 10 * NODE_SPACING
"""mm. Over less the spline has too few nodes, and no panel has room."""

HOLLOW_BEARINGS = 120
"""Bearing nodes of a skin whose hollows are spanned: where a span leaves the skin its bend jumps."""

ARRIVED = 1e-6
"""mm. A node of the offset surface is found when its chart place is met this closely: a rounding matter."""

END_MARGIN = 1.0
"""mm. Kept free at both ends of the trusted skin, so that the search for a node never leaves it."""

DEPTH_MET = 0.1
"""mm. A surface inside the scan may be nearer to it than it was asked to be by this much: a spline between nodes."""

_ITERATIONS = 60


@dataclass(frozen=True)
class Wear:
    """What lies between skin and leather, and the leather itself; mm.

    `under` is the padding and clothing at the bearings 0, π/2, π and 3π/2, smooth between; `ease` is added to
    the girth; `thickness` is the leather's; `neutral` the share of it that lies inside the neutral surface. Hollows of
    the scanned sections up to `hollows` wide are spanned before anything lies on them. `over` was worn for the scan,
    whose surface lies that far off the skin.
    """

    under: tuple[float, float, float, float]
    ease: float
    thickness: float
    neutral: float
    hollows: float = 0.0
    over: float = 0.0

    def offset(self, bearing: Floats) -> Floats:
        """Distance (N,) of the neutral surface from the scanned one: under + ease/2π + neutral·thickness − over.

        It is below 0 where the leather's mid-line lies inside what was worn for the scan.
        """
        quarter = np.linspace(0.0, 2 * np.pi, 5)
        under = CubicSpline(quarter, [*self.under, self.under[0]], bc_type="periodic")
        layers = under(np.mod(bearing, 2 * np.pi)) + self.ease / (2 * np.pi) + self.neutral * self.thickness
        return layers - self.over


@dataclass(frozen=True, eq=False)
class Neutral:
    """The neutral `surface`, and `deviation`: its largest distance (mm) from the true offset between nodes."""

    surface: LimbSurface
    deviation: float


def neutral_surface(skin: LimbSurface, wear: Wear, *, heights: tuple[float, float] | None = None) -> Neutral:
    """The surface at `wear.offset` along the skin's normals, about the skin's own centre line.

    It is made over `heights` as far as trusted skin reaches; None means all of the trusted skin.

    Every node of the new chart is met exactly: the skin place whose offset point lies there is found by
    fixed-point steps, over a skin whose hollows are spanned as far as `wear.hollows` says. The surface is then the
    tensor spline through the nodes, and its deviation is measured half-way between them.

    Raises LayersError where the offset would fold back on itself (a hollow sharper than the offset is deep, or a ridge
    where it goes inwards), where more was worn for the scan than the limb is thick, or where the skin is trusted over
    too little, CutError where `heights` leave nothing between the edges.
    """
    if wear.hollows > 0.0:
        skin = spanned(skin, width=wear.hollows)
    if heights is not None and heights[1] - heights[0] < LEAST_HEIGHT:
        raise CutError(
            "the top edge lies below the bottom edge, or hardly above it; put it higher, or the bottom edge lower"
        )
    low, high = skin.trusted
    inset = _height_lost(skin, wear)
    low, high = low + inset[0], high - inset[1]
    if heights is not None:
        low, high = max(low, heights[0]), min(high, heights[1])
    if high - low < LEAST_HEIGHT:
        raise LayersError(
            f"only {max(high - low, 0):.0f} mm of the limb's length carry the layers worn; scan more of the limb"
        )
    count = int(np.ceil((high - low) / NODE_SPACING)) + 1
    nodes = np.linspace(low, high, count)
    bearings = 2 * np.pi * np.arange(BEARINGS) / BEARINGS
    _check_over(skin.radius(nodes[:, None], bearings), nodes, wear.over)
    radii = _offset_radii(skin, wear, *np.meshgrid(nodes, bearings, indexing="ij"))
    surface = through_radii(nodes, radii, skin)
    _check_depth(skin, surface, -float(np.max(wear.offset(bearings))))
    between_h, between_b = np.meshgrid(0.5 * (nodes[:-1] + nodes[1:]), bearings + np.pi / BEARINGS, indexing="ij")
    true = _offset_radii(skin, wear, between_h, between_b)
    deviation = float(np.abs(surface.radius(between_h, between_b) - true).max())
    return Neutral(surface, deviation)


def spanned(skin: LimbSurface, *, width: float) -> LimbSurface:
    """The skin, over its trusted range, with the hollows of its sections that are up to `width` mm wide spanned."""
    low, high = skin.trusted
    nodes = np.linspace(low, high, int(np.ceil((high - low) / NODE_SPACING)) + 1)
    bearings = np.arange(HOLLOW_BEARINGS, dtype=np.float64) * (2 * np.pi / HOLLOW_BEARINGS)
    return through_radii(
        nodes, spanned_radii(skin.radius(np.asarray(nodes[:, None], float), bearings), width=width), skin
    )


def through_radii(heights: Floats, radii: Floats, like: LimbSurface) -> LimbSurface:
    """The limb surface through `radii` (n, m) at `heights` (n,) and bearings 2πk/m (m even).

    Centre line, residuals and bridges are those of `like`.
    """
    return through(heights, radii, like.centre_line(heights), like=like)


def through(heights: Floats, radii: Floats, centres: Floats, *, like: LimbSurface) -> LimbSurface:
    """The limb surface through `radii` (n, m) about `centres` (n,2) at `heights` (n,); the rest is that of `like`."""
    along = make_interp_spline(heights, radii, DEGREE)
    # Periodic uniform cubic B-splines at their own nodes: (c[k-1] + 4 c[k] + c[k+1]) / 6, a circulant.
    m = radii.shape[1]
    symbol = (4.0 + 2.0 * np.cos(2 * np.pi * np.arange(m // 2 + 1) / m)) / 6.0
    coefficients = np.fft.irfft(np.fft.rfft(along.c, axis=1) / symbol, m, axis=1)
    centre = make_interp_spline(heights, centres, DEGREE)
    return LimbSurface(
        along.t,
        coefficients,
        centre.c,
        (float(heights[0]), float(heights[-1])),
        like.rms,
        like.p99,
        like.bridged_share,
        like.bridges,
    )


def _height_lost(skin: LimbSurface, wear: Wear) -> tuple[float, float]:
    """mm of height at the bottom and top where an offset point would come from beyond trusted skin."""
    bearings = np.linspace(0.0, 2 * np.pi, 4 * BEARINGS, endpoint=False)
    lost = []
    for end, towards in zip(skin.trusted, (1.0, -1.0), strict=True):
        lift = skin.normals(np.full_like(bearings, end), bearings)[:, 2] * wear.offset(bearings)
        lost.append(END_MARGIN + max(0.0, float((towards * lift).max())))
    return lost[0], lost[1]


def _check_over(radii: Floats, heights: Floats, over: float) -> None:
    """LayersError where the `radii` (n,m) of the scan at `heights` (n,) hold no limb beneath what was worn for it."""
    if over > 0.0 and over >= radii.min():
        at = int(np.argmin(radii.min(axis=1)))
        raise LayersError(
            f"{over:g} mm worn for the scan leave no limb: at height {heights[at]:.0f} mm the scan is only "
            f"{radii.min():.0f} mm thick from its middle; check “over” under [scan], and the scan’s unit"
        )


def _check_depth(skin: LimbSurface, inner: LimbSurface, depth: float) -> None:
    """LayersError where `inner`, `depth` inside the scan or more, is nearer to it, as it is beneath a sharp ridge."""
    if depth <= DEPTH_MET:
        return
    outside, inside = _spread(skin), _spread(inner)
    # The nearest of samples is never nearer than the surface itself.
    nearest = np.asarray(cKDTree(outside).query(inside)[0])
    worst = int(np.argmin(nearest))
    if nearest[worst] < depth - DEPTH_MET:
        raise LayersError(_ridge_words(float(inside[worst, 2]), depth))


def _spread(surface: LimbSurface) -> Floats:
    """Points (N,3) all over a surface's trusted range, a few mm apart."""
    heights = np.linspace(*surface.trusted, 4 * BEARINGS)
    bearings = np.linspace(0.0, 2 * np.pi, 4 * BEARINGS, endpoint=False)
    return surface.points(*(grid.ravel() for grid in np.meshgrid(heights, bearings)))


def _ridge_words(height: float, depth: float) -> str:
    return (
        f"the skin cannot be told from the scan at height {height:.0f} mm: the limb has a ridge there that is sharper "
        f"than the {depth:.1f} mm by which what was worn for the scan goes beyond the leather; keep the edges clear of "
        "that height, or scan the limb bare"
    )


def _offset_radii(skin: LimbSurface, wear: Wear, height: Floats, bearing: Floats) -> Floats:
    """Radius of the offset surface at chart places (…,), mm."""
    source_h, source_b = height.copy(), bearing.copy()
    centre = skin.centre_line(height)
    low, high = skin.trusted
    # A whole step overshoots on a ridge sharper than the offset is deep, though nothing folds there: then half of one.
    weight = np.ones(height.shape)
    before = np.zeros((2, *height.shape))
    for _ in range(_ITERATIONS):
        point = skin.points(source_h, source_b)
        point = point + skin.normals(source_h, source_b) * wear.offset(source_b)[..., None]
        x, y = point[..., 0] - centre[..., 0], point[..., 1] - centre[..., 1]
        radius = np.hypot(x, y)
        miss_h = height - point[..., 2]
        miss_b = np.mod(bearing - np.arctan2(y, x) + np.pi, 2 * np.pi) - np.pi
        if max(np.abs(miss_h).max(), np.abs(miss_b * radius).max()) < ARRIVED:
            return radius
        miss = np.stack([miss_h, miss_b * radius])
        weight = np.where((miss * before).sum(axis=0) < -0.5 * (before**2).sum(axis=0), 0.5 * weight, weight)
        before = miss
        source_h = np.clip(source_h + weight * miss_h, low, high)
        source_b = source_b + weight * miss_b
    worst = np.unravel_index(np.argmax(np.abs(miss_h) + np.abs(miss_b) * radius), height.shape)
    offset = float(wear.offset(bearing[worst]))
    if offset < 0.0:
        raise LayersError(_ridge_words(float(height[worst]), -offset))
    raise LayersError(
        f"the layers worn fold over themselves at height {height[worst]:.0f} mm: the limb has a hollow there that is "
        f"sharper than the {offset:.1f} mm between skin and leather; keep the edges clear of that "
        f"height, or wear less beneath the leather"
    )
