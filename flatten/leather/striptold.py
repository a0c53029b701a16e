"""What `calfskin leather` tells of strips: each figure with its spread, what to beware of, and lines for a job file."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from flatten.findings import Finding, Message, Place, finding, message
from flatten.leather.limits import CASED, FIGURES
from flatten.leather.model import Strip, StripTest
from flatten.leather.spread import CONFIDENCE, COVERED, Spread, outlier_of, spread_of
from flatten.leather.strips import DIRECTIONS, strip_limits
from flatten.units import ounces

READ_WITHIN = 0.5
"""mm. A line on leather is read from a ruler within half a millimetre."""

RESOLVED = READ_WITHIN * math.sqrt(2.0 / 3.0)
"""mm of standard deviation between two readings, each anywhere within READ_WITHIN."""

LEAST_STRESS = 0.6
"""N/mm². Half of what README's 10 kg put on a strip of 20 × 4 mm: below it a hand pulls harder than the weight did."""

EVEN_THICKNESS = 0.4
"""mm by which leather of one hide may be thicker in one place than in another. From memory: ±0.2 mm."""

USUAL_STRIPS = 3
"""Strips of each direction that the test is made with."""

_FIGURES: tuple[tuple[str, Callable[[Strip], float | None]], ...] = (
    ("wet", lambda strip: strip.wet),
    ("dry", lambda strip: strip.dry),
    ("kept", lambda strip: strip.kept),
    ("springback", lambda strip: strip.springback),
)
"""What is told of strips: what limits come from first."""

_STRETCHES = ("wet", "dry")
"""Figures whose weakest strip is a limit, so that a bound is told of them."""


def strip_lines(test: StripTest) -> list[Message]:
    """The strips as they were, each figure along and across the grain with its spread, and what that is worth."""
    told = [
        message(
            "strips.head",
            count=len(test.strips),
            width=test.width,
            thickness=test.thickness,
            ounces=ounces(test.thickness),
            load=test.load_kg,
            stress=test.stress,
        )
    ]
    gauge = math.fsum(strip.gauge for strip in test.strips) / len(test.strips)
    for what, figure in _FIGURES:
        for direction in DIRECTIONS:
            values = _values(test, figure, direction)
            if values:
                told.append(_spread(what, direction, spread_of(values, resolved=RESOLVED / gauge)))
    for what, readings in (("shrinkage", test.shrinkage), ("hardening", test.hardening), ("bent", test.bent)):
        for direction, reading in zip(DIRECTIONS, readings, strict=True):
            if reading is not None:
                told.append(
                    message(
                        "strips.shrank",
                        what=what,
                        way=direction,
                        mean=reading.mean,
                        least=reading.least,
                        greatest=reading.greatest,
                        strips=reading.strips,
                    )
                )
    return [*told, message("strips.read", within=READ_WITHIN, share=READ_WITHIN / gauge), message("strips.home")]


def _spread(what: str, direction: str, found: Spread) -> Message:
    limit = what in _STRETCHES
    return message(
        "strips.spread",
        what=what,
        way=direction,
        strips=found.count,
        mean=found.mean,
        least=found.least,
        greatest=found.greatest,
        deviation=found.deviation,
        limit=limit,
        bound=found.bound if limit else None,
        covered=COVERED,
        confidence=CONFIDENCE,
    )


def strip_findings(test: StripTest) -> list[Finding]:
    """What is to be looked at before limits are taken from strips; none is dropped for it."""
    found: list[Finding] = []
    for direction in DIRECTIONS:
        count = len(_values(test, lambda strip: strip.wet, direction))
        if count < USUAL_STRIPS:
            found.append(finding("strips.few", "look", way=direction, count=count, usual=USUAL_STRIPS))
    hides = tuple(dict.fromkeys(strip.hide for strip in test.strips if strip.hide))
    if len(hides) > 1:
        found.append(finding("strips.hides", "look", hides=hides))
    thin, thick = _range([strip.thickness for strip in test.strips])
    if thick - thin > EVEN_THICKNESS:
        found.append(finding("strips.thickness", "look", thin=thin, thick=thick))
    light, heavy = _range([strip.load_kg / (strip.width * strip.thickness) for strip in test.strips])
    if heavy > light * (1.0 + 1e-9):
        least, most = _range([strip.load_kg for strip in test.strips])
        found.append(finding("strips.loads", "look", least=least, most=most))
    if test.stress < LEAST_STRESS:
        found.append(
            finding(
                "strips.light",
                "look",
                load=test.load_kg,
                stress=test.stress,
                wanted=math.ceil(2.0 * LEAST_STRESS * test.width * test.thickness / 9.80665),
            )
        )
    for what, figure in _FIGURES:
        for direction in DIRECTIONS:
            strips = [s for s in test.strips if s.direction == direction and figure(s) is not None]
            values = _values(test, figure, direction)
            odd = outlier_of(values)
            # Strips that agree within a reading have no odd one: what is apart there is the ruler.
            if odd is not None and what in _STRETCHES and _apart(values) > READ_WITHIN / strips[odd].gauge:
                found.append(
                    finding(
                        "strips.odd",
                        "look",
                        place=Place(part=strips[odd].where),
                        what=what,
                        strip=strips[odd].where,
                        value=values[odd],
                        mean=math.fsum(values) / len(values),
                    )
                )
    return found


def job_lines(test: StripTest, file: str | None) -> str:
    """The lines of `[leather]` in a job file: `file` as its limits, or None: four figures, rounded down to a tenth of a
    per cent; squeeze is the preset's."""
    limits = strip_limits(test.wet, squeeze=CASED, source="strip test")
    figures = ", ".join(f'{name} = "{_down(getattr(limits, name)):.1f} %"' for name in FIGURES)
    stated = f'limits = "{file}"' if file is not None else f"limits = {{ {figures} }}"
    return f'[leather]\nthickness = "{test.thickness:.1f} mm"\n{stated}\n'


def _down(share: float) -> float:
    """A share in per cent, rounded down to a tenth; what rounding of a share itself took is given back first."""
    return math.floor(round(1000.0 * share, 6)) / 10.0


def _values(test: StripTest, figure: Callable[[Strip], float | None], direction: str) -> list[float]:
    read = (figure(strip) for strip in test.strips if strip.direction == direction)
    return [value for value in read if value is not None]


def _range(values: Sequence[float]) -> tuple[float, float]:
    return min(values), max(values)


def _apart(values: Sequence[float]) -> float:
    return max(values) - min(values)
