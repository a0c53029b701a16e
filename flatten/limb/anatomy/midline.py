"""A limb's curved middle line from the points of its scan alone, with the sections across it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.ndimage import binary_dilation, gaussian_filter1d
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import connected_components, dijkstra
from scipy.spatial import cKDTree

from flatten.limb.anatomy.ends import body_is_first, open_ends
from flatten.limb.model import LimbError
from flatten.mesh.surface import Floats, Ints, frozen

STEP = 4.0
"""mm between the places of the line: sections of that length hold five points in each sector."""

SECTORS = 36
"""Directions in which a section's radius is taken: 10°, an arc of 5 to 15 mm."""

GRAPH = 6000
"""Points that the first line is found by: neighbours are 5 mm apart on a leg, enough to follow it."""

NEIGHBOURS = 8
"""Neighbours that a point of the graph has an edge to."""

BAND = 12.0
"""mm. Length of the bands whose means are the first line: two to three spacings of the graph."""

JOINED = 3.5
"""Spacings within which points of a band belong together. By a count of neighbours pieces fell apart whose means lay
40 mm off the middle."""

FIRST_SMOOTHING = 35.0
"""mm, standard deviation: with 18 from the start the line folds up at heel and flap."""

SMOOTHINGS = (40.0, 30.0, 22.0, 18.0, 18.0)
"""mm, standard deviations of the rounds' smoothing: as sections get square to the line, it may bend more."""

LONGER = 30.0
"""mm by which a round makes the line longer at both ends, as far as sections there are seen."""

PART_SEEN = 0.55
"""Share of its sectors by which a section belongs to the limb: more than half is a middle."""

GAP = 60.0
"""mm. Sections less seen are bridged over this length: the largest holes of phone scans."""

WELL_SEEN = 0.95
"""Share of its sectors by which a section is whole."""

SIDED = 0.8
"""Median share of its sections below which a limb was scanned from one side: then sections of which more than half is
seen are all that there is."""

BY_CHANCE = 4.0
"""Points that a sector holds with those beside it along the line before it counts as empty: of points that lie anyhow
one such sector in fifty has none (e to the -4). Scans of a few thousand points need some sections more for that."""

RAGGED = 14.0
"""mm from the last whole section to where the line is trusted: the ragged ends bent it more than an elbow does."""

FEWEST = 12
"""Places that a line has at least: 48 mm, of which nothing less can be told."""


@dataclass(frozen=True, eq=False)
class Midline:
    """A line through the middles of a limb's sections, K places STEP mm apart, towards the body.

    `along` (K,) mm from its first place; `places` (K,3) mm; `directions` (K,3), units towards the body; `rows` and
    `columns` (K,3), units that span the sections and turn no more than the line does (parallel transport). `radii`
    (K,SECTORS) mm of the section's outline from the place, sector i at angle 2πi/SECTORS from row to column; what is
    not seen is bridged. `girths` (K,) mm are those of a tape, round the outline's convex hull, `seen` (K,) the share of
    sectors that hold points. `trusted` is the stretch of `along` away from ragged ends. `opened` tells of both ends
    whether the scan is cut open there.
    """

    along: Floats
    places: Floats
    directions: Floats
    rows: Floats
    columns: Floats
    radii: Floats
    girths: Floats
    seen: Floats
    trusted: tuple[float, float]
    opened: tuple[bool, bool]

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("along", "places", "directions", "rows", "columns", "radii", "girths", "seen"):
            object.__setattr__(self, name, frozen(getattr(self, name)))

    @property
    def mean_radii(self) -> Floats:
        """The radius (K,) mm of the circle that is as long as the girth."""
        return np.asarray(self.girths / (2 * np.pi))

    def within(self, low: float, high: float) -> Ints:
        """Numbers of the places of the trusted stretch from `low` to `high` along the line."""
        low, high = max(low, self.trusted[0]), min(high, self.trusted[1])
        return np.flatnonzero((self.along >= low) & (self.along <= high))

    def place(self, along: float) -> Floats:
        """The line's place (3,) mm at `along`, which is clipped to the line."""
        return np.array([np.interp(along, self.along, column) for column in self.places.T])

    def direction(self, low: float, high: float | None = None) -> Floats:
        """The unit vector (3,) towards the body at `low`, or the mean one from `low` to `high`.

        The mean is that of the least-squares line through the places between.
        """
        if high is not None:
            among = self.places[(self.along >= low) & (self.along <= high)]
            if len(among) > 2:
                away = np.arange(len(among)) - (len(among) - 1) / 2
                chord = away @ among
                return np.asarray(chord / np.linalg.norm(chord))
            low = (low + high) / 2
        way = np.array([np.interp(low, self.along, column) for column in self.directions.T])
        return np.asarray(way / np.linalg.norm(way))

    def girth(self, along: float) -> float:
        """The tape's girth at `along`, mm."""
        return float(np.interp(along, self.along, self.girths))

    def radius(self, along: float) -> float:
        """The radius of the circle as long as the girth at `along`, mm."""
        return self.girth(along) / (2 * np.pi)

    def outlines(self) -> Floats:
        """The outlines (K,SECTORS,3) mm of all sections."""
        cosines, sines = _sector_axes()
        across = self.rows[:, None] * cosines[:, None] + self.columns[:, None] * sines[:, None]
        return np.asarray(self.places[:, None] + self.radii[..., None] * across)

    def reach(self, towards: Floats) -> Floats:
        """How far (K,) mm each section's outline lies from its place towards a vector (3,), seen along the line.

        It is the outline's radius in the direction of the vector's part in the section, over a sector to each side.
        """
        angle = np.arctan2(self.columns @ towards, self.rows @ towards) * SECTORS / (2 * np.pi)
        first = np.floor(angle).astype(int)
        part = angle - first
        ring = (self.radii + np.roll(self.radii, 1, axis=1) + np.roll(self.radii, -1, axis=1)) / 3
        at = np.arange(len(ring))
        return np.asarray(ring[at, first % SECTORS] * (1 - part) + ring[at, (first + 1) % SECTORS] * part)

    def nearest(self, points: Floats) -> Floats:
        """Where (N,) along the line its nearest place to each of some points (N,3) lies, mm."""
        at = np.asarray(cKDTree(self.places).query(points)[1])
        ahead = np.einsum("ij,ij->i", points - self.places[at], self.directions[at])
        return np.asarray(np.clip(self.along[at] + np.clip(ahead, -STEP, STEP), 0.0, self.along[-1]))


