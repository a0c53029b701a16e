"""Borders round a field, at one distance from its rim: waves and reeds that close evenly, corners included."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from scipy.interpolate import PchipInterpolator

from flatten.mesh.surface import Floats
from flatten.ornament.bands import carved
from flatten.ornament.crossings import crossings_of, lengths_along
from flatten.ornament.filling import LEAST_ANGLE
from flatten.ornament.model import Field, NoRoomError, OrnamentError, Region, Strand, Visit
from flatten.ornament.nearness import nearest_beside
from flatten.ornament.rail import Rail, rails
from flatten.ornament.trouble import TroubleError, told_place
from flatten.ornament.waves import middle, phases, reeds_at, wave
from flatten.ornament.weave import woven

_SPREAD = 2.8
"""Amplitude over the distance that bands are to keep, where it is not asked for: there is ground to press down between
crest and reed, as wide as a band."""

_SHARES = (1.0, 0.85)
"""Shares of the amplitude that are tried where it is not asked for: small fields bend too sharply for all of it."""

_BESIDE_REEDS = 1.4
"""Times that waves swing wider beside reeds: every crossing with one needs room of its own along the wave."""

_REACHES = (5.0, 5.7)
"""Pitch over amplitude where it is not asked for: waves then cross a reed in the middle at 51°, or at 48° where there
is no room inside bends for shorter ones."""

_GROUND = 0.3
"""Ground that is left between bands that do not cross, as a share of the distance where bands are broken: inside bends
repeats are shorter than elsewhere, and a third of it still takes a line."""

_NARROWER = tuple(count / 20.0 for count in range(19, 4, -1))
"""Shares of the width asked for that are tried, from the widest on, where it does not fit, to tell what would: a 20th
of a band is as little as anybody draws one narrower."""

_TURNS = (1.9, 1.4, 2.5)
"""Least radius of a rail over how far the border reaches to its side, tried in turn: repeats are then at
most 3.2, 6 and 2.3 times as long on the outside of a bend as on its inside, but a gentle rail cuts corners off."""

_CORNER = float(np.radians(35.0))
"""rad. What turns by more within a repeat is a corner, and the repeats are set to it."""

_CHORDS = 96
"""Chords of a repeat: one turns by less than 5° where a wave bends most."""

_SPARE = 0.05
"""mm. What a border lies further inside than half a band: strands are polylines, and a rail is let come 0.02 nearer."""


@dataclass(frozen=True)
class Border:
    """What is asked of a border: `strands`, straight `reeds` (0, 1 or 2) among them, in bands `width` mm wide, broken
    `apart` mm from what they pass under, half as far from others. Waves swing `amplitude` mm
    to each side, and a repeat is `pitch` mm long; both are chosen where they are 0."""

    strands: int = 3
    width: float = 4.0
    apart: float = 1.0
    amplitude: float = 0.0
    pitch: float = 0.0
    reeds: int = 0


@dataclass(frozen=True, eq=False)
class Bordered:
    """A border's closed `strands`; the `strip` of the field that it takes, with a band's width of
    ground to each side; its `repeats` on each rim, and how long the
    shortest and longest repeat is, mm along the middle."""

    strands: tuple[Strand, ...]
    strip: Region
    repeats: tuple[int, ...]
    pitches: tuple[float, float]


def border(field: Field, asked: Border) -> Bordered:
    """A border round each part of a field that has room for it, half a band's width inside the rim.

    A whole number of repeats goes round. In an even field the border is its own mirror image, and at corners it is its
    own mirror image as far as the corner is: a crest or a trough lies there. Repeats are of one length where there is
    no corner; between corners they differ by no more than is needed for whole halves.

    Raises OrnamentError where a number is not possible, where the field has no room, and where bands would lie on one
    another beside crossings.
    """
    waves = asked.strands - asked.reeds
    if asked.reeds not in (0, 1, 2) or waves < 2 or (asked.reeds == 2 and waves > 2):
        raise OrnamentError(
            f"a border has {asked.strands} strands, {asked.reeds} of them reeds; take no reed or one and two waves or "
            f"more, or two reeds and two waves"
        )
    if not (asked.width > 0.0 and min(asked.apart, asked.amplitude, asked.pitch) >= 0.0):
        raise OrnamentError(
            f"a border of bands {asked.width:g} mm wide, {asked.apart:g} mm apart, swings {asked.amplitude:g} mm in "
            f"repeats of {asked.pitch:g} mm; its width must be above 0 and the rest not below"
        )
    try:
        return _first(field, asked)
    except OrnamentError as lack:
        fits = _widest(field, asked)
        reason = TroubleError(lack.troubles[:1]) if isinstance(lack, TroubleError) else lack
        if not fits:
            raise OrnamentError(
                f"a border of {asked.strands} strands {asked.width:g} mm wide does not fit the field of {field.piece}: "
                f"{reason}"
            ) from lack
        raise NoRoomError(
            f"a border of {asked.strands} strands {asked.width:g} mm wide does not fit the field of {field.piece}: "
            f"{str(reason).rstrip('.')}. Bands {fits:.1f} mm wide fit.",
            width=fits,
        ) from lack


def _widest(field: Field, asked: Border) -> float:
    """The width, mm, of the widest bands that are tried and fit, 0 where none do."""
    for share in _NARROWER:
        narrower = replace(
            asked,
            width=np.floor(10.0 * share * asked.width) / 10.0,
            apart=share * asked.apart,
            amplitude=0.0,
            pitch=0.0,
        )
        try:
            _first(field, narrower)
        except OrnamentError:
            continue
        return narrower.width
    return 0.0


def _first(field: Field, asked: Border) -> Bordered:
    """The first border of those that are tried that fits."""
    waves = asked.strands - asked.reeds
    phase = phases(waves, reeds=asked.reeds)
    amplitude = asked.amplitude or _SPREAD * (asked.width + asked.apart) * max(waves, 3) / 3.0
    if asked.reeds and not asked.amplitude:
        amplitude *= _BESIDE_REEDS
    refused: OrnamentError | None = None
    shares = (1.0,) if asked.amplitude else _SHARES
    found: dict[tuple[float, float], tuple[Rail, ...] | OrnamentError] = {}
    for share, reach, turn in product(shares, (1.0,) if asked.pitch else _REACHES, _TURNS):
        swing = share * amplitude
        if (share, turn) not in found:
            found[share, turn] = _rails(field, swing + asked.width / 2.0, turn)
        along = found[share, turn]
        try:
            if isinstance(along, OrnamentError):
                raise along
            return _bordered(field, asked, along, phase, swing, asked.pitch or reach * swing)
        except OrnamentError as error:
            refused = refused or error
    raise refused or OrnamentError()


def _rails(field: Field, side: float, turn: float) -> tuple[Rail, ...] | OrnamentError:
    """The rails for a border that reaches `side` mm to its sides, or why there are none: to seek them takes longest."""
    try:
        return rails(field, side + _SPARE, radius=turn * side)
    except OrnamentError as error:
        return error


def _bordered(
    field: Field, asked: Border, along: tuple[Rail, ...], phase: Floats, amplitude: float, pitch: float
) -> Bordered:
    side = amplitude + asked.width / 2.0
    strands: list[Strand] = []
    strips, repeats, pitches = [], [], []
    for rail in along:
        ends, halves = _stretches(rail, pitch)
        told = _told(rail, ends, halves)
        strands += _strands(rail, told, phase, amplitude, int(halves.sum()), asked)
        lengths = np.diff(ends) / halves * 2.0
        pitches += [float(lengths.min()), float(lengths.max())]
        repeats.append(int(halves.sum()) // 2)
        # With a band's width of ground, so that what is drawn within does not run into it.
        strips.append(shapely.buffer(shapely.LinearRing(rail.knots), side + asked.width))
    _check(strands, asked, field)
    carved(woven(strands, field=field.region), width=asked.width, apart=asked.apart, field=field.region)
    strip = Region.of(shapely.intersection(shapely.union_all(strips), field.region.shape))
    return Bordered(tuple(strands), strip, tuple(repeats), (min(pitches), max(pitches)))


def _stretches(rail: Rail, pitch: float) -> tuple[Floats, Floats]:
    """Where along the rail half a repeat begins of necessity (m+1,) mm, from one such place once round, and how many
    halves (m,) lie between each two; they are an even number together."""
    places = _corners(rail, pitch)
    if rail.even:
        half = rail.length / 2.0
        inner = places[(places > 0.4 * pitch) & (places < half - 0.4 * pitch)]
        down = np.concatenate([[0.0], inner, [half]])
        halves = _halves(np.diff(down), pitch)
        return np.concatenate([down, rail.length - down[-2::-1]]), np.concatenate([halves, halves[::-1]])
    if not len(places):
        places = np.zeros(1)
    ends = np.append(places, places[0] + rail.length)
    sizes = np.diff(ends)
    halves = _halves(sizes, pitch)
    if int(halves.sum()) % 2:
        # One half more where it changes the repeats least.
        halves[np.abs(np.log(sizes / (halves + 1.0) / (pitch / 2.0))).argmin()] += 1.0
    return ends, halves


def _halves(sizes: Floats, pitch: float) -> Floats:
    return np.maximum(np.round(sizes / (pitch / 2.0)), 1.0)


def _corners(rail: Rail, pitch: float) -> Floats:
    """Arc lengths (m,) where the rail turns most, within half a repeat, and by a corner's angle at least."""
    steps = np.linspace(0.0, rail.length, 4 * int(rail.length), endpoint=False)
    step = steps[1]
    bend = rail.bend(steps) * step
    reach = max(int(pitch / 4.0 / step), 1)
    sums = np.concatenate([[0.0], np.cumsum(np.concatenate([bend[-reach:], bend, bend[:reach]]))])
    turned = sums[2 * reach + 1 :] - sums[: -2 * reach - 1]
    highest = np.max([np.roll(turned, shift) for shift in range(-reach, reach + 1)], axis=0)
    at = steps[(turned == highest) & (turned > _CORNER)]
    return at[np.diff(at, prepend=-np.inf) > 0.4 * pitch]


