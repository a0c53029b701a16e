"""Files written whole or not at all, into a folder that may hold other people's files."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Sequence
from pathlib import Path

from flatten.errors import CalfskinError


class OutputError(CalfskinError, OSError):
    """A file or folder cannot be written."""


def check_folder(folder: Path) -> None:
    """Raises OutputError where `folder` is there and cannot be written to, so that no long work is done in vain."""
    nearest = next(parent for parent in (folder, *folder.absolute().parents) if parent.exists())
    if not nearest.is_dir():
        raise OutputError(f"{nearest} is a file, not a folder; name another with --out")
    if not os.access(nearest, os.W_OK):
        raise OutputError(f"the folder {nearest} cannot be written to; name another with --out")


def write_files(folder: Path, files: Sequence[tuple[str, bytes]]) -> None:
    """Write `files` (name, content) into `folder`, which is made if absent.

    All contents are first written under temporary names in the folder, then each takes its place in one step, in
    the given order; so a full disk or a missing right leaves every old file as it was. No other file is touched.

    Raises OutputError where the folder cannot be made or written to.
    """
    waiting: list[tuple[str, str]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, content in files:
            handle, temporary = tempfile.mkstemp(prefix=f".{name}.", dir=folder)
            waiting.append((temporary, name))
            with os.fdopen(handle, "wb") as file:
                file.write(content)
            os.chmod(temporary, 0o644)
        for temporary, name in waiting:
            os.replace(temporary, folder / name)
    except OSError as error:
        reason = error.strerror or str(error)
        raise OutputError(f"the folder {folder} cannot be written to: {reason}; name another") from error
    finally:
        for temporary, _ in waiting:
            Path(temporary).unlink(missing_ok=True)