def midline_of(points: Floats) -> Midline:
    """The middle line of one limb through points (N,3) mm, evenly dense over its skin.

    The body's end is the thicker one; where both are alike it is the one where the scan is open. Raises LimbError
    where no line of FEWEST places can be followed.
    """
    line = _first_line(points)
    for smoothing in SMOOTHINGS:
        line = _even(_longer(line))
        sections = _Sections.of(points, line)
        line = _even(_smooth(sections.centroids()[sections.longest_run()], smoothing))
    line = _even(_longer(line))
    run = _Sections.of(points, line).longest_run()
    line = line[run]
    radii = _Sections.of(points, line).mean_radii()
    opened = open_ends(points, line, radius=float(np.median(radii)))
    if body_is_first(opened, radii=radii):
        line, opened = line[::-1], opened[::-1]
    sections = _Sections.of(points, line)
    along = _lengths(line)
    share = PART_SEEN if float(np.median(sections.seen)) < SIDED else WELL_SEEN
    whole = np.flatnonzero(sections.seen >= share)
    trusted = (float(along[whole[0]] + RAGGED), float(along[whole[-1]] - RAGGED)) if len(whole) else (0.0, 0.0)
    if trusted[1] - trusted[0] < FEWEST * STEP:
        raise LimbError(
            f"only {max(trusted[1] - trusted[0], 0.0):.0f} mm of the scan show a limb from all round, "
            f"{FEWEST * STEP:.0f} are needed; check the scan's unit, and scan the limb from all sides"
        )
    return Midline(
        along=along,
        places=line,
        directions=sections.directions,
        rows=sections.rows,
        columns=sections.columns,
        radii=sections.radii,
        girths=_tape_girths(sections.radii),
        seen=sections.seen,
        trusted=trusted,
        opened=opened,
    )