def _told(rail: Rail, ends: Floats, halves: Floats) -> PchipInterpolator:
    """Arc length of the parameter in halves of a repeat, growing, smooth, over three rounds about the first place."""
    counts = np.concatenate([[0.0], np.cumsum(halves)])
    total = counts[-1]
    at = np.concatenate([counts[:-1] - total, counts[:-1], counts + total])
    where = np.concatenate([ends[:-1] - rail.length, ends[:-1], ends + rail.length])
    return PchipInterpolator(at, where)


def _strands(
    rail: Rail, told: PchipInterpolator, phase: Floats, amplitude: float, halves: int, asked: Border
) -> list[Strand]:
    start = middle(phase)
    # Even about every half repeat; no corner lies where a wave crosses the reed, as chords are 96 a repeat.
    at = np.asarray((np.arange(halves * _CHORDS // 2) + 0.5) * (2.0 * np.pi / _CHORDS), np.float64)
    lines = [wave(at, float(each) + start, pitch=2.0, amplitude=amplitude) for each in phase]
    lines += [np.stack([at / np.pi, np.full_like(at, aside)], axis=1) for aside in reeds_at(asked.reeds, amplitude)]
    laid = []
    for line in lines:
        along = told(line[:, 0])
        laid.append(Strand(rail.at(along) - line[:, 1:] * rail.inward(along), closed=True))
    return laid


def _check(strands: list[Strand], asked: Border, field: Field) -> None:
    """Raises OrnamentError where strands cross too flatly or come too near to each other beside crossings."""
    found = crossings_of(strands)
    angle = np.array([_angle(strands, each.first, each.second) for each in found.crossings])
    places = np.array([(each.x, each.y) for each in found.crossings]).reshape(-1, 2)
    wanted = asked.width + _GROUND * asked.apart
    if angle.min() < LEAST_ANGLE:
        x, y = places[angle.argmin()]
        raise OrnamentError(
            f"the border of {field.piece} crosses itself at {np.floor(np.degrees(angle.min())):.0f}° "
            f"{told_place(x, y)}; below {np.degrees(LEAST_ANGLE):.0f}° no leather stays between edges: take a shorter "
            f"pitch, or a greater amplitude"
        )
    near = nearest_beside([strand.points for strand in strands], places, wanted, angle)
    if near is not None:
        distance, (x, y) = near
        raise OrnamentError(
            f"middle lines of the border of {field.piece} come within {distance:.1f} mm of each other beside crossings "
            f"{told_place(x, y)}, and {wanted:.1f} mm are wanted: take narrower bands, fewer strands, or a greater "
            f"amplitude"
        )


def _angle(strands: list[Strand], first: Visit, second: Visit) -> float:
    """The angle, rad, at which two chords cross."""
    ways = []
    for visit in (first, second):
        points = strands[visit.strand].points
        start = int(np.searchsorted(lengths_along(strands[visit.strand]), visit.along, side="right")) - 1
        ways.append(points[(start + 1) % len(points)] - points[start % len(points)])
    one, other = ways
    return float(np.arctan2(abs(one[0] * other[1] - one[1] * other[0]), abs(one @ other)))
