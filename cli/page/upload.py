"""What a browser sends: file names that are only shown, and bodies with an end."""

from __future__ import annotations

import asyncio
import json
import struct
from collections.abc import AsyncIterator, Callable
from pathlib import Path

from starlette.requests import ClientDisconnect, Request

from flatten.errors import CalfskinError

MOST_SCAN_BYTES = 100 * 1024 * 1024
"""bytes. A scan of a million faces with colours is smaller; more would only fill the memory."""

MOST_TEXT_BYTES = 256 * 1024
"""bytes. A job file has about two thousand."""

MOST_FILES = 2000
"""Files that are looked through together: a phone's whole folder of scans has some hundreds."""

MOST_HEAD_BYTES = 1024 * 1024
"""bytes. The names of so many files, with their folders."""

PATIENCE = 30.0
"""s. A body that brings nothing for so long has no end."""

MOST_NAME = 80
"""Characters of a file's name that are shown."""

SUFFIXES = (".obj", ".ply", ".stl", ".glb", ".gltf", ".xyz", ".zip", ".usdz", ".usdc", ".usda")
"""Usual endings of scan files: what is offered for choosing. The content decides what a file is; a kept scan has one of
these endings or none, whatever the sender called it."""


class UploadError(CalfskinError, ValueError):
    """A body is refused: too long, too slow, or broken off. `status` is what the browser is answered."""

    def __init__(self, sentence: str, *, status: int) -> None:
        """`status` is an HTTP status code."""
        super().__init__(sentence)
        self.status = status


def shown_name(sent: str) -> str:
    """A file name as it is shown and written into the job file: no folder, no control or direction mark, not hidden."""
    last = sent.replace("\\", "/").rpartition("/")[2]
    plain = "".join(c for c in last if c.isprintable() and c not in '<>:"|?*').strip().lstrip(".")
    stem, dot, suffix = plain.rpartition(".")
    if not plain or not (stem or suffix):
        return "scan"
    return f"{stem[: MOST_NAME - len(suffix) - 1]}{dot}{suffix}" if len(suffix) < 10 else plain[:MOST_NAME]


def kept_suffix(name: str) -> str:
    """The ending that a scan of this shown name is kept under: one of SUFFIXES, or ""."""
    return next((suffix for suffix in SUFFIXES if name.lower().endswith(suffix)), "")


async def receive_file(request: Request, target: Path, *, most: int, progress: Callable[[int], None]) -> None:
    """Write a request's body to `target` as it arrives; `progress` is called with how many bytes there are so far.

    Raises UploadError, and leaves no file, where it announces or brings more than `most` bytes, brings nothing for
    PATIENCE seconds, or breaks off.
    """
    _check_announced(request, most)
    try:
        with target.open("wb") as file:
            async for so_far, chunk in _chunks(request, most):
                file.write(chunk)
                progress(so_far)
    except BaseException:
        target.unlink(missing_ok=True)
        raise


async def receive_text(request: Request, *, most: int = MOST_TEXT_BYTES) -> str:
    """A request's body as text. Raises UploadError as `receive_file` does, and where it is no UTF-8."""
    _check_announced(request, most)
    parts = [chunk async for _, chunk in _chunks(request, most)]
    try:
        return b"".join(parts).decode("utf-8")
    except UnicodeDecodeError:
        raise UploadError("that is no text file", status=422) from None


def parts_of(data: bytes) -> list[tuple[str, bytes]]:
    """Paths and contents of the files that a browser sends as one body.

    It begins with the length of its head (4 bytes, least significant first) and the head, JSON text: a list of pairs of
    a path and a length in bytes. The contents follow one after another.

    Raises UploadError where it is not made so, or has more than MOST_FILES files.
    """
    broken = UploadError("what arrived is not whole; bring it again", status=400)
    if len(data) < 4:
        raise broken
    (length,) = struct.unpack_from("<I", data)
    if length > min(len(data) - 4, MOST_HEAD_BYTES):
        raise broken
    try:
        head = [(str(path), int(size)) for path, size in json.loads(data[4 : 4 + length])]
    except (TypeError, ValueError, OverflowError, RecursionError):
        raise broken from None
    if len(head) > MOST_FILES:
        raise UploadError(
            f"you brought {len(head)} files, and up to {MOST_FILES} are looked through; bring the scan's own folder",
            status=413,
        )
    if any(size < 0 for _, size in head) or 4 + length + sum(size for _, size in head) != len(data):
        raise broken
    parts, start = [], 4 + length
    for path, size in head:
        parts.append((path, data[start : start + size]))
        start += size
    return parts


def _check_announced(request: Request, most: int) -> None:
    announced = request.headers.get("content-length", "0")
    if not announced.isdecimal():
        raise UploadError("the sender does not say how long the file is", status=400)
    if int(announced) > most:
        raise _too_long(int(announced), most)


async def _chunks(request: Request, most: int) -> AsyncIterator[tuple[int, bytes]]:
    """Pairs of the bytes so far and the next chunk."""
    so_far = 0
    stream = request.stream().__aiter__()
    while True:
        try:
            chunk = await asyncio.wait_for(anext(stream), PATIENCE)
        except StopAsyncIteration:
            return
        except TimeoutError:
            raise UploadError(
                f"nothing more came for {PATIENCE:.0f} seconds; send the file again", status=408
            ) from None
        except ClientDisconnect:
            raise UploadError("the sending broke off; send the file again", status=400) from None
        so_far += len(chunk)
        if so_far > most:
            raise _too_long(so_far, most)
        yield so_far, chunk


def _too_long(found: int, most: int) -> UploadError:
    return UploadError(
        f"the file has {found / 2**20:.0f} MB or more, and up to {most / 2**20:.0f} MB are taken; "
        "export the scan with fewer faces",
        status=413,
    )
