"""What a ZIP archive from a browser holds: read within limits, its names never used as paths."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager

from cli.page.upload import MOST_FILES, MOST_SCAN_BYTES, MOST_TEXT_BYTES
from flatten.errors import CalfskinError
from flatten.scan.archive import MOST_PACKED

MOST_UNPACKED = 3 * MOST_SCAN_BYTES
"""bytes. What the bench's own ZIP may unpack to: the largest scan that is taken, and all files of its job."""

_BROKEN = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, OSError, RuntimeError, ValueError)
"""What the library raises at broken archives, seen by feeding it damaged ones."""


class UnpackError(CalfskinError, ValueError):
    """A ZIP archive is not opened: broken, locked, or made to do harm."""


def texts_in(data: bytes, *, name: str) -> list[tuple[str, bytes]]:
    """Paths and contents of those files in the archive `data` that are as short as a job file.

    `name` is what errors call it. Raises UnpackError as `files_in` does.
    """
    with _opened(data, name) as (archive, members):
        return [(member.filename, archive.read(member)) for member in members if member.file_size <= MOST_TEXT_BYTES]


def files_in(data: bytes, *, name: str) -> list[tuple[str, bytes]]:
    """Paths and contents of all files in the archive `data`.

    `name` is what errors call it. Raises UnpackError where it is broken, locked by a password, holds more than
    MOST_FILES files, a path that leads out of it, what unpacks to more than MOST_UNPACKED, or what is packed more than
    MOST_PACKED times.
    """
    with _opened(data, name) as (archive, members):
        return [(member.filename, archive.read(member)) for member in members]


@contextmanager
def _opened(data: bytes, name: str) -> Iterator[tuple[zipfile.ZipFile, list[zipfile.ZipInfo]]]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            members = [member for member in archive.infolist() if not member.is_dir()]
            _check(members, name)
            yield archive, members
    except _BROKEN as error:
        if isinstance(error, CalfskinError):
            raise
        reason = " ".join(str(error).split())[:120] or type(error).__name__
        raise UnpackError(
            f"{name} is a ZIP archive that cannot be unpacked ({reason}); copy or share it again"
        ) from error


def _check(members: list[zipfile.ZipInfo], name: str) -> None:
    if len(members) > MOST_FILES:
        raise UnpackError(
            f"{name} holds {len(members)} files, and up to {MOST_FILES} are looked through; bring the scan itself"
        )
    for member in members:
        path = member.filename.replace("\\", "/")
        if path.startswith("/") or ".." in path.split("/") or path[1:2] == ":":
            shown = "".join(c for c in path if c.isprintable())[:60]
            raise UnpackError(
                f"{name} holds a file whose path leads out of it ('{shown}'), which no bench or phone makes; it is not "
                "opened"
            )
        if member.flag_bits & 1:
            raise UnpackError(f"{name} is locked by a password; share it without one")
        # What is packed tightly and unpacks to little does no harm: a picture of one colour, an empty table.
        if member.file_size > max(MOST_TEXT_BYTES, MOST_PACKED * max(1, member.compress_size)):
            raise _too_large(member.file_size, name)
    unpacked = sum(member.file_size for member in members)
    if unpacked > MOST_UNPACKED:
        raise _too_large(unpacked, name)


def _too_large(size: int, name: str) -> UnpackError:
    return UnpackError(
        f"{name} would unpack to {size / 2**20:.0f} MB, packed tighter than any job is or beyond "
        f"{MOST_UNPACKED / 2**20:.0f} MB; unpack it yourself if you trust it, and bring the scan"
    )
