"""One kept job: its scan, its settings, the steps that can be undone, each whole or not at all."""

from __future__ import annotations

import json
import os
import shutil
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from cli.files import write_files
from cli.page.upload import SUFFIXES, kept_suffix
from flatten.errors import CalfskinError
from flatten.job.errors import JobError
from flatten.job.settings import Job
from flatten.job.text import job_text, read_job
from flatten.leather.model import LeatherError
from flatten.leather.strips import read_strip_test

_JOB, _NOTE, _STEPS, _STRIPS, _UNKNOWN = "job.toml", "note.json", "steps.json", "strips.toml", ".unknown"
_COMPANIONS = "companions"


class KeptError(CalfskinError, ValueError):
    """A kept job cannot be taken up."""


class StepsError(CalfskinError, ValueError):
    """The steps of a kept job, which undo and redo lead through, cannot be read."""


@dataclass(frozen=True)
class AgreedFront:
    """A front that the maker looked at and agreed to: of which kind of limb and side, and its direction in the scan's
    own axes (a unit vector). `pick` is where the limb was clicked (the file's own unit; None: nowhere)."""

    kind: str
    side: str
    direction: tuple[float, float, float]
    pick: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class SessionNote:
    """What is kept beside a job: the shown names of scan and strip test (None: not there), the front agreed to.

    `before` is the job that lay on the bench when this one was laid down, `after` the one that was laid down on it and
    taken up again by an undo. `worked_on` is when it was last changed (s since 1970).
    """

    scan_name: str | None
    front: AgreedFront | None = None
    strips_name: str | None = None
    before: str | None = None
    after: str | None = None
    worked_on: float = 0.0


@dataclass(frozen=True)
class Steps:
    """The jobs that undo and redo lead to, the nearest last."""

    past: tuple[Job, ...] = ()
    future: tuple[Job, ...] = ()


def renamed(error: CalfskinError, path: Path, name: str) -> CalfskinError:
    """The error, which speaks of the kept file `path`, with the name that its maker knows it by."""
    error.args = tuple(part.replace(path.name, name) if isinstance(part, str) else part for part in error.args)
    return error


class KeptJob:
    """The files of one job. Their names are fixed; none is ever taken from what a browser sends."""

    def __init__(self, path: Path) -> None:
        """A job kept in the folder `path`, which `keep` makes where it is not there."""
        self.path = path

    @property
    def key(self) -> str:
        """What the bench knows the job by."""
        return self.path.name

    def scan_path(self, name: str) -> Path:
        """Where the scan of this shown name is kept."""
        return self.path / f"scan{kept_suffix(name) or _UNKNOWN}"

    def take_scan(self, arrived: Path, name: str) -> None:
        """Let a scan that has arrived take the place of the one that was kept. Raises OSError where that fails."""
        self.path.mkdir(mode=0o700, exist_ok=True)
        place = self.scan_path(name)
        os.replace(arrived, place)
        for suffix in (_UNKNOWN, *SUFFIXES):
            if (old := self.path / f"scan{suffix}") != place:
                old.unlink(missing_ok=True)

    @property
    def strips(self) -> Path:
        """Where the strip test's readings are kept."""
        return self.path / _STRIPS

    @property
    def companions(self) -> Path:
        """The folder of the other files that its job names."""
        return self.path / _COMPANIONS

    def keep_strips(self, text: str, *, name: str) -> None:
        """Keep a strip test's readings in place of those that were kept; `name` is what errors call it.

        Raises LeatherError where they make no sense and OSError where they cannot be written, and keeps what was kept.
        """
        waiting = self.path / "strips.part"
        try:
            waiting.write_text(text, "utf-8")
            read_strip_test(waiting)
            os.replace(waiting, self.strips)
        except LeatherError as error:
            raise renamed(error, waiting, name) from None
        finally:
            waiting.unlink(missing_ok=True)

    def keep(self, job: Job, note: SessionNote, steps: Steps) -> None:
        """Keep the job, its steps, and the note, last. Raises OutputError, and keeps what was kept, if that fails."""
        table = {"past": [one.model_dump(mode="json") for one in steps.past]}
        table["future"] = [one.model_dump(mode="json") for one in steps.future]
        self.path.mkdir(mode=0o700, exist_ok=True)
        files = [(_STEPS, _json(table)), (_JOB, job_text(job).encode()), (_NOTE, _json(asdict(note)))]
        write_files(self.path, files)

    @property
    def kept_at(self) -> int | None:
        """When the job was kept last (ns since 1970); None where it never was: its note comes last."""
        try:
            return (self.path / _NOTE).stat().st_mtime_ns
        except OSError:
            return None

    def read(self) -> tuple[Job, SessionNote]:
        """The job and its note. Raises KeptError where they cannot be read."""
        try:
            return read_job(self.path / _JOB), _note(json.loads((self.path / _NOTE).read_text("utf-8")))
        except (JobError, OSError, TypeError, ValueError) as error:
            reason = str(error) if isinstance(error, JobError) else f"{_NOTE} is broken"
            raise KeptError(
                f"this job cannot be taken up ({reason}); mend the file in {self.path}, or delete the job"
            ) from error

    def steps(self) -> Steps:
        """The steps that can be undone and done again; none where an older Calfskin wrote none.

        Raises StepsError where they cannot be read.
        """
        try:
            table = json.loads((self.path / _STEPS).read_text("utf-8"))
            return Steps(*(tuple(Job.model_validate(one) for one in table[name]) for name in ("past", "future")))
        except FileNotFoundError:
            return Steps()
        except (OSError, ValueError, TypeError, KeyError, RecursionError) as error:
            reason = error.strerror if isinstance(error, OSError) else "it is broken, or another Calfskin wrote it"
            raise StepsError(
                f"the steps of this job that could be undone are gone: {_STEPS} in {self.path} cannot be read "
                f"({reason}); the job itself is as you left it, and what you change from now on can be undone"
            ) from error

    def copy_strips(self, other: KeptJob) -> None:
        """Keep another job's strip test here too, if it has one."""
        if other.strips.exists():
            self.path.mkdir(mode=0o700, exist_ok=True)
            shutil.copyfile(other.strips, self.strips)

    def delete(self) -> None:
        """Delete all of it: the note first, so that a job that is half deleted is none."""
        (self.path / _NOTE).unlink(missing_ok=True)
        shutil.rmtree(self.path, ignore_errors=True)


def _note(table: Any) -> SessionNote:
    """The note in a table. An older Calfskin kept that a front was agreed to, but not which: that is asked anew.

    Raises TypeError or ValueError where it is none.
    """
    if not isinstance(table, dict):
        raise TypeError("a note is a table")
    known = {name: value for name, value in table.items() if name != "front_agreed"}
    front = known.get("front")
    return SessionNote(**{**known, "front": None if front is None else _agreed(**front)})


def _agreed(kind: str, side: str, direction: list[float], pick: list[float] | None) -> AgreedFront:
    x, y, z = direction
    return AgreedFront(kind, side, (x, y, z), None if pick is None else (pick[0], pick[1], pick[2]))


def _json(table: object) -> bytes:
    return json.dumps(table).encode()
