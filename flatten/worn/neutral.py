"""The neutral surface: the skin moved outwards along its true normals, as a limb surface of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.interpolate import CubicSpline, make_interp_spline
from scipy.spatial import cKDTree

from flatten.limb.surface.model import DEGREE, LimbSurface
from flatten.mesh.surface import Flags, Floats
from flatten.worn.corrections import NOTHING, Correction
from flatten.worn.envelope import WITHIN, Layers, deepest, layers_on, outer_radii
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

FILLED = 2.0
"""mm by which layers may fill a hollow that they cannot follow. A scan's noise leaves hollows of a few tenths; a deeper
one is the limb's own, and its maker should say whether leather spans it."""

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
    whose surface lies that far off the skin. A `lining` is glued to the leather's inner face. `flexed` is the room for
    muscles that swell, `fitted` what each fitting changed, in their order, and `finished` the maker's own correction,
    for leather that comes out otherwise than drawn.
    """

    under: tuple[float, float, float, float]
    ease: float
    thickness: float
    neutral: float
    hollows: float = 0.0
    over: float = 0.0
    lining: float = 0.0
    flexed: Correction = NOTHING
    fitted: tuple[Correction, ...] = ()
    finished: Correction = NOTHING

    def offset_at(self, height: Floats | float, bearing: Floats | float) -> Floats:
        """Distance (…) of the neutral surface from the scanned one at heights (…) and bearings (…): `offset`, the room
        for muscles, what fittings changed, and the maker's own correction.

        Raises CutError where two readings of one ring are too near to one another.
        """
        changes = [each.offset(height, bearing) for each in (self.flexed, *self.fitted, self.finished)]
        return self.offset(np.asarray(bearing, float)) + np.sum(changes, axis=0)

    def added_girth(self, height: float) -> float:
        """mm of girth that muscles and fittings add at a height, all sides together.

        What the maker's own correction adds is lost again in the making.
        """
        return float(np.sum([each.girth(height) for each in (self.flexed, *self.fitted)]))

    def offset(self, bearing: Floats) -> Floats:
        """Distance (N,) of the neutral surface from the scanned: under + ease/2π + lining + neutral·thickness − over.

        It is below 0 where the leather's mid-line lies inside what was worn for the scan.
        """
        quarter = np.linspace(0.0, 2 * np.pi, 5)
        under = CubicSpline(quarter, [*self.under, self.under[0]], bc_type="periodic")
        layers = under(np.mod(bearing, 2 * np.pi)) + self.ease / (2 * np.pi) + self.neutral * self.thickness
        return layers + self.lining - self.over


@dataclass(frozen=True, eq=False)
class Neutral:
    """The neutral `surface`, and `deviation`: its largest distance (mm) from the true offset between nodes."""

    surface: LimbSurface
    deviation: float


def neutral_surface(skin: LimbSurface, wear: Wear, *, heights: tuple[float, float] | None = None) -> Neutral:
    """The surface at `wear.offset_at` along the skin's normals, about the skin's own centre line.

    It is made over `heights` as far as trusted skin reaches; None means all of the trusted skin.

    Every node of the new chart is met exactly: the skin place whose offset point lies there is found by
    fixed-point steps, over a skin whose hollows are spanned as far as `wear.hollows` says. In a hollow sharper than the
    offset is deep, such as a scan's noise leaves, the layers cannot follow the skin and the node lies on their outside.
    Nodes stand at the same heights whatever the range. The surface is then the tensor spline through the nodes, and
    its deviation is measured half-way between them.

    Raises LayersError where the layers would fill a hollow by more than FILLED, or where, going inwards, they would
    fold beneath a ridge sharper than they are deep, where more was worn for the scan than the limb is thick, or where
    the skin is trusted over too little, CutError where `heights` leave nothing between the edges.
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
    nodes = _nodes(low, high)
    bearings = 2 * np.pi * np.arange(BEARINGS) / BEARINGS
    _check_over(skin.radius(nodes[:, None], bearings), nodes, wear.over)
    layers = layers_on(skin, wear.offset_at, heights=(low, high))
    _check_filled(layers)
    radii = _offset_radii(skin, wear, layers, *np.meshgrid(nodes, bearings, indexing="ij"))
    surface = through_radii(nodes, radii, skin)
    _check_depth(skin, surface, wear, -float(np.max(wear.offset_at(nodes[:, None], bearings))))
    between_h, between_b = np.meshgrid(0.5 * (nodes[:-1] + nodes[1:]), bearings + np.pi / BEARINGS, indexing="ij")
    true = _offset_radii(skin, wear, layers, between_h, between_b)
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
        lift = skin.normals(np.full_like(bearings, end), bearings)[:, 2] * wear.offset_at(end, bearings)
        lost.append(END_MARGIN + max(0.0, float((towards * lift).max())))
    return lost[0], lost[1]


def _nodes(low: float, high: float) -> Floats:
    """Heights of nodes between `low` and `high`, both included, NODE_SPACING apart and at multiples of it in between:
    so that an edge moved does not move the surface between the edges."""
    first, last = np.ceil(low / NODE_SPACING + 0.5), np.floor(high / NODE_SPACING - 0.5)
    return np.concatenate([[low], NODE_SPACING * np.arange(first, last + 1.0), [high]])


