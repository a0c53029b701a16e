"""The folder in which a session is kept: the scan, the job, and little more, until they are deleted."""

from __future__ import annotations

import contextlib
import json
import os
import sys
from collections.abc import Iterator
from dataclasses import asdict, dataclass
from pathlib import Path

import platformdirs

from cli.files import OutputError, write_files
from cli.page.upload import SUFFIXES, kept_suffix
from flatten.errors import CalfskinError
from flatten.job.errors import JobError
from flatten.job.settings import Job
from flatten.job.text import job_text, read_job
from flatten.leather.model import LeatherError
from flatten.leather.strips import read_strip_test

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_JOB, _NOTE, _STRIPS, _ARRIVING, _UNKNOWN = "job.toml", "bench.json", "strips.toml", "arriving.part", ".unknown"

_LOCK = "in-use.lock"
"""Empty; the page that uses the folder holds it, and lets go of it however it ends."""


def usual_folder() -> Path:
    """Where a session is kept unless another folder is named."""
    return platformdirs.user_data_path("calfskin", appauthor=False) / "bench"


@dataclass(frozen=True)
class SessionNote:
    """What is kept beside the job: the shown names of scan and strip test (None: not there), if the front is agreed."""

    scan_name: str | None
    front_agreed: bool
    strips_name: str | None = None


def renamed(error: CalfskinError, path: Path, name: str) -> CalfskinError:
    """The error, which speaks of the kept file `path`, with the name that its maker knows it by."""
    error.args = tuple(part.replace(path.name, name) if isinstance(part, str) else part for part in error.args)
    return error


class Folder:
    """The files of one session. Their names are fixed; none is ever taken from what a browser sends."""

    def __init__(self, path: Path) -> None:
        """Make the folder, for its owner alone.

        Raises OutputError where it cannot be made or written to, or holds what is no session.
        """
        self.path = path
        try:
            path.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise OutputError(f"the folder {path} cannot be made: {error.strerror}; name another") from error
        if not os.access(path, os.W_OK):
            raise OutputError(f"the folder {path} cannot be written to; name another with --folder")
        if not self.is_empty and not (path / _NOTE).exists():
            raise OutputError(f"the folder {path} holds other files; name a new or an empty one with --folder")

    @contextlib.contextmanager
    def locked(self) -> Iterator[None]:
        """Keep every other page out of the folder meanwhile. Raises OutputError where one is at work in it."""
        lock = os.open(self.path / _LOCK, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            if sys.platform == "win32":
                msvcrt.locking(lock, msvcrt.LK_NBLCK, 1)
            else:
                fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            os.close(lock)
            raise OutputError(
                f"the bench in {self.path} is open already; go on in its browser window, end it by Ctrl-C in its "
                "terminal, or name another folder with --folder"
            ) from None
        try:
            yield
        finally:
            os.close(lock)

    @property
    def is_empty(self) -> bool:
        """Whether no scan and no job is kept."""
        return not any(entry.name != _LOCK for entry in self.path.iterdir())

    @property
    def arriving(self) -> Path:
        """Where a scan is written while it arrives."""
        return self.path / _ARRIVING

    def scan_path(self, name: str) -> Path:
        """Where the scan of this shown name is kept."""
        return self.path / f"scan{kept_suffix(name) or _UNKNOWN}"

    def keep_scan(self, name: str) -> None:
        """Let the scan that has arrived take the place of the one that was kept."""
        self._drop_scans()
        os.replace(self.arriving, self.scan_path(name))

    @property
    def strips(self) -> Path:
        """Where the strip test's readings are kept."""
        return self.path / _STRIPS

    def keep_strips(self, text: str, *, name: str) -> None:
        """Keep a strip test's readings in place of those that were kept; `name` is what errors call it.

        Raises LeatherError, and keeps what was kept, where they make no sense.
        """
        self.arriving.write_text(text, "utf-8")
        try:
            read_strip_test(self.arriving)
        except LeatherError as error:
            self.arriving.unlink()
            raise renamed(error, self.arriving, name) from None
        os.replace(self.arriving, self.strips)

    def keep(self, job: Job | None, kept: SessionNote) -> None:
        """Keep the job, if there is one, and the note beside it."""
        files = [(_JOB, job_text(job).encode())] if job else []
        write_files(self.path, [*files, (_NOTE, json.dumps(asdict(kept)).encode())])

    def kept(self) -> tuple[Job, SessionNote] | None:
        """The kept session, if there is one. Raises OutputError where it cannot be read."""
        note = self.path / _NOTE
        if not (note.exists() and (self.path / _JOB).exists()):
            return None
        try:
            return read_job(self.path / _JOB), SessionNote(**json.loads(note.read_text("utf-8")))
        except (JobError, OSError, TypeError, ValueError) as error:
            reason = str(error) if isinstance(error, JobError) else f"{_NOTE} is broken"
            raise OutputError(
                f"the bench kept in {self.path} cannot be taken up ({reason}); mend the file, delete the folder, or "
                "name another with --folder"
            ) from error

    def clear(self) -> None:
        """Delete all files of the session."""
        self._drop_scans()
        for name in (_JOB, _NOTE, _STRIPS, _ARRIVING):
            (self.path / name).unlink(missing_ok=True)

    def _drop_scans(self) -> None:
        for suffix in (_UNKNOWN, *SUFFIXES):
            (self.path / f"scan{suffix}").unlink(missing_ok=True)
