"""What advice is made of: a change to a job, what a job asks of its leather, and the advice that comes of both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from flatten.findings import Message, message
from flatten.job.settings import Job
from flatten.report.model import Advised
from flatten.unwrap.model import FlatPanel

ONLY_JUST = 0.005
"""Log-ratio. Leather that follows by less than this only just follows: scan noise of 0.2 mm in place of 0.1 mm added
0.006 to what a piece needs from its least to its most stretched place, and a second girth of the tape adds more."""

LEAST_GAIN = 0.002
"""Log-ratio. A change that brings less is not advised: what a piece asks differs by 0.001 between a mesh of 8 mm and
one of 24 mm, so less than twice that is no finding."""


@dataclass(frozen=True)
class Asked:
    """What all panels of a job together ask of their leather.

    `excess` is the least log-excess over the limits in force (<= 0: within) that any map of the worst panel was found
    to have, `spread` what its least stretch can be apart from its greatest (a log-ratio). `stretch` and `squeeze` are
    the extremes of the pieces that are cut, over patches, lines and rims, shares, and `beyond` how far the worst of
    those goes beyond the limits, a log-ratio; `area` mm² is what they cover. `fits` goes by those, and no piece may
    overlap itself.
    """

    excess: float
    spread: float
    stretch: float
    squeeze: float
    beyond: float
    area: float
    overlaps: int
    fits: bool

    @property
    def clear(self) -> bool:
        """Whether the leather follows, and not only just."""
        return self.fits and self.excess <= -ONLY_JUST


@dataclass(frozen=True)
class Gain:
    """What a job asks of its leather before a change and after it."""

    before: Asked
    after: Asked

    @property
    def drop(self) -> float:
        """Log-ratio by which the excess over the limits falls: the room that is gained."""
        return self.before.excess - self.after.excess

    @property
    def brings_inside(self) -> bool:
        """Whether the pieces lie within the limits after it, and did not before."""
        return self.after.fits and not self.before.fits

    @property
    def worthwhile(self) -> bool:
        """Whether the change brings enough to be told."""
        mended = self.before.overlaps > 0 and self.after.overlaps == 0
        # Halves made equal may ask more of the leather than the panels do: what lets them fit brings enough.
        eased = self.before.excess <= 0.0 and self.brings_inside
        return mended or eased or (self.drop >= LEAST_GAIN and (self.before.overlaps > 0 or self.after.overlaps == 0))


@dataclass(frozen=True)
class Change:
    """One thing that a maker can change: what is told of it, what it does to a job, and the work it makes.

    `family` tells changes of one sort together ("bottom edge"). `darts` are the names of darts that it adds, which
    must not overlap when flat. `work` is in the points of `flatten.advice.changes`.
    """

    family: str
    messages: tuple[Message, ...]
    apply: Callable[[Job], Job]
    work: float
    darts: tuple[str, ...] = ()

    @property
    def sentence(self) -> Message:
        """What to do, in one sentence."""
        return message("advice.change", changes=self.messages)


Ladder = tuple[Change, ...]
"""Changes of one family, the smallest first."""


@dataclass(frozen=True, eq=False)
class Advice(Advised):
    """One piece of advice, confirmed by flattening the changed job and drawing its pieces.

    `gain.after` is what the pattern then asks, and `flats` are its panels of all limbs, as that was found by them.
    `first` goes before all others: what costs the limits is undone by it. `job` is the changed job. `cost` is in
    points: one for each per cent of cover that is given up, and those of the work.
    """

    job: Job
    gain: Gain
    flats: tuple[FlatPanel, ...]
    cost: float
    first: bool = False
