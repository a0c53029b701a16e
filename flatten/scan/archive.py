"""The one scan in a ZIP archive, as phones share an OBJ with its material and texture."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from pathlib import PurePosixPath

from flatten.scan.model import ScanError

SCAN_ENDINGS = (".obj", ".ply", ".stl", ".glb", ".gltf", ".xyz", ".pts", ".csv", ".usdz")
"""Endings by which a scan is told from its material, its textures and its notes inside an archive."""

USD_ENDINGS = (".usdc", ".usda", ".usd")
"""Endings of a USD layer: a USDZ is a ZIP whose first file is one (USDZ File Format Specification, "Layout")."""

MOST_BYTES = 600_000_000
"""bytes. A scan in an archive may be as large as this: an OBJ of five million faces."""

MOST_PACKED = 100.0
"""Times. A scan is packed at most so tightly: text of numbers reaches 10, a bomb of zeros 1000."""

_BROKEN = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    OSError,
    RuntimeError,
    ValueError,
    struct.error,
)
"""What the library raises at broken archives, seen by feeding it damaged files."""


def is_usdz(data: bytes) -> bool:
    """Whether the ZIP archive `data` is a USDZ package, told by its first file."""
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            return bool(archive.infolist()) and archive.infolist()[0].filename.lower().endswith(USD_ENDINGS)
    except _BROKEN:
        return False


def scan_inside(data: bytes, *, name: str) -> tuple[bytes, str]:
    """The bytes of the one scan in the ZIP archive `data`, and its file name without folders.

    Folders, hidden files and what a system adds (names that begin with "." or "__") are passed over. Nothing is
    written, and no more than MOST_BYTES are unpacked.

    Raises ScanError where the archive is cut off or broken, locked by a password, holds no scan or several, or where
    the scan unpacks to more than MOST_BYTES or by more than MOST_PACKED.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            member = _the_scan(archive, name)
            with archive.open(member) as file:
                content = file.read(MOST_BYTES + 1)
    except _BROKEN as error:
        if isinstance(error, ScanError):
            raise
        reason = " ".join(str(error).split())[:120] or type(error).__name__
        raise ScanError(
            f"{name} is a ZIP archive that cannot be unpacked ({reason}); copy or share it again"
        ) from error
    if len(content) > MOST_BYTES:
        raise _too_large(name, len(content))
    return content, PurePosixPath(member.filename).name


def beside_scan(data: bytes, uri: str, *, name: str) -> bytes:
    """The bytes of the file at the relative path `uri` from the one scan in the ZIP archive `data`.

    Raises FileNotFoundError where it is not there, and ScanError as `scan_inside` does.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            wanted = PurePosixPath(_the_scan(archive, name).filename).parent / uri
            try:
                member = archive.getinfo(str(wanted))
            except KeyError as error:
                raise FileNotFoundError(uri) from error
            _check_size(member, name)
            with archive.open(member) as file:
                return file.read(MOST_BYTES)
    except _BROKEN as error:
        if isinstance(error, (ScanError, FileNotFoundError)):
            raise
        raise ScanError(f"'{uri[:60]}' in {name} cannot be unpacked; copy or share it again") from error


def _the_scan(archive: zipfile.ZipFile, name: str) -> zipfile.ZipInfo:
    scans = [
        member
        for member in archive.infolist()
        if member.filename.lower().endswith(SCAN_ENDINGS)
        and not any(part.startswith((".", "__")) for part in PurePosixPath(member.filename).parts)
    ]
    if not scans:
        raise ScanError(f"{name} is a ZIP archive without a scan in it; a scan ends with {', '.join(SCAN_ENDINGS)}")
    if len(scans) > 1:
        found = ", ".join(f"'{PurePosixPath(member.filename).name[:40]}'" for member in scans[:4])
        raise ScanError(f"{name} holds {len(scans)} scans ({found}); unpack it and name the one that shows the limb")
    (member,) = scans
    _check_size(member, name)
    return member


def _check_size(member: zipfile.ZipInfo, name: str) -> None:
    if member.flag_bits & 1:
        raise ScanError(f"{name} is locked by a password; share it without one")
    if member.file_size > MOST_BYTES or member.file_size > MOST_PACKED * max(1, member.compress_size):
        raise _too_large(name, member.file_size)


def _too_large(name: str, size: int) -> ScanError:
    return ScanError(
        f"the scan in {name} would unpack to {size / 1e6:.0f} MB or more, packed tighter than any scan is or beyond "
        f"{MOST_BYTES / 1e6:.0f} MB; unpack it yourself if you trust it, or export it with fewer faces"
    )
