"""Files written whole or not at all, into a folder that may hold other people's files."""

from __future__ import annotations

import os
import re
import stat
import sys
import tempfile
import time
from collections.abc import Sequence
from contextlib import ExitStack, suppress
from pathlib import Path

from flatten.errors import CalfskinError

if sys.platform != "win32":
    import fcntl

_WAITING = ".calfskin"
"""What a file is called after its own name, eight characters of chance and dots while it waits to take its place."""

_LEFT_OVER = re.compile(r"\..+\.[a-z0-9_]{8}" + re.escape(_WAITING))
"""Names that only `write_files` makes."""

_ABANDONED = 3600.0
"""s. Where files cannot be locked, one that waits for longer than this is no longer written by anybody."""


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
    the given order; so a full disk or a missing right leaves every old file as it was, and where the program is killed
    each file is the old or the new one, whole. No other file is touched. What a killed run has left under temporary
    names the next one clears away, and only that.

    Raises OutputError where the folder cannot be made or written to.
    """
    waiting: list[tuple[str, str]] = []
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _clear_away(folder)
        with ExitStack() as locks:
            for name, content in files:
                handle, temporary = tempfile.mkstemp(prefix=f".{name}.", suffix=_WAITING, dir=folder)
                waiting.append((temporary, name))
                with os.fdopen(handle, "wb") as file:
                    _lock(file.fileno(), locks)
                    file.write(content)
                    file.flush()
                    os.fsync(file.fileno())
                os.chmod(temporary, 0o644)
            for temporary, name in waiting:
                os.replace(temporary, folder / name)
    except OSError as error:
        reason = error.strerror or str(error)
        raise OutputError(f"the folder {folder} cannot be written to: {reason}; name another") from error
    finally:
        for temporary, _ in waiting:
            Path(temporary).unlink(missing_ok=True)


def _clear_away(folder: Path) -> None:
    """Removes what killed runs have left in `folder`; what another run is writing, and what it may not, it leaves."""
    for entry in folder.iterdir():
        if _LEFT_OVER.fullmatch(entry.name) and stat.S_ISREG(entry.lstat().st_mode):
            with suppress(PermissionError, FileNotFoundError):
                if _nobody_writes(entry):
                    entry.unlink()


if sys.platform == "win32":

    def _lock(handle: int, locks: ExitStack) -> None:
        """Nothing: a locked file could not be moved here."""

    def _nobody_writes(file: Path) -> bool:
        return time.time() - file.stat().st_mtime > _ABANDONED

else:

    def _lock(handle: int, locks: ExitStack) -> None:
        """Lock an open file until the stack is closed; whatever ends a run ends its locks."""
        kept = os.dup(handle)
        locks.callback(os.close, kept)
        fcntl.flock(kept, fcntl.LOCK_EX)

    def _nobody_writes(file: Path) -> bool:
        handle = os.open(file, os.O_RDONLY | os.O_NOFOLLOW)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        finally:
            os.close(handle)
        return True
