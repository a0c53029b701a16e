"""What is known about a leather, and what a flat panel asks of it."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.errors import CalfskinError
from flatten.limb.kind import LimbKind
from flatten.mesh.surface import Floats, frozen
from flatten.unwrap.model import Limits

VERDICTS = ("dry", "cased", "hard", "not")
"""From easy to impossible: formed dry, formed cased (wet), hard work over a former, not to be expected."""


class LeatherError(CalfskinError, ValueError):
    """A figure about the leather makes no sense."""


class StretchError(CalfskinError, ArithmeticError):
    """A flat panel has no stretch: no faces, or a face without area or turned over."""


@dataclass(frozen=True)
class Reading:
    """The mean of one figure over the strips of one direction, and its range; shares of the first length."""

    mean: float
    least: float
    greatest: float
    strips: int


@dataclass(frozen=True)
class Strip:
    """One strip of the home stretch test: its figures as in StripTest, None where they were not read.

    `where` is what errors and warnings call it; `hide` names the hide that it is cut from, "" where nobody said.
    `load_kg` hung on its `width` × `thickness` mm, and the lines drawn on it were `gauge` mm apart when straightened.
    """

    where: str
    direction: str
    hide: str
    load_kg: float
    width: float
    thickness: float
    gauge: float
    dry: float | None
    wet: float
    kept: float | None
    springback: float | None


@dataclass(frozen=True)
class StripTest:
    """Results of the home stretch test, each along and across the grain; None where it was not read.

    `dry` and `wet` are stretches under the load, `kept` (the set) what is left after drying and unloading,
    `springback` the share of the stretch that went back, `shrinkage` what an unloaded wet strip loses in drying,
    `hardening` what a dry strip loses when it is hardened by heat and dry again, `bent` the share of its bend that
    comes back of a strip that dried round something.
    `load_kg` hung on a strip of `width` × `thickness` mm: the least load, and means, where `strips` differ.
    """

    load_kg: float
    width: float
    thickness: float
    dry: tuple[Reading | None, Reading | None]
    wet: tuple[Reading, Reading]
    kept: tuple[Reading | None, Reading | None]
    springback: tuple[Reading | None, Reading | None]
    shrinkage: tuple[Reading | None, Reading | None]
    hardening: tuple[Reading | None, Reading | None] = (None, None)
    strips: tuple[Strip, ...] = ()
    bent: tuple[Reading | None, Reading | None] = (None, None)

    @property
    def stress(self) -> float:
        """Tension in the strip, N/mm²."""
        return self.load_kg * 9.80665 / (self.width * self.thickness)


@dataclass(frozen=True)
class LeatherLimits:
    """What a leather takes dry, what it takes cased (wet), and which of the two the job is judged by.

    `test` is the strip test that the figures come from, None where they do not come from one. `hardening` is the share
    of its dry length that the leather loses when it is hardened by heat, along and across the grain; 0 where pieces
    are not cut larger for that.
    """

    dry: Limits
    cased: Limits
    in_force: Limits
    test: StripTest | None = None
    hardening: tuple[float, float] = (0.0, 0.0)

    @property
    def shrinkage(self) -> tuple[float, float]:
        """Share of its wet length that the leather loses in drying, along and across the grain; 0 where not read."""
        along, across = (None, None) if self.test is None else self.test.shrinkage
        return (0.0 if along is None else along.mean, 0.0 if across is None else across.mean)

    @property
    def lost(self) -> tuple[float, float]:
        """Share of its wet length that the leather loses until it is finished, dried and then hardened, along and
        across the grain."""
        along, across = (1.0 - (1.0 - d) * (1.0 - h) for d, h in zip(self.shrinkage, self.hardening, strict=True))
        return (along, across)


@dataclass(frozen=True, eq=False)
class Stretches:
    """Stretch (worn / flat) of F faces or patches: greatest and least of all directions, along and across the grain."""

    greatest: Floats
    least: Floats
    along: Floats
    across: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        for name in ("greatest", "least", "along", "across"):
            object.__setattr__(self, name, frozen(getattr(self, name)))


@dataclass(frozen=True)
class Spot:
    """A stretch and where it is: face of the panel, height mm, bearing radians, side and level of its region."""

    stretch: float
    face: int
    height: float
    bearing: float
    side: str
    level: str


@dataclass(frozen=True)
class Extremes:
    """Where lines of one sort grow most and least; `excess` is the largest log-excess of one over the limits in force.

    A line's place is its middle's.
    """

    most: Spot
    least: Spot
    excess: float


@dataclass(frozen=True)
class Region:
    """Patch figures of one region, such as the front's lower third: extremes, share of the flat area, and the verdict.

    `over_share` is the share of the region's own area that lies beyond the limits in force. The verdict is also that
    of the panel's worst lines and pieces of rim, where their middles lie in the region.
    """

    side: str
    level: str
    area: float
    area_share: float
    along_max: float
    along_min: float
    across_max: float
    across_min: float
    over_share: float
    verdict: str

    @property
    def name(self) -> str:
        """Side and level in one key, "front, lower"."""
        return f"{self.side}, {self.level}"


@dataclass(frozen=True, eq=False)
class StretchReport:
    """What one flat panel asks of its leather.

    `raw` is told per face, `patch` per patch (one about the centre of each face), `over` (F,) is each patch's
    log-excess over the limits in force (<= 0: within). `excess_patch` is the largest of `over`, `over_share` the share
    of the flat area beyond the limits. `largest` and `smallest` are the extreme patch stretches, `lines` those of
    straight lines of 20 mm (None where none lies on the leather), `rims` those of 20 mm of the rim. The verdict is
    one of VERDICTS; `fits` is what counts against the limits in force. Both go by the worst of the three, and so do
    `most`, `least` and `excess`: no patch, line or piece of rim asks for more.
    """

    panel: str
    kind: LimbKind
    limits: LeatherLimits
    raw: Stretches
    patch: Stretches
    over: Floats
    regions: tuple[Region, ...]
    largest: Spot
    smallest: Spot
    lines: Extremes | None
    rims: Extremes | None
    raw_max: float
    raw_min: float
    spread: float
    spread_patch: float
    over_share: float
    excess_patch: float
    fits: bool
    verdict: str

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "over", frozen(self.over))

    @property
    def most(self) -> Spot:
        """Where the leather must stretch most: what it "stretches up to"."""
        return max((self.largest, *(each.most for each in self._lines)), key=lambda spot: spot.stretch)

    @property
    def least(self) -> Spot:
        """Where the leather must be squeezed most."""
        return min((self.smallest, *(each.least for each in self._lines)), key=lambda spot: spot.stretch)

    @property
    def excess(self) -> float:
        """The largest log-excess over the limits in force (<= 0: within) of a patch, a line or a piece of rim."""
        return max([self.excess_patch, *(each.excess for each in self._lines)])

    @property
    def _lines(self) -> tuple[Extremes, ...]:
        return tuple(each for each in (self.lines, self.rims) if each is not None)


@dataclass(frozen=True)
class Bend:
    """The tightest bend of a worn panel round the limb.

    `radius` is the leather's inside radius there, mm; `strain` the grain side's bending strain t / (2R + t).
    """

    radius: float
    strain: float
    thickness: float
    height: float
    bearing: float
