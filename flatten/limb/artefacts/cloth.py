"""Cloth on a limb: rings that stand off it at both their edges, and single edges of sleeves, trouser legs and socks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt
from scipy.ndimage import label, median_filter

from flatten.findings import Finding, finding, message
from flatten.limb.anatomy.profile import profile_along
from flatten.limb.kind import DistalLimb, LimbKind
from flatten.limb.model import Frame
from flatten.limb.surface.centre import cell_medians
from flatten.mesh.surface import Floats, Ints
from flatten.words.say import text

ROW = 4.0
"""mm. Height of the rows that are compared: half a knot spacing, with a few points in each sector."""

SECTORS = 36
"""Sectors of a row; an edge is told by the median of their steps, so that a bent limb's two sides, a kneecap and a heel
cancel, and noise that neighbours share is told by ten places or more round the limb. A sparse cloud has fewer."""

LEAST_SECTORS = 8
"""Fewer do not tell a ring from a kneecap, which takes up a quarter of the limb."""

HELD = 3.0
"""Points in a sector of a row at the least, on average: then one in twenty is empty (Poisson)."""

REACH = 4
"""Rows over which a step is taken: 16 mm, over which the triangles of a phone's scan draw an edge out."""

TREND = 25
"""Rows over which the limb's own rise is taken, as a median: 100 mm, more than twice a cuff."""

NOISE = 0.4
"""mm. Deviation of a step. Noise of 0.7 mm rms that neighbours share, as much as a phone leaves, has twice the variance
in a step, told by the median (π/2 of a mean's variance) of ten places round the limb at the least."""

SIGMA_MARGIN = 1.5
"""Times the spread of the steps that their deviation may be: two deviations of a median over 25 rows apart."""

HINT = 3 * NOISE
"""mm. Steps below this may be noise, or the limb itself: clean limbs rise by up to 0.6 mm against their trend between
their joints, and by up to 1.4 mm above a kneecap."""

RING_STEP = 5 * NOISE
"""mm. Least step of the edges of a ring, of which there are two: cloth that stands off by 4 mm steps by as much where
triangles of 20 mm draw the edge out. A sock's edge of 1 mm stays below, and adds 6 mm to a girth at the most."""

LONE_STEP = 5 * NOISE
"""mm. Least step of an edge without another: clean limbs stay below 1.5 mm where a calm limb lies on both sides."""

TALLEST = 90.0
"""mm. A ring between two edges is a cuff up to this height; the bulge of a calf is 200 mm long."""

QUIET = 10
"""Rows on both sides of a ring, 40 mm, that must rise evenly where it is not known where foot, hand and trunk begin:
none of them does, and a limb does."""

ASKEW = 4
"""Rows up and down from an edge within which each sector's own is looked for: 16 mm, an edge askew by 15°."""

JUMP = 9
"""Slabs of 10 mm over which the limb's middle is a median: up to four may be pulled aside. Across a row that leans, a
jump of the middle by 4 mm is a step of 2 mm all round."""

ROUNDS = 3
"""Times that the rows are laid along the edge anew."""

MARGIN = 2 * ROW
"""mm beyond a cuff that is left out with it: a row by which an edge may be missed, and one that an uneven edge may
stray from its plane. Points of a cuff's flank that stay would pull a clean scan's surface out by millimetres."""

HIDES = 60.0
"""mm below ankle or wrist down to which the edge of a sock or a glove hides them: the least girth is then above it."""

BESIDE = 3 * ROW
"""mm. Height of the skin on both sides of a cuff that tells how the limb runs through it."""

Mask = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class Cuff:
    """A ring of cloth with edges at two heights of the limb, mm, and by how much its lower one stands out.

    `bare` are the heights below and above which the skin shows. `lean` is the slope of its edges by the first and the
    second coordinate; the heights are those where both are 0.
    """

    low: float
    high: float
    step: float
    bare: tuple[float, float]
    lean: tuple[float, float]

    def heights(self, points: Floats) -> Floats:
        """Heights (N,) of points (N,3), limb coordinates, along its edges."""
        return points[:, 2] - points[:, :2] @ np.array(self.lean)


@dataclass(frozen=True)
class ClothEdge:
    """The edge of cloth that has no other: its height, and the `step` by which the limb is thicker above it, mm."""

    height: float
    step: float