def _first_line(points: Floats) -> Floats:
    """A coarse line (B,3) through the means of bands between the two ends that are farthest apart over the skin."""
    few = points[:: max(1, len(points) // GRAPH)]
    tree = cKDTree(few)
    steps, others = (np.asarray(part) for part in tree.query(few, k=NEIGHBOURS + 1))
    rows = np.repeat(np.arange(len(few)), NEIGHBOURS)
    edges = csr_array(coo_array((steps[:, 1:].ravel(), (rows, others[:, 1:].ravel())), shape=(len(few),) * 2))
    edges = csr_array(edges.maximum(edges.T))
    label = connected_components(edges, directed=False)[1]
    main = np.flatnonzero(label == np.argmax(np.bincount(label)))
    edges, few = csr_array(edges[main][:, main]), few[main]
    start = int(np.argmax(_ways(edges, 0)))
    from_start = _ways(edges, start)
    field = (from_start - _ways(edges, int(np.argmax(from_start)))) / 2
    spacing = float(np.median(steps[:, 1:4]))
    band = np.floor((field - field.min()) / BAND).astype(int)
    means = _band_means(few, band, JOINED * spacing)
    if len(means) < 4:
        raise LimbError(
            f"the scan's points reach over {len(means) * BAND:.0f} mm only, too little to follow a limb; "
            "check the scan's unit"
        )
    padded = np.concatenate([means[[0, 0]], means, means[[-1, -1]]])
    middle = np.median(np.stack([padded[i : i + len(means)] for i in range(5)]), axis=0)
    # The median of five leaves the ends where they were; a mean over what there is brings them in line.
    return _even(_smooth(_even(middle), FIRST_SMOOTHING))


def _ways(edges: csr_array, start: int) -> Floats:
    return np.asarray(dijkstra(edges, directed=False, indices=np.array(start)), dtype=np.float64)


def _band_means(points: Floats, band: Ints, joined: float) -> Floats:
    """The mean (B,3) of each band's largest piece; points belong together within `joined` mm."""
    pairs = cKDTree(points).query_pairs(joined, output_type="ndarray")
    pairs = pairs[band[pairs[:, 0]] == band[pairs[:, 1]]]
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(points),) * 2)
    label = connected_components(graph, directed=False)[1]
    sizes = np.bincount(label)
    band_of = np.zeros(len(sizes), int)
    band_of[label] = band
    order = np.lexsort((sizes, band_of))
    last = np.flatnonzero(np.append(np.diff(band_of[order]) > 0, True))
    means = np.stack([np.bincount(label, points[:, axis]) / sizes for axis in range(3)], axis=1)
    return np.asarray(means[order[last]])


def _lengths(line: Floats) -> Floats:
    return np.concatenate([[0.0], np.cumsum(np.linalg.norm(np.diff(line, axis=0), axis=1))])


def _even(line: Floats) -> Floats:
    """The line (K,3) in even steps of about STEP mm."""
    along = _lengths(line)
    count = max(2, round(along[-1] / STEP) + 1)
    at = np.linspace(0.0, along[-1], count)
    return np.stack([np.interp(at, along, column) for column in line.T], axis=1)


def _smooth(line: Floats, smoothing: float) -> Floats:
    """The line smoothed by a standard deviation in mm; about its ends it is mirrored, so that they stay straight."""
    wide = min(len(line) - 1, int(3 * smoothing / STEP))
    before, after = 2 * line[0] - line[wide:0:-1], 2 * line[-1] - line[-2 : -wide - 2 : -1]
    return np.asarray(
        gaussian_filter1d(np.concatenate([before, line, after]), smoothing / STEP, axis=0)[wide : wide + len(line)]
    )


def _longer(line: Floats) -> Floats:
    """The line lengthened by LONGER at both ends, in the direction of its last places."""
    few = min(len(line) - 1, int(LONGER / STEP))
    ends = []
    for tip, inner in ((line[0], line[few]), (line[-1], line[-1 - few])):
        way = (tip - inner) / np.linalg.norm(tip - inner)
        ends.append(tip + np.arange(1, int(LONGER / STEP) + 1)[:, None] * STEP * way)
    return np.concatenate([ends[0][::-1], line, ends[1]])


def _sector_axes() -> tuple[Floats, Floats]:
    angles = 2 * np.pi * np.arange(SECTORS) / SECTORS
    return np.cos(angles), np.sin(angles)


def _tape_girths(radii: Floats) -> Floats:
    """Girths (K,) of the convex hulls of outlines (K,SECTORS): the integral of the support function (Cauchy)."""
    lags = 2 * np.pi * np.arange(SECTORS) / SECTORS
    support = np.max(np.stack([np.roll(radii, lag, axis=1) * np.cos(lags[lag]) for lag in range(SECTORS)]), axis=0)
    return np.asarray(support.sum(axis=1) * 2 * np.pi / SECTORS)


def _areas(radii: Floats) -> Floats:
    return np.asarray((radii * np.roll(radii, -1, axis=1)).sum(axis=1) * np.sin(2 * np.pi / SECTORS) / 2)


