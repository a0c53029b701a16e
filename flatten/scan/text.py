"""The text of a scan file, whatever editor or system wrote it, in the plain form that its reader expects."""

from __future__ import annotations

import codecs
import re

from flatten.scan.model import ScanError

_DECIMAL_COMMA = re.compile(rb"^[ \t]*(?:v|vertex)?[ \t]*[-+]?\d+,\d+[ \t]+[-+]?\d+(?:,\d+)?[ \t]", re.M | re.I)
"""A vertex whose first number has a comma in it."""

_HEAD = 65536
"""bytes. A file that writes decimals with a comma does so here."""

_REMARK = re.compile(rb"(?<=[^\n])[ \t]+#[^\n]*")


def plain_bytes(data: bytes) -> bytes:
    """The file `data` as it is, or where it begins with a mark of UTF-8 or UTF-16 as UTF-8 without that mark.

    What is no character becomes a sign that no number holds, so that its line is refused where numbers are read.
    """
    if data.startswith(codecs.BOM_UTF8):
        return data[len(codecs.BOM_UTF8) :]
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", errors="replace").encode("utf-8", errors="replace")
    return data


def plain_obj(data: bytes) -> bytes:
    """An OBJ with one blank between words, lines that end in a line feed, and no remark behind a value."""
    if b"\r" in data:
        data = data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    data = data.replace(b"\t", b" ")
    if b"\n " in data or data.startswith(b" "):
        data = re.sub(rb"^ +", b"", data, flags=re.M)
    if b" #" in data:
        data = _REMARK.sub(b"", data)
    return data


def check_decimals(data: bytes, *, name: str) -> None:
    """Raise ScanError where a text format that knows only decimal points has commas in its coordinates."""
    if b"\x00" not in data[:_HEAD] and _DECIMAL_COMMA.search(data[:_HEAD]):
        raise ScanError(f"{name} writes decimals with a comma (12,5); export it with decimal points (12.5)")
