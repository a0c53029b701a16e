"""What a browser sends: file names that are only shown, and bodies with an end."""

from __future__ import annotations

import asyncio
from collections.abc import AsyncIterator, Callable
from pathlib import Path

from starlette.requests import ClientDisconnect, Request

from flatten.errors import CalfskinError

MOST_SCAN_BYTES = 100 * 1024 * 1024
"""bytes. A scan of a million faces with colours is smaller; more would only fill the memory."""

MOST_TEXT_BYTES = 256 * 1024
"""bytes. A job file has about two thousand."""

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
