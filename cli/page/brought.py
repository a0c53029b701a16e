"""What was brought to the bench together: which scan, which job, which strip test, and what is not needed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import tomlkit

from cli.page.companions import ENDINGS, Companion, companions
from cli.page.edits import with_limits, with_scan
from cli.page.seen import (
    BroughtError,
    Item,
    Seen,
    SeenJob,
    SeenOther,
    SeenScan,
    SeenStrips,
    folded,
    seen_together,
    spread,
)
from cli.page.upload import SUFFIXES, shown_name
from flatten.job.settings import Job
from flatten.job.text import job_of
from flatten.leather.model import LeatherError
from flatten.leather.strips import STRIP_FILES, is_strip_file, read_strip_test

_MADE = "report.json"
"""Where this lies beside a job, the rest that lies there is what was made of it."""

_TELLING = (*SUFFIXES, ".toml")
"""Endings of what somebody means when they bring it: that it cannot be used is told, whatever else is there."""


@dataclass(frozen=True, eq=False)
class Strips:
    """A strip test: the name it goes by on the bench, and its readings as a TOML text."""

    name: str
    text: str


@dataclass(frozen=True, eq=False)
class Brought:
    """What is laid on the bench. With a `job` there is at most one scan, and the job names both it and the strips.

    `companions` are the other files that it names, each with its place in the job. `unneeded` are names of files that
    are not used, in the order in which they were brought.
    """

    scans: tuple[Item, ...]
    job: Job | None
    strips: Strips | None
    unneeded: tuple[str, ...]
    companions: tuple[tuple[Companion, Item], ...] = ()


def recognised(items: Sequence[Item]) -> Brought:
    """What the files that were brought together are. Their content decides, never their order.

    A glTF takes what it keeps in other files of the set into itself; a ZIP archive with a job or several things in it
    counts as a folder, and one with a scan alone as that scan. What systems leave in folders is passed over.

    Raises BroughtError where nothing can be used, or several things are there of which one must be meant; and the
    reader's own error (ScanError, JobError, LeatherError, UnpackError) where what is meant is broken.
    """
    own = spread(items)
    if not own:
        raise BroughtError("there is no file in what you brought; bring the scan itself, or the folder that holds it")
    seen, inside = seen_together(own)
    jobs = _shallowest([one for one in seen if isinstance(one, SeenJob)])
    if len(jobs) > 1:
        raise BroughtError(f"{_listed(jobs)} are {len(jobs)} job files; bring the one that you want to go on with")
    made = _made_beside(jobs[0].item, own) if jobs else set()
    job = job_of(jobs[0].table, name=jobs[0].item.name) if jobs else None
    beside = _companions_of(job, own) if job is not None else ()
    named = {item.path for _, item in beside}
    seen = [one for one in seen if one.item.path not in named]
    _check_others(seen, made)
    scans = [one for one in seen if isinstance(one, SeenScan)]
    strips = [one for one in seen if isinstance(one, SeenStrips)]
    if job is None:
        if len(strips) > 1:
            raise BroughtError(f"{_listed(strips)} are {len(strips)} strip tests; bring one of them")
        taken = _kept_strips(strips[0]) if strips else None
        return Brought(tuple(one.item for one in scans), None, taken, _unneeded(own, [*scans, *strips], inside))
    (found,) = jobs
    scan = _scan_of(job, found, [one for one in scans if one.item.path not in made or _is_called(one, job.scan.file)])
    if scan is not None:
        job = with_scan(job, file=scan.item.name)
    strip = _strips_of(job, strips)
    if strip is not None:
        kept = _kept_strips(strip)
        job = with_limits(job, kept.name)
    used = [one for one in (found, scan, strip) if one is not None]
    return Brought(
        (scan.item,) if scan else (),
        job,
        kept if strip is not None else None,
        _unneeded(own, used, made | inside | named),
        beside,
    )


def _companions_of(job: Job, items: Sequence[Item]) -> tuple[tuple[Companion, Item], ...]:
    """The files that came with a job and that it names beside its scan, each with its place in the job."""
    found = []
    for companion in companions(job):
        wanted = shown_name(companion.name).casefold() if companion.name else ""
        called = next((item for item in items if wanted and item.name.casefold() == wanted), None)
        if called is not None:
            found.append((companion, called))
    return tuple(found)


def _shallowest(jobs: list[SeenJob]) -> list[SeenJob]:
    """The jobs in the fewest folders: what was made of a job lies with its own job file in a folder further in."""
    depth = min((len(one.item.parts) for one in jobs), default=0)
    return [one for one in jobs if len(one.item.parts) == depth]


def _made_beside(job: Item, items: Sequence[Item]) -> set[str]:
    """Paths of all that lies with a job, where that is what was made of it."""
    folder = folded(job.parts[:-1])
    beside = [one for one in items if folded(one.parts[:-1]) == folder]
    return {one.path for one in beside} if any(one.parts[-1].casefold() == _MADE for one in beside) else set()


def _check_others(seen: list[Seen], made: set[str]) -> None:
    """Raise what is wrong with a file that is meant as a scan or a job; and where there is none, with what is there."""
    others = [one for one in seen if isinstance(one, SeenOther) and one.item.path not in made]
    telling = [one for one in others if one.item.name.lower().endswith(_TELLING)]
    usable = len(seen) > len([one for one in seen if isinstance(one, SeenOther)])
    if telling:
        raise telling[0].problem
    if usable:
        return
    drawn = [one for one in others if one.item.name.lower().endswith(ENDINGS["drawing"])]
    if drawn:
        raise BroughtError(
            f"{drawn[0].item.name} is a drawing; bring it where one is asked for: under Ornament as a motif, under the "
            "leather that it is cut on as a hide's outline"
        )
    if len(others) == 1:
        raise others[0].problem
    raise BroughtError(f"among {_listed(others)} is no scan, no job file and no strip test; bring one of these")


def _is_called(one: Seen, name: str) -> bool:
    return one.item.name.casefold() == shown_name(name).casefold()


def _scan_of(job: Job, found: SeenJob, scans: list[SeenScan]) -> SeenScan | None:
    """The scan that a job goes by: the one that it names, else the only one that came with it."""
    called = [one for one in scans if _is_called(one, job.scan.file)]
    near = [one for one in called if one.item.parts[:-1] == found.item.parts[:-1]]
    for those in (near, called, scans):
        if len(those) == 1:
            return those[0]
        if those:
            raise BroughtError(
                f"{found.item.name} goes by the scan {shown_name(job.scan.file)}, and {_listed(those)} came with it; "
                "bring only the one that is meant"
            )
    return None


def _strips_of(job: Job, strips: list[SeenStrips]) -> SeenStrips | None:
    """The strip test that a job goes by: the one that it names, else the only one that came; None without."""
    limits = job.leather.limits
    if not isinstance(limits, str) or not is_strip_file(limits):
        return None
    called = [one for one in strips if _is_called(one, limits)]
    for those in (called, strips):
        if len(those) == 1:
            return those[0]
        if those:
            raise BroughtError(
                f"the job goes by the strip test {shown_name(limits)}, and {_listed(those)} came with it; bring only "
                "the one that is meant"
            )
    return None


def _kept_strips(strips: SeenStrips) -> Strips:
    """A strip test as the bench keeps it. Raises LeatherError where its readings make no sense."""
    name = strips.item.name
    ending = next((ending for ending in STRIP_FILES if name.lower().endswith(ending)), "")
    stem = name[: len(name) - len(ending)]
    # The readings as they were written, remarks and all; a CSV has no remarks.
    text = tomlkit.dumps(strips.table) if strips.from_rows else strips.item.data.decode("utf-8-sig")
    with TemporaryDirectory() as folder:
        path = Path(folder) / "readings.toml"
        path.write_text(text, "utf-8")
        try:
            read_strip_test(path)
        except LeatherError as error:
            raise LeatherError(str(error).replace(path.name, name)) from None
    return Strips(f"{stem}.toml", text)


def _unneeded(items: Sequence[Item], used: Sequence[Seen], known: set[str]) -> tuple[str, ...]:
    """Names of the files that are neither used nor known by their paths."""
    paths = {one.item.path for one in used} | known
    return tuple(item.name for item in items if item.path not in paths)


def _listed(found: Sequence[Seen]) -> str:
    """Names one after another, the fourth and later ones counted."""
    names = [one.item.name for one in found[:3]]
    if len(found) > 3:
        return f"{', '.join(names)} and {len(found) - 3} more"
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