def _check_filled(layers: Layers) -> None:
    """LayersError where layers that go outwards would have to fill a hollow of the skin."""
    depth, height = deepest(layers)
    if depth > FILLED:
        thick = float(np.max(layers.offset(np.full(360, height), np.linspace(0.0, 2 * np.pi, 360))))
        raise LayersError(
            f"the layers worn cannot follow the limb at height {height:.0f} mm: it has a hollow there that is sharper "
            f"than the {thick:.1f} mm between skin and leather, and they would fill it by {depth:.1f} mm; "
            "keep the edges clear of that height, wear less beneath the leather, or have hollows spanned by it "
            '(hollows = "20 mm" under [wear])'
        )


def _check_over(radii: Floats, heights: Floats, over: float) -> None:
    """LayersError where the `radii` (n,m) of the scan at `heights` (n,) hold no limb beneath what was worn for it."""
    if over > 0.0 and over >= radii.min():
        at = int(np.argmin(radii.min(axis=1)))
        raise LayersError(
            f"{over:g} mm worn for the scan leave no limb: at height {heights[at]:.0f} mm the scan is only "
            f"{radii.min():.0f} mm thick from its middle; check “over” under [scan], and the scan’s unit"
        )


def _check_depth(skin: LimbSurface, inner: LimbSurface, wear: Wear, depth: float) -> None:
    """LayersError where `inner`, `depth` inside the scan or more, is nearer to it, as it is beneath a sharp ridge."""
    if depth <= DEPTH_MET:
        return
    outside, inside = _spread(skin), _spread(inner)
    # The nearest of samples is never nearer than the surface itself.
    nearest = np.asarray(cKDTree(outside).query(inside)[0])
    worst = int(np.argmin(nearest))
    if nearest[worst] < depth - DEPTH_MET:
        raise LayersError(_ridge_words(float(inside[worst, 2]), depth, wear))


def _spread(surface: LimbSurface) -> Floats:
    """Points (N,3) all over a surface's trusted range, a few mm apart."""
    heights = np.linspace(*surface.trusted, 4 * BEARINGS)
    bearings = np.linspace(0.0, 2 * np.pi, 4 * BEARINGS, endpoint=False)
    return surface.points(*(grid.ravel() for grid in np.meshgrid(heights, bearings)))


def _ridge_words(height: float, depth: float, wear: Wear) -> str:
    what, remedy = "what was worn for the scan goes", "scan the limb bare"
    if not wear.over:
        what, remedy = "what fittings took in goes", "measure the limb's girth by tape"
    return (
        f"the skin cannot be told from the scan at height {height:.0f} mm: the limb has a ridge there that is sharper "
        f"than the {depth:.1f} mm by which {what} beyond the leather; keep the edges clear of that height, or {remedy}"
    )


def _offset_radii(skin: LimbSurface, wear: Wear, layers: Layers, height: Floats, bearing: Floats) -> Floats:
    """Radius of the offset surface at chart places (…,), mm; where layers cannot follow the skin, of their outside."""
    radius, arrived = _followed(skin, wear, height, bearing)
    offset = wear.offset_at(height, bearing)
    outward = offset > 0.0
    if not (arrived | outward).all():
        worst = int(np.flatnonzero(~(arrived | outward).ravel())[0])
        raise LayersError(_ridge_words(float(height.ravel()[worst]), -float(offset.ravel()[worst]), wear))
    centre = skin.centre_line(height)
    x, y = radius * np.cos(bearing), radius * np.sin(bearing)
    points = np.stack([centre[..., 0] + x, centre[..., 1] + y, height], axis=-1)
    inside = layers.depth(points.reshape(-1, 3)).reshape(height.shape) > WITHIN
    filled = outward & (inside | ~arrived)
    if filled.any():
        near = skin.radius(height[filled], bearing[filled]) + offset[filled]
        radius[filled] = outer_radii(layers, height[filled], bearing[filled], near=near)
    return radius


def _followed(skin: LimbSurface, wear: Wear, height: Floats, bearing: Floats) -> tuple[Floats, Flags]:
    """Radius of the offset surface at chart places (…,), mm, and where it was found: not in a hollow or over a ridge
    that is sharper than the offset is deep."""
    low, high = skin.trusted
    wanted = np.stack([height.ravel(), bearing.ravel()])
    source, radius = wanted.copy(), np.zeros(wanted.shape[1])
    # A whole step overshoots on a ridge sharper than the offset is deep, though nothing folds there: then half of one.
    weight, before = np.ones(wanted.shape[1]), np.zeros_like(wanted)
    live = np.arange(wanted.shape[1])
    for _ in range(_ITERATIONS):
        up, turn = source[:, live]
        point = skin.points(up, turn) + skin.normals(up, turn) * wear.offset_at(up, turn)[:, None]
        x, y = (point[:, :2] - skin.centre_line(wanted[0, live])).T
        radius[live] = np.hypot(x, y)
        miss_b = np.mod(wanted[1, live] - np.arctan2(y, x) + np.pi, 2 * np.pi) - np.pi
        miss = np.stack([wanted[0, live] - point[:, 2], miss_b * radius[live]])
        away = np.abs(miss).max(axis=0) >= ARRIVED
        live, miss, miss_b = live[away], miss[:, away], miss_b[away]
        if not live.size:
            break
        back = (miss * before[:, live]).sum(axis=0) < -0.5 * (before[:, live] ** 2).sum(axis=0)
        weight[live[back]] *= 0.5
        before[:, live] = miss
        source[0, live] = np.clip(source[0, live] + weight[live] * miss[0], low, high)
        source[1, live] += weight[live] * miss_b
    arrived = np.ones(wanted.shape[1], dtype=bool)
    arrived[live] = False
    return radius.reshape(height.shape), arrived.reshape(height.shape)