@dataclass(frozen=True, eq=False)
class Cloth:
    """The cuffs and the single `edges` on a limb, from the lowest up, and the frame that their heights are told in."""

    frame: Frame
    cuffs: tuple[Cuff, ...]
    edges: tuple[ClothEdge, ...]

    @property
    def all_edges(self) -> tuple[float, ...]:
        """The heights of all edges, those of cuffs too, from the lowest up."""
        both = (height for cuff in self.cuffs for height in (cuff.low, cuff.high))
        return tuple(sorted((*both, *(edge.height for edge in self.edges))))

    def findings(self, kind: LimbKind, *, zero: float) -> tuple[Finding, ...]:
        """What was done about them, and what may be wrong; heights are told from height `zero` of their own."""
        return (
            *(_of_cuff(cuff, kind=kind, zero=zero) for cuff in self.cuffs),
            *(_of_edge(edge, kind=kind, zero=zero) for edge in self.edges),
        )

    def reason(self) -> str:
        """Why a limb with its single edges may not be followed: the greatest of them, in its own height."""
        edge = max(self.edges, key=lambda each: abs(each.step))
        like = text(message("limb.cloth like", thicker=edge.step > 0))
        return (
            f"the outline steps by about {abs(edge.step):.0f} mm all round at height {edge.height:.0f} mm, like the "
            f"edge of {like}; scan the limb bare, or cut the cloth out of the scan"
        )


@dataclass(frozen=True, eq=False)
class _Rows:
    """Radii (m + REACH, k) of rows from height `low` up, and each step (m,) over REACH rows against the trend.

    `steps` (m, k) are told by sector, k of them; their median is `rise`; `seen` (m,) where most sectors are.
    `louder`, 1 or more, says how many times NOISE the steps of sparse points may be.
    """

    low: float
    radii: Floats
    steps: Floats
    rise: Floats
    seen: Mask
    louder: float

    def height(self, row: int) -> float:
        """The lower edge of a row."""
        return self.low + row * ROW

    def middles(self) -> Floats:
        """The height (m,) between the two rows of each step."""
        return np.asarray(self.low + (np.arange(len(self.rise)) + (REACH + 1) / 2) * ROW)

    def edge_height(self, run: Ints) -> float:
        """The height of the edge that the steps `run` are: the middle of those at least half as high as its highest."""
        rise = np.abs(self.rise[run])
        return float(np.average(self.middles()[run], weights=np.where(rise >= rise.max() / 2, rise, 0.0)))


def rings_in(points: Floats, *, frame: Frame, middles: Floats, shift: float = 0.0) -> Cloth:
    """The rings on a limb's points (N,3) between stretches of quiet limb, the frame's third axis along the limb.

    `middles` (m,3) are places of its centre in order of height; rows begin `shift` mm above the first of them. For a
    first look, before foot, hand and trunk are known.
    """
    local, middles = frame.to_limb(points), frame.to_limb(middles)
    rows = _rows(local, middles, between=(float(middles[0, 2]) + shift, float(middles[-1, 2])), lean=np.zeros(2))
    if rows is None:
        return Cloth(frame, (), ())
    calm = rows.seen & (np.abs(rows.rise) < HINT * rows.louder)
    cuffs = tuple(
        cuff
        for first, last, cuff in _rings(rows, lean=np.zeros(2))
        if first >= QUIET and last + QUIET < len(calm)
        if calm[first - QUIET : first].all() and calm[last + 1 : last + 1 + QUIET].all()
    )
    return Cloth(frame, cuffs, ())


def cloth_in(
    points: Floats, *, frame: Frame, middles: Floats, between: tuple[float, float], single: tuple[float, float]
) -> Cloth:
    """The cuffs and the single edges on a limb's points (N,3) between two heights of `frame`.

    `middles` (m,3) are places of the limb's centre in order of height, one a slab, `single` the heights from which
    single edges are looked for, where the limb grows thicker and where it grows thinner; cuffs from the lower one. An
    edge need not be square to the axis: the rows are laid along the greatest step that is found.
    """
    local, middles, lean = frame.to_limb(points), _calmed(frame.to_limb(middles)), np.zeros(2)
    rows = _rows(local, middles, between=between, lean=lean)
    for _ in range(ROUNDS):
        more = np.zeros(2) if rows is None else _lean(rows, _greatest(rows, single))
        if not more.any():
            break
        lean = lean + more
        rows = _rows(local, middles, between=between, lean=lean)
    if rows is None:
        return Cloth(frame, (), ())
    rings = [ring for ring in _rings(rows, lean=lean) if ring[2].low > min(single)]
    return Cloth(frame, tuple(cuff for _, _, cuff in rings), _single_edges(rows, single, rings))


