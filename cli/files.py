"""Files written whole or not at all, into a folder that may hold other people's files."""

from __future__ import annotations

import errno
import os
import re
import stat
import sys
import tempfile
import time
from collections.abc import Sequence
from contextlib import ExitStack, suppress
from dataclasses import dataclass
from itertools import count
from pathlib import Path

from flatten.drawing.sealed import is_sealed
from flatten.errors import CalfskinError

if sys.platform != "win32":
    import fcntl

_WAITING = ".calfskin"
"""What a file is called after its own name, eight characters of chance and dots while it waits to take its place."""

_LEFT_OVER = re.compile(r"\..+\.[a-z0-9_]{8}" + re.escape(_WAITING))
"""Names that only `write_files` makes."""

_FRESH = 10.0
"""s. A file that waits for less may be another run's that has not locked it yet."""

_ABANDONED = 3600.0
"""s. Where files cannot be locked, one that waits for longer than this is no longer written by anybody."""


class OutputError(CalfskinError, OSError):
    """A file or folder cannot be written."""


def is_left_over(name: str) -> bool:
    """Whether a file of this name waits to take its place, or was left by a run that was killed."""
    return _LEFT_OVER.fullmatch(name) is not None


def check_folder(folder: Path) -> None:
    """Raises OutputError where `folder` is there and cannot be written to, so that no long work is done in vain."""
    nearest = next(parent for parent in (folder, *folder.absolute().parents) if parent.exists())
    if not nearest.is_dir():
        raise OutputError(f"{nearest} is a file, not a folder; name another with --out")
    if not os.access(nearest, os.W_OK):
        raise OutputError(f"the folder {nearest} cannot be written to; name another with --out")


@dataclass(frozen=True)
class Kept:
    """A file of somebody's, called `name`, that was left as it was, and what the new one beside it is called."""

    name: str
    beside: str


def write_files(folder: Path, files: Sequence[tuple[str, bytes]]) -> tuple[Kept, ...]:
    """Write `files` (name, content) into `folder`, which is made if absent, and tell which were kept.

    A file that is sealed, because people draw in it, replaces only one that is as it was sealed; where somebody has
    worked on the old one, or it cannot be read, that is kept and the new one is written as "name (2)" beside it.

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
        named = [(_free_name(folder, name) if is_sealed(content) else name, content) for name, content in files]
        with ExitStack() as locks:
            for name, content in named:
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
    return tuple(Kept(name, own) for (name, _), (own, _) in zip(files, named, strict=True) if own != name)


def _free_name(folder: Path, name: str) -> str:
    """The name, or the first one beside it, whose file is not there or is as it was sealed."""
    stem, ending = os.path.splitext(name)
    for number in count(1):
        tried = name if number == 1 else f"{stem} ({number}){ending}"
        if not _is_somebodys(folder / tried):
            return tried
    raise AssertionError


def _is_somebodys(file: Path) -> bool:
    """Whether a file is there that is not as it was sealed, or whose content nobody can tell."""
    try:
        return not is_sealed(file.read_bytes())
    except FileNotFoundError:
        return False
    except OSError:
        return True


def _clear_away(folder: Path) -> None:
    """Removes what killed runs have left in `folder`; what another run is writing, and what it may not, it leaves."""
    for entry in folder.iterdir():
        if not is_left_over(entry.name):
            continue
        with suppress(PermissionError, FileNotFoundError):
            found = entry.lstat()
            age = time.time() - found.st_mtime
            if stat.S_ISREG(found.st_mode) and age > _FRESH and _nobody_writes(entry, age):
                entry.unlink()


_NO_LOCKS = (errno.ENOLCK, errno.EOPNOTSUPP, errno.ENOSYS)
"""What a file system without locks, as on some network drives, says."""

if sys.platform == "win32":

    def _lock(handle: int, locks: ExitStack) -> None:
        """Nothing: a locked file could not be moved here."""

    def _nobody_writes(file: Path, age: float) -> bool:
        return age > _ABANDONED

else:

    def _lock(handle: int, locks: ExitStack) -> None:
        """Lock an open file until the stack is closed, where files can be locked; what ends a run ends its locks."""
        kept = os.dup(handle)
        locks.callback(os.close, kept)
        try:
            fcntl.flock(kept, fcntl.LOCK_EX)
        except OSError as error:
            if error.errno not in _NO_LOCKS:
                raise

    def _nobody_writes(file: Path, age: float) -> bool:
        handle = os.open(file, os.O_RDONLY | os.O_NOFOLLOW)
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        except OSError as error:
            if error.errno not in _NO_LOCKS:
                raise
            return age > _ABANDONED
        finally:
            os.close(handle)
        return True