@dataclass(frozen=True, eq=False)
class _Sections:
    """What points show about the places of a line: outlines in SECTORS, and the share of them that is seen."""

    line: Floats
    directions: Floats
    rows: Floats
    columns: Floats
    radii: Floats
    seen: Floats

    @staticmethod
    def of(points: Floats, line: Floats) -> _Sections:
        """Each point goes to the *nearest* place, so that sections fan out at a bend and never cross."""
        directions = np.gradient(line, axis=0)
        directions /= np.linalg.norm(directions, axis=1)[:, None]
        rows = _transported(directions)
        columns = np.cross(directions, rows)
        at = np.asarray(cKDTree(line).query(points)[1])
        away = points - line[at]
        ahead = np.einsum("ij,ij->i", away, directions[at])
        beyond = ((at == 0) & (ahead < -STEP / 2)) | ((at == len(line) - 1) & (ahead > STEP / 2))
        at, away = at[~beyond], away[~beyond]
        x, y = np.einsum("ij,ij->i", away, rows[at]), np.einsum("ij,ij->i", away, columns[at])
        sector = np.round(np.arctan2(y, x) * SECTORS / (2 * np.pi)).astype(int) % SECTORS
        cells = at * SECTORS + sector
        radii, held = _medians(np.hypot(x, y), cells, len(line) * SECTORS)
        held = held.reshape(len(line), SECTORS)
        # A sector that holds no point by chance is seen where those of the places beside it do.
        beside = _beside(np.bincount(at, minlength=len(line)))
        near = binary_dilation(held, np.ones((2 * beside + 1, 1), bool))
        return _Sections(line, directions, rows, columns, _bridged(radii.reshape(held.shape), held), near.mean(axis=1))

    def mean_radii(self) -> Floats:
        return np.asarray(np.sqrt(_areas(self.radii) / np.pi))

    def centroids(self) -> Floats:
        """The area centroids (K,3) of the outlines."""
        cosines, sines = _sector_axes()
        third = self.radii**3 / 3
        area = (self.radii**2).sum(axis=1) / 2
        x, y = (third @ cosines) / area, (third @ sines) / area
        return np.asarray(self.line + x[:, None] * self.rows + y[:, None] * self.columns)

    def longest_run(self) -> Ints:
        """Numbers of the places of the longest run of sections that are seen, holes bridged."""
        seen = np.flatnonzero(self.seen > PART_SEEN)
        if len(seen) < 2:
            raise LimbError(
                f"only {len(seen)} sections of {STEP:.0f} mm show most of a limb's outline; "
                "check the scan's unit, and scan the limb from all sides"
            )
        runs = np.split(seen, np.flatnonzero(np.diff(seen) > GAP / STEP) + 1)
        best = max(runs, key=lambda run: run[-1] - run[0])
        if best[-1] - best[0] < FEWEST:
            raise LimbError(
                f"a limb can be followed over {(best[-1] - best[0]) * STEP:.0f} mm only, {FEWEST * STEP:.0f} are "
                "needed; check the scan's unit, and scan the limb from all sides"
            )
        return np.arange(best[0], best[-1] + 1)


def _beside(points: Ints) -> int:
    """To how many places on each side of one a sector is seen from, where sections hold so many points (K,)."""
    held = points[points > 0]
    a_sector = float(np.median(held)) / SECTORS if held.size else 1.0
    return max(1, int(np.ceil((BY_CHANCE / a_sector - 1) / 2)))


def _transported(directions: Floats) -> Floats:
    """Units (K,3) square to directions (K,3), each the one before turned only as the line turns."""
    rows = np.empty_like(directions)
    row = np.eye(3)[np.argmin(np.abs(directions[0]))]
    for at, direction in enumerate(directions):
        row = row - (row @ direction) * direction
        row = row / np.linalg.norm(row)
        rows[at] = row
    return rows


def _medians(values: Floats, cells: Ints, count: int) -> tuple[Floats, np.ndarray]:
    """The median (count,) of the values in each cell, and whether it holds any."""
    order = np.lexsort((values, cells))
    sizes = np.bincount(cells, minlength=count)
    starts = np.cumsum(sizes) - sizes
    held = sizes > 0
    ordered = np.append(values[order], 0.0)
    low, high = starts + np.maximum(sizes - 1, 0) // 2, starts + sizes // 2
    return np.where(held, (ordered[np.minimum(low, len(values))] + ordered[np.minimum(high, len(values))]) / 2, 0), held


def _bridged(radii: Floats, held: np.ndarray) -> Floats:
    """The radii (K,SECTORS) with those that are not held between the nearest that are, round the section."""
    filled = radii.copy()
    around = np.arange(SECTORS)
    for at in np.flatnonzero(~held.all(axis=1) & held.any(axis=1)):
        known = np.flatnonzero(held[at])
        filled[at] = np.interp(around, known, radii[at, known], period=SECTORS)
    if not held.any(axis=1).all():
        full = np.flatnonzero(held.any(axis=1))
        empty = np.flatnonzero(~held.any(axis=1))
        nearest = full[np.argmin(np.abs(empty[:, None] - full), axis=1)]
        filled[empty] = filled[nearest]
    return filled