def without_cuffs(points: Floats, cloth: Cloth) -> Floats:
    """The points (M,3) that lie on no cuff, nor within MARGIN of one."""
    local = cloth.frame.to_limb(points)
    kept = np.ones(len(points), bool)
    for cuff in cloth.cuffs:
        heights = cuff.heights(local)
        kept &= (heights < cuff.bare[0] - MARGIN) | (heights > cuff.bare[1] + MARGIN)
    return points[kept]


def with_limb_for_cuffs(points: Floats, cloth: Cloth) -> Floats:
    """The points (N,3), those on cuffs moved to round sections between the skin's on both sides: for the axis.

    A cuff that has skin on one side only keeps its points.
    """
    if not cloth.cuffs:
        return points
    local = cloth.frame.to_limb(points)
    for cuff in cloth.cuffs:
        heights = cuff.heights(local)
        low, high = cuff.bare[0] - MARGIN, cuff.bare[1] + MARGIN
        sides = [(heights < low) & (heights > low - BESIDE), (heights > high) & (heights < high + BESIDE)]
        if not all(side.any() for side in sides):
            continue
        centres, radii = zip(*(_round(local[side, :2]) for side in sides), strict=True)
        inside = (heights >= low) & (heights <= high)
        share = ((heights[inside] - low) / (high - low))[:, None]
        middle = centres[0] + share * (centres[1] - centres[0])
        away = local[inside, :2] - middle
        away = away / np.linalg.norm(away, axis=1)[:, None]
        local[inside, :2] = middle + (radii[0] + share * (radii[1] - radii[0])) * away
    return cloth.frame.to_scan(local)


def _round(flat: Floats) -> tuple[Floats, float]:
    """Centre (2,) and mean radius of a section's points (n,2)."""
    section = profile_along(np.column_stack([flat, np.zeros(len(flat))]), np.array([0.0, 0.0, 1.0]))
    return section.centres[0, :2], float(section.radii[0])


def _of_cuff(cuff: Cuff, *, kind: LimbKind, zero: float) -> Finding:
    low, high = cuff.low - zero, cuff.high - zero
    where = kind.place(height=0.5 * (low + high))
    return finding("limb.cuff", "look", place=where, low=kind.at_height(low), high=kind.at_height(high), step=cuff.step)


def _of_edge(edge: ClothEdge, *, kind: LimbKind, zero: float) -> Finding:
    height = edge.height - zero
    return finding(
        "limb.cloth edge",
        "look",
        place=kind.place(height=height),
        where=kind.at_height(height),
        step=edge.step,
        hidden=kind.zero_name if isinstance(kind, DistalLimb) and edge.step < 0 and -HIDES < height < 0 else None,
    )


def _rows(points: Floats, middles: Floats, *, between: tuple[float, float], lean: Floats) -> _Rows | None:
    """The rows between two heights, leaning with the slopes `lean` (2,); None where there are none to compare."""
    low, high = between
    heights = points[:, 2] - points[:, :2] @ lean
    inside = (heights > low) & (heights < high)
    rows = int((high - low) / ROW)
    if not inside.any() or rows <= REACH:
        return None
    points = points[inside]
    away = points[:, :2] - np.stack([np.interp(points[:, 2], middles[:, 2], middles[:, k]) for k in range(2)], axis=1)
    row = np.minimum(((heights[inside] - low) / ROW).astype(np.int64), rows - 1)
    turn = np.arctan2(away[:, 1], away[:, 0])
    count = int(np.clip(len(points) / (rows * HELD), LEAST_SECTORS, SECTORS))
    sector = np.minimum(((turn / (2 * np.pi) + 0.5) * count).astype(np.int64), count - 1)
    radii = cell_medians(row * count + sector, np.hypot(*away.T), rows * count).reshape(rows, count)
    steps = radii[REACH:] - radii[:-REACH]
    seen = np.isfinite(steps).mean(axis=1) > 0.5
    rise = np.zeros(len(steps))
    rise[seen] = np.nanmedian(steps[seen], axis=1)
    trend = median_filter(rise, size=TREND, mode="nearest")
    rise -= trend
    spread = 1.4826 * float(np.median(np.abs(rise[seen]))) if seen.any() else 0.0
    return _Rows(low, radii, steps - trend[:, None], rise, seen, max(1.0, SIGMA_MARGIN * spread / NOISE))


