"""The jobs that are kept, as the page lists them: name, limb, when they were last worked on, and what is wrong."""

from __future__ import annotations

from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import Path
from typing import Any

from cli.page.bench import Bench
from cli.page.kept import KeptError, KeptJob
from flatten.findings import Message, message
from flatten.job.settings import AUTO, Job
from flatten.words import say


def kept_jobs(bench: Bench) -> list[dict[str, Any]]:
    """All kept jobs, the last one worked on first."""
    current = bench.state.kept.key if bench.state.kept else None
    return [_listed(job, current=job.key == current) for job in bench.folder.jobs()]


def put_away_name(bench: Bench) -> str | None:
    """What the job that was deleted last, and that can be put back, is called; None where there is none."""
    kept = bench.folder.put_away
    return None if kept is None else _listed(kept, current=False)["name"]


def job_name(job: Job) -> str:
    """What a job is called: its title, else its scan without an ending."""
    return job.output.title or job.scan.file.rpartition(".")[0] or job.scan.file


def worked_on(at: float, now: datetime) -> Message:
    """When a job was last worked on (s since 1970), as seen at a time in this computer's own zone."""
    then = datetime.fromtimestamp(at, now.tzinfo)
    days = (now.date() - then.date()) // timedelta(days=1)
    return message("page.worked on", days=days, clock=f"{then:%H:%M}", day=then.day, month=then.month)


def _listed(kept: KeptJob, *, current: bool) -> dict[str, Any]:
    job, at, trouble = _read(kept.path, kept.kept_at)
    named = {"id": kept.key, "current": current, "trouble": trouble, "name": kept.key, "limb": "", "when": ""}
    if job is None:
        return named
    sides = [say.name(name) for name in (job.scan.side, job.scan.limb) if name != AUTO]
    when = say.text(worked_on(at, datetime.now().astimezone()))
    return {**named, "name": job_name(job), "limb": " ".join(sides), "when": when}


@lru_cache(maxsize=256)
def _read(path: Path, kept_at: int | None) -> tuple[Job | None, float, str]:
    """What the files of a job said when it was kept last: so that not every event reads them all again."""
    try:
        job, note = KeptJob(path).read()
    except KeptError as error:
        return None, 0.0, str(error)
    return job, note.worked_on, ""
