"""The folder in which the bench's jobs are kept, until they are deleted."""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import platformdirs

from cli.files import OutputError, is_left_over, write_files
from cli.page.kept import KeptJob
from cli.page.upload import SUFFIXES

if sys.platform == "win32":
    import msvcrt
else:
    import fcntl

_BENCH, _JOBS, _PUT_AWAY, _ARRIVING = "bench.json", "jobs", "put-away", "arriving.part"

_LOCK = "in-use.lock"
"""Empty; the page that uses the folder holds it, and lets go of it however it ends."""

_FLAT = ("job.toml", "strips.toml", *(f"scan{suffix}" for suffix in (".unknown", *SUFFIXES)))
"""What an older Calfskin, which kept one job, wrote into the folder itself; beside its note, `_BENCH`."""


def usual_folder() -> Path:
    """Where jobs are kept unless another folder is named."""
    return platformdirs.user_data_path("calfskin", appauthor=False) / "bench"


class Folder:
    """The jobs of one bench, and which of them lies on it."""

    def __init__(self, path: Path) -> None:
        """Make the folder, for its owner alone.

        Raises OutputError where it cannot be made or written to, or holds what is no bench's.
        """
        self.path = path
        try:
            path.mkdir(parents=True, exist_ok=True, mode=0o700)
        except OSError as error:
            raise OutputError(f"the folder {path} cannot be made: {error.strerror}; name another") from error
        if not os.access(path, os.W_OK):
            raise OutputError(f"the folder {path} cannot be written to; name another with --folder")
        if not (path / _BENCH).exists() and any(not _ours(entry.name) for entry in path.iterdir()):
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
        """Whether no job is kept."""
        return not self.jobs()

    @property
    def arriving(self) -> Path:
        """Where a scan is written while it arrives."""
        return self.path / _ARRIVING

    def jobs(self) -> list[KeptJob]:
        """All jobs that are kept, the last one kept first."""
        folder = self.path / _JOBS
        found = [KeptJob(path) for path in folder.iterdir()] if folder.is_dir() else []
        kept = [(job.kept_at, job.key, job) for job in found]
        return [job for at, _, job in sorted(kept, key=lambda one: (-(one[0] or 0), one[1])) if at is not None]

    def job(self, key: str | None) -> KeptJob | None:
        """The kept job of a key; None where there is none."""
        return next((job for job in self.jobs() if job.key == key), None)

    def new_job(self) -> KeptJob:
        """A place for one more job. Raises OSError where it cannot be made."""
        folder = self.path / _JOBS
        folder.mkdir(mode=0o700, exist_ok=True)
        taken = [*folder.iterdir(), *((self.path / _PUT_AWAY).iterdir() if (self.path / _PUT_AWAY).is_dir() else ())]
        number = 1 + max((int(path.name) for path in taken if path.name.isdecimal()), default=0)
        made = folder / f"{number:04d}"
        made.mkdir(mode=0o700)
        return KeptJob(made)

    def take_up(self) -> KeptJob | None:
        """The job that lies on the bench, what was left half arrived cleared away; an older bench's job is one of all.

        Raises OutputError where an older bench's job cannot be moved.
        """
        self.arriving.unlink(missing_ok=True)
        self.forget_put_away()
        note = _json_in(self.path / _BENCH)
        if "scan_name" in note:
            note = {"current": self._take_up_flat()}
        for path in (self.path / _JOBS).iterdir() if (self.path / _JOBS).is_dir() else ():
            if KeptJob(path).kept_at is None:
                KeptJob(path).delete()
        current = note.get("current")
        return self.job(current) if isinstance(current, str) else None

    def _take_up_flat(self) -> str:
        """Move an older bench's only job into a folder of its own, its note last."""
        try:
            job = self.new_job()
            for name in _FLAT:
                if (self.path / name).exists():
                    os.replace(self.path / name, job.path / name)
            write_files(job.path, [("note.json", (self.path / _BENCH).read_bytes())])
        except OSError as error:
            raise OutputError(f"the bench in {self.path} cannot be taken up: {error.strerror or error}") from error
        self.lay_down(job)
        return job.key

    def lay_down(self, job: KeptJob | None) -> None:
        """Keep which job lies on the bench. Raises OutputError where that cannot be written."""
        write_files(self.path, [(_BENCH, json.dumps({"current": job.key if job else None}).encode())])

    @property
    def put_away(self) -> KeptJob | None:
        """The job that was put away last and can be put back; None where there is none."""
        folder = self.path / _PUT_AWAY
        return next((KeptJob(path) for path in folder.iterdir()), None) if folder.is_dir() else None

    def put_job_away(self, job: KeptJob) -> None:
        """Take a job from those that are kept, until another is or this is forgotten. Raises OSError if it fails."""
        self.forget_put_away()
        (self.path / _PUT_AWAY).mkdir(mode=0o700)
        os.replace(job.path, self.path / _PUT_AWAY / job.key)

    def put_back(self) -> KeptJob | None:
        """Keep the job again that was put away. Raises OSError where that fails."""
        job = self.put_away
        if job is None:
            return None
        (self.path / _JOBS).mkdir(mode=0o700, exist_ok=True)
        os.replace(job.path, self.path / _JOBS / job.key)
        (self.path / _PUT_AWAY).rmdir()
        return KeptJob(self.path / _JOBS / job.key)

    def forget_put_away(self) -> None:
        """Delete for good what was put away."""
        shutil.rmtree(self.path / _PUT_AWAY, ignore_errors=True)

    def clear(self) -> None:
        """Delete all jobs, and what was put away."""
        self.forget_put_away()
        for job in self.jobs():
            job.delete()
        self.tidy()

    def tidy(self) -> None:
        """Where no job is kept any more, leave nothing behind."""
        if not self.is_empty:
            return
        with contextlib.suppress(OSError):
            (self.path / _JOBS).rmdir()
        for name in (_BENCH, _ARRIVING):
            (self.path / name).unlink(missing_ok=True)


def _ours(name: str) -> bool:
    """Whether only a bench makes an entry of this name: a first save that was killed leaves no more."""
    return name in (_LOCK, _ARRIVING, _JOBS, _PUT_AWAY) or is_left_over(name)


def _json_in(path: Path) -> dict[str, object]:
    """A table in a JSON file; an empty one where there is none: which job lay on the bench can be told again."""
    try:
        table = json.loads(path.read_text("utf-8"))
    except (OSError, ValueError):
        return {}
    return table if isinstance(table, dict) else {}