def _calmed(middles: Floats) -> Floats:
    """The middles (m,3) without the jumps of a few, as a spike's triangles pull them aside; a bend stays."""
    return np.column_stack([median_filter(middles[:, :2], size=(JUMP, 1), mode="nearest"), middles[:, 2]])


def _greatest(rows: _Rows, single: tuple[float, float]) -> int:
    """The step that is greatest either way, where a limb has none of its own."""
    middles = rows.middles()
    out, inward = (np.where(middles > low, rows.rise * sign, 0.0) for low, sign in zip(single, (1, -1), strict=True))
    return int(np.argmax(np.maximum(out, inward)))


def _lean(rows: _Rows, peak: int) -> Floats:
    """The slope (2,) of the plane through the places where the sectors about step `peak` rise, or fall, most."""
    first = max(0, peak - ASKEW)
    near = np.nan_to_num(rows.steps[first : peak + ASKEW + 1]) * np.sign(rows.rise[peak])
    clear = near.max(axis=0) >= HINT * rows.louder
    if abs(rows.rise[peak]) < HINT * rows.louder or clear.mean() <= 0.5:
        return np.zeros(2)
    weights = np.maximum(near[:, clear], 0.0) ** 2
    height = ROW * (weights * np.arange(len(near))[:, None]).sum(axis=0) / weights.sum(axis=0)
    count = rows.steps.shape[1]
    turn = ((np.arange(count) + 0.5) * (2 * np.pi / count) - np.pi)[clear]
    radius = float(np.nanmedian(rows.radii[peak]))
    plane = np.stack([np.ones_like(turn), radius * np.cos(turn), radius * np.sin(turn)], axis=1)
    return np.asarray(np.linalg.lstsq(plane, height, rcond=None)[0][1:])


def _rings(rows: _Rows, *, lean: Floats) -> list[tuple[int, int, Cuff]]:
    """Rings of cloth, each with the first step of its lower edge and the last of its upper one."""
    found: list[tuple[int, int, Cuff]] = []
    rise = rows.rise / rows.louder
    inward = np.flatnonzero(rise <= -RING_STEP)
    at = 0
    for out in np.flatnonzero(rise >= RING_STEP):
        back = inward[(inward > out) & (inward <= out + TALLEST / ROW)]
        if out < at or not back.size:
            continue
        first, last = _foot(rise, int(out), -1), _foot(-rise, int(back[0]), 1)
        # The step before `first` still ends on skin, and the one after `last` begins on it.
        bare = rows.height(first + REACH), max(rows.height(first + REACH), rows.height(last + 1))
        low, high = rows.edge_height(np.arange(first, back[0])), rows.edge_height(np.arange(back[0], last + 1))
        step, slope = _total(rows.rise[first : back[0]]), (float(lean[0]), float(lean[1]))
        found.append((first, last, Cuff(low, high, step, bare, slope)))
        at = last + 1
    return found


def _single_edges(
    rows: _Rows, single: tuple[float, float], rings: list[tuple[int, int, Cuff]]
) -> tuple[ClothEdge, ...]:
    """Steps outside the rings with a calm limb on both sides of them, as where it spreads into the trunk none has."""
    free = np.ones(len(rows.rise), bool)
    for first, last, _ in rings:
        free[first : last + 1] = False
    found = []
    for low, sign in zip(single, (1.0, -1.0), strict=True):
        rise = rows.rise * sign
        labels, count = label((rise > HINT * rows.louder) & free)
        for number in range(1, count + 1):
            run = np.flatnonzero(labels == number)
            peak, height = float(rise[run].max()), rows.edge_height(run)
            beside = np.r_[max(0, run[0] - REACH) : run[0], run[-1] + 1 : min(len(rise), run[-1] + 1 + REACH)]
            calm = len(beside) == 2 * REACH and np.all(rows.seen[beside] & (np.abs(rise[beside]) < peak / 2))
            if peak >= LONE_STEP * rows.louder and height > low and calm:
                found.append(ClothEdge(height, sign * _total(rise[run])))
    return tuple(sorted(found, key=lambda edge: edge.height))


def _foot(rise: Floats, row: int, way: int) -> int:
    """The last step from `row` on, up (1) or down (-1), that belongs to the same edge."""
    while 0 <= row + way < len(rise) and rise[row + way] >= 2 * NOISE:
        row += way
    return row


def _total(rise: Floats) -> float:
    """How much an edge rises in all: each of its rows is in REACH steps."""
    return float(np.maximum(rise, 0.0).sum() / REACH)
