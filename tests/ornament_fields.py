"""Fields for ornament of known shape: boxes, trapeziums with a curved foot, smooth rounds, all with holes or not."""

import numpy as np
import shapely

from flatten.ornament.model import Field, Region


def field(shape: shapely.Geometry, *, even: bool = True, middle: float = 0.0) -> Field:
    _, low, _, high = shapely.bounds(shape)
    return Field("panel", Region.of(shape), np.array([[middle, low], [middle, high]]), even)


def box(width: float, height: float) -> Field:
    return field(shapely.box(-width / 2, 0.0, width / 2, height))


def shin(width: float = 360.0, height: float = 300.0, taper: float = 0.65, dip: float = 25.0) -> Field:
    """Wide above with a raised middle, narrow below with a foot that is arched."""
    across = np.linspace(-1.0, 1.0, 81)
    top = np.stack([across * width / 2, height * (0.8 + 0.2 * np.cos(across * np.pi / 2) ** 2)], axis=1)
    foot = np.stack([across * width / 2 * taper, dip * np.cos(across * np.pi / 2) ** 2], axis=1)
    return field(shapely.Polygon(np.vstack([foot, top[::-1]])))


def round_field(random: np.random.Generator, *, even: bool) -> Field:
    """A smooth outline r = R(1 + Σ aₖ cos(kφ) + bₖ sin(kφ)), φ from the centre line, concave where it comes so."""
    phi = np.linspace(0.0, 2 * np.pi, 721)[:-1]
    radius = np.full_like(phi, 1.0)
    for k in range(2, 5):
        radius += random.uniform(-0.22, 0.22) / k * np.cos(k * phi)
        radius += (0.0 if even else random.uniform(-0.22, 0.22) / k) * np.sin(k * phi)
    radius *= random.uniform(90.0, 180.0)
    wide = random.uniform(0.7, 1.4)
    shape = shapely.Polygon(np.stack([wide * radius * np.sin(phi), radius * np.cos(phi)], axis=1))
    return field(shape, even=even)


def pierced(whole: Field, random: np.random.Generator) -> Field:
    """The same with a few round holes, in pairs where it is even."""
    shape = whole.region.shape
    x0, y0, x1, y1 = shapely.bounds(shape)
    for _ in range(int(random.integers(1, 4))):
        x, y = random.uniform(x0, x1), random.uniform(y0, y1)
        size = random.uniform(3.0, 14.0)
        for side in (x, -x) if whole.even else (x,):
            shape = shapely.difference(shape, shapely.Point(side, y).buffer(size))
    largest = max(shapely.get_parts(shape).tolist(), key=lambda part: part.area)
    return Field(whole.piece, Region.of(largest), whole.centre, whole.even)


def any_field(seed: int) -> Field:
    random = np.random.default_rng(seed)
    kind = seed % 4
    if kind == 0:
        whole = box(random.uniform(120, 300), random.uniform(120, 300))
    elif kind == 1:
        whole = shin(*(random.uniform(*ends) for ends in ((240, 380), (200, 320), (0.55, 1.0), (0, 40))))
    else:
        whole = round_field(random, even=kind == 2)
    return pierced(whole, random) if (seed // 4) % 2 else whole


def double_points(lines: list[np.ndarray]) -> np.ndarray:
    """Where chords of closed polylines (n,2) cross, found one against the other: points (m,2) and angles (m,) rad."""
    starts = np.concatenate(lines)
    ends = np.concatenate([np.roll(line, -1, axis=0) for line in lines])
    segments = shapely.linestrings(np.stack([starts, ends], axis=1))
    one, other = shapely.STRtree(segments).query(segments, predicate="intersects")
    # Neighbours on a line share a corner.
    first = np.repeat(np.cumsum([0, *map(len, lines)])[:-1], [len(line) for line in lines])
    count = np.repeat([len(line) for line in lines], [len(line) for line in lines])
    step = np.mod(np.arange(len(starts)) - first + 1, count) + first
    apart = (one < other) & (step[one] != other) & (step[other] != one)
    one, other = one[apart], other[apart]
    met = shapely.intersection(segments[one], segments[other])
    ahead, aside = (ends - starts)[one], (ends - starts)[other]
    turn = np.abs(ahead[:, 0] * aside[:, 1] - ahead[:, 1] * aside[:, 0])
    angles = np.arctan2(turn, np.abs((ahead * aside).sum(axis=1)))
    return np.column_stack([shapely.get_coordinates(met).reshape(-1, 2), angles]).reshape(-1, 3)
