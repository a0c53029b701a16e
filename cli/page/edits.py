"""What a maker does on the bench, as a change of the job: another job, in which all else stays as it was."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from cli.page.follow import beside, beside_again, follow
from cli.page.refusals import OrderError, ordered
from cli.page.seam import reaching
from flatten.errors import CalfskinError
from flatten.job.bearings import bearing_of
from flatten.job.closings import SeamSettings
from flatten.job.resolve import edges_of
from flatten.job.settings import Job
from flatten.job.sure import sure_table
from flatten.limb.kind import QUARTERS, Quarter, quarter_bearing
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.report.sure import Sure

Changes = Iterable[tuple[list[str | int], Any]]
"""Values by their paths in the job file: (["seam", 0, "gap"], "30 mm")."""


class EditError(CalfskinError, ValueError):
    """A change cannot be made to the job as it is."""


def with_values(job: Job, changes: Changes) -> Job:
    """The job with values set, and what they leave no sense put back to what is usual.

    Raises OrderError where a path leads nowhere or a value makes no sense.
    """
    table = job.model_dump(mode="json")
    for path, value in changes:
        if _set_in(table, path, value) != value:
            follow(table, path)
    return beside_again(ordered(table), job)


def with_scan(job: Job, *, file: str) -> Job:
    """The same job for a scan of another name."""
    return job.model_copy(update={"scan": job.scan.model_copy(update={"file": file})})


def with_limits(job: Job, name: str) -> Job:
    """The job with its limits from the strip test of this name."""
    return job.model_copy(update={"leather": job.leather.model_copy(update={"limits": name})})


def with_sure(job: Job, sure: Iterable[Sure]) -> Job:
    """The job with what the maker is sure of, figures as a job file has them."""
    table = {**job.model_dump(mode="json"), "sure": sure_table(sure)}
    return ordered(table)


def with_seams_reaching(job: Job, limb: Limb, skin: LimbSurface) -> Job:
    """The job with every drawn seam run on past the edges. Raises SeamError where one climbs too little."""
    if not any(isinstance(seam.along, tuple) for seam in job.seam):
        return job
    bottom, top = edges_of(job, limb, trusted=skin.trusted)
    seams = tuple(
        seam.model_copy(update={"along": reaching(seam.along, bottom=bottom, top=top)})
        if isinstance(seam.along, tuple)
        else seam
        for seam in job.seam
    )
    return job.model_copy(update={"seam": seams})


def seam_added(job: Job, *, fits: Callable[[Job], bool] = lambda job: True) -> Job:
    """The job with one more seam, as its first one is, at the quarter of the limb that is farthest from all seams.

    Where it does not fit there, as beside a dart, at the next quarter where it does.
    """
    there = np.radians([bearing_of(seam.along) for seam in job.seam])

    def apart(quarter: Quarter) -> float:
        return float(np.arccos(np.cos(quarter_bearing(quarter) - there).max()))

    # Rounded, so that of two quarters equally far the first is taken on every machine.
    tried = [_with_seam_along(job, along) for along in sorted(QUARTERS, key=lambda one: -round(apart(one), 6))]
    return next((one for one in tried if fits(one)), tried[0])


def _with_seam_along(job: Job, along: Quarter) -> Job:
    names = {seam.name for seam in job.seam} | {dart.name for dart in job.dart}
    numbered = (f"{along} {number}" for number in range(2, len(names) + 3))
    name = next(name for name in (along, *numbered) if name not in names)
    return _with_seams(job, (*job.seam, beside(job.seam[0].model_copy(update={"name": name, "along": along}))))


def seam_removed(job: Job, number: int) -> Job:
    """The job without a seam, counted from 0. Raises EditError where it is the last one, or none."""
    if not 0 <= number < len(job.seam):
        raise EditError(f"there is no seam {number + 1}")
    if len(job.seam) == 1:
        raise EditError("one seam must stay: a closed tube cannot be laid flat")
    return _with_seams(job, (*job.seam[:number], *job.seam[number + 1 :]))


def _with_seams(job: Job, seams: tuple[SeamSettings, ...]) -> Job:
    return ordered(job.model_copy(update={"seam": seams}).model_dump(mode="json"))


def _set_in(table: Any, path: list[str | int], value: Any) -> Any:
    """Set one value of nested tables and lists, and return what was there (None: nothing).

    Raises OrderError where the path leads nowhere.
    """
    at = tuple(path)
    try:
        for part in path[:-1]:
            table = table[part]
        before = table.get(path[-1]) if isinstance(table, dict) else table[path[-1]]
        table[path[-1]] = value
    except (IndexError, KeyError, TypeError):
        raise OrderError("what you changed is no longer in the work order; look at it again", path=at) from None
    return before
