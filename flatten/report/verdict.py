"""Whether pieces may be cut as they are: every stop of a job, the gravest first, and those that the maker settled."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from flatten.findings import Finding, Message, finding, gravest_first, message
from flatten.report.limbs import job_findings, job_troubles
from flatten.report.messages import headline
from flatten.report.model import JobReport, PanelReport
from flatten.report.sure import DOUBTS, KEYS, Sure, figure_of, settles


@dataclass(frozen=True)
class Stop:
    """A finding that stands against cutting, and whether the maker said that they are sure all the same.

    `side` is that of the limb it is about.
    """

    finding: Finding
    side: str
    settled: bool

    @property
    def key(self) -> str:
        """Its key in [sure], and its place in the order of gravity."""
        return DOUBTS[self.finding.code].key

    @property
    def figure(self) -> Sure | None:
        """What settles it where a maker is sure all the same; None where no figure does."""
        return figure_of(self.finding)


@dataclass(frozen=True)
class Verdict:
    """All stops of a job, the gravest first, and what is said in [sure] that settles none of them."""

    stops: tuple[Stop, ...]
    idle: tuple[Sure, ...] = ()

    @property
    def open(self) -> tuple[Stop, ...]:
        """The stops that nobody has settled."""
        return tuple(stop for stop in self.stops if not stop.settled)

    @property
    def settled(self) -> tuple[Stop, ...]:
        """The stops that the maker has settled knowingly."""
        return tuple(stop for stop in self.stops if stop.settled)

    @property
    def may_be_cut(self) -> bool:
        """Whether nothing stands against cutting."""
        return not self.open


def verdict_of(report: JobReport) -> Verdict:
    """The verdict on a finished job."""
    return verdict_on([*job_troubles(report), *job_findings(report)], sure=report.sure, side=report.limbs[0].limb.side)


def verdict_on(findings: Iterable[Finding], *, sure: Sequence[Sure], side: str) -> Verdict:
    """The verdict on findings, `sure` being what the maker has settled; `side` is that of the limb where a finding
    names none."""
    found = [each for each in findings if each.severity == "stop"]
    stops = []
    for each in sorted(found, key=_gravity):
        own = each.place.limb or side
        stops.append(Stop(each, own, any(settles(one, each, side=own) for one in sure)))
    used = {one for one in sure for stop in stops if settles(one, stop.finding, side=stop.side)}
    return Verdict(tuple(stops), tuple(one for one in sure if one not in used))


def _gravity(found: Finding) -> int:
    return list(KEYS).index(DOUBTS[found.code].key)


def heading(verdict: Verdict, panels: Sequence[PanelReport]) -> Message:
    """What stands over everything: that it is not to be cut, or else whether the leather takes the shape."""
    count = len(verdict.open)
    return message("verdict.stopped", count=count) if count else headline(panels)


def leather_beneath(verdict: Verdict, panels: Sequence[PanelReport]) -> list[Message]:
    """What is said of the leather under a heading that is about more: nothing where it is a stop itself."""
    fits = all(panel.stretch.fits for panel in panels)
    return [message("verdict.leather", said=headline(panels))] if verdict.open and fits else []


def sure_findings(verdict: Verdict) -> list[Finding]:
    """What is told of figures in [sure] that settle no stop: those of a stop whose figure is another by now first."""
    now = {stop.key: stop.figure for stop in reversed(verdict.open)}
    told = []
    for one in verdict.idle:
        own = now.get(one.key)
        if own is None:
            told.append(finding("sure.idle", "note", key=one.key, given=one.written))
        else:
            told.append(finding("sure.moved", "look", key=one.key, given=one.written, now=own.written))
    return list(gravest_first(told))


def sure_lines(verdict: Verdict) -> list[str]:
    """The lines of a job file that settle the open stops, as far as figures do, beneath those that hold; none where
    they would settle nothing.

    Stops of one key share a line; where a job has two limbs with stops, each line names both.
    """
    opened = [(stop.side, stop.figure) for stop in verdict.open if stop.figure is not None]
    if not opened:
        return []
    held = [(stop.side, stop.figure) for stop in verdict.settled if stop.figure is not None]
    lines = ["[sure]"]
    for key in KEYS:
        of_key = [(side, own.written) for side, own in (*held, *opened) if own.key == key]
        if not any(own.key == key for _, own in opened):
            continue
        sides = list(dict.fromkeys(side for side, _ in of_key))
        values = {side: list(dict.fromkeys(value for own, value in of_key if own == side)) for side in sides}
        if len(sides) == 1:
            lines.append(f"{key} = {_list(values[sides[0]])}")
        else:
            parts = ", ".join(f"{side} = {_list(values[side])}" for side in sides)
            lines.append(f"{key} = {{ {parts} }}")
    return lines


def _list(values: Sequence[str]) -> str:
    return values[0] if len(values) == 1 else f"[{', '.join(values)}]"
