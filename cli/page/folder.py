"""The folder in which a session is kept: the scan, the job, and little more, until they are deleted."""

from __future__ import annotations

import json
import os
from dataclasses import asdict, dataclass
from pathlib import Path

import platformdirs

from cli.files import OutputError, write_files
from cli.page.upload import SUFFIXES, kept_suffix
from flatten.job.settings import Job
from flatten.job.text import job_text, read_job

_JOB, _NOTE, _ARRIVING, _UNKNOWN = "job.toml", "bench.json", "arriving.part", ".unknown"


def usual_folder() -> Path:
    """Where a session is kept unless another folder is named."""
    return platformdirs.user_data_path("calfskin", appauthor=False) / "bench"


@dataclass(frozen=True)
class Kept:
    """What is kept beside the job: the scan's shown name, if there is a scan, and whether the front is agreed."""

    scan_name: str | None
    front_agreed: bool


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
        if any(path.iterdir()) and not (path / _NOTE).exists():
            raise OutputError(f"the folder {path} holds other files; name a new or an empty one with --folder")

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

    def keep(self, job: Job | None, kept: Kept) -> None:
        """Keep the job, if there is one, and the note beside it."""
        files = [(_JOB, job_text(job).encode())] if job else []
        write_files(self.path, [*files, (_NOTE, json.dumps(asdict(kept)).encode())])

    def kept(self) -> tuple[Job, Kept] | None:
        """The kept session, if there is one. Raises JobError where its job cannot be read."""
        note = self.path / _NOTE
        if not (note.exists() and (self.path / _JOB).exists()):
            return None
        found = Kept(**json.loads(note.read_text("utf-8")))
        return read_job(self.path / _JOB), found

    def clear(self) -> None:
        """Delete all files of the session."""
        self._drop_scans()
        for name in (_JOB, _NOTE, _ARRIVING):
            (self.path / name).unlink(missing_ok=True)

    def _drop_scans(self) -> None:
        for suffix in (_UNKNOWN, *SUFFIXES):
            (self.path / f"scan{suffix}").unlink(missing_ok=True)
