"""Points from a table of numbers: XYZ, TXT, CSV and PTS, as scanners and spreadsheets write them."""

from __future__ import annotations

import io
import re

import numpy as np

from flatten.findings import Finding, finding
from flatten.mesh.surface import Floats
from flatten.scan.model import ScanError

_LOOKED_AT = 40
"""Lines at the head of a table by which its separators are told."""

_COMMENT = (b"#", b"//")
_AXES = (b"x", b"y", b"z")
_FIELDS = re.compile(rb"[\s,;]+")


def is_table(head: bytes) -> bool:
    """Whether the first or second line that is no remark holds three numbers: one line of names or a count may lead."""
    return any(_numbers(line) >= 3 for line in _lines(head)[:2])


def table_points(data: bytes, *, name: str) -> tuple[Floats, tuple[Finding, ...]]:
    """Points (N,3) of the table `data`, in its own unit, and what was understood on the way ("comma", "columns").

    Columns named x, y, z are taken where a first line or the last remark names them, else the first three, without a
    column that only counts the rows. Fields stand between blanks, tabs, commas or semicolons; where these are something
    else, a comma is a decimal one. A first line of one whole number counts the points, as in PTS.

    Raises ScanError where rows differ in length or hold words, where fewer rows are there than counted, and where
    which columns are the coordinates cannot be told.
    """
    data = data.replace(b'"', b"")
    lines = _lines(data[: 400 * _LOOKED_AT])[:_LOOKED_AT]
    first = lines[0].strip()
    rows = [line for line in lines if _numbers(line) >= 3]
    repairs: list[Finding] = []
    comma = _decimal_comma(rows, name)
    if comma:
        data = data.replace(b",", b".")
        repairs.append(finding("scan.comma", "note", count=1))
    elif b"," in data:
        data = data.replace(b",", b" ")
    data = data.replace(b";", b" ").replace(b"//", b"#")
    header = None
    if _numbers(first) < 3:
        header = first
        start = data.index(first.replace(b",", b"." if comma else b" ").replace(b";", b" "))
        data = data[start + len(first) :]
    try:
        table = np.loadtxt(io.StringIO(data.decode("latin-1")), comments="#", ndmin=2)
    except ValueError as error:
        reason = str(error).split(";")[0].rstrip(".")
        raise ScanError(
            f"{name} has a line that is no point of three numbers, or is longer or shorter than the others ({reason}); "
            "export it again"
        ) from error
    if header is not None and header.isdigit():
        if len(table) < int(header):
            raise ScanError(
                f"{name} is cut off: it announces {int(header)} points and holds {len(table)}; copy or export it again"
            )
        header = None
    columns, findings = _columns(table, _named(header, data, table.shape[1]), words=header is not None, name=name)
    return np.ascontiguousarray(table[:, columns]), (*repairs, *findings)


def _lines(data: bytes) -> list[bytes]:
    return [line for line in data.splitlines() if line.strip() and not line.lstrip().startswith(_COMMENT)]


def _numbers(line: bytes) -> int:
    """How many fields a line of nothing but numbers has; 0 where one is a word."""
    fields = [field for field in _FIELDS.split(line.replace(b'"', b"").strip()) if field]
    try:
        return len([float(field) for field in fields])
    except ValueError:
        return 0


def _decimal_comma(rows: list[bytes], name: str) -> bool:
    """Whether a comma in these rows parts a number's decimals, for something else parts the fields."""
    text = b"\n".join(rows)
    if b"," not in text:
        return False
    if b"." not in text:
        fields = [re.split(rb"[;\t]+|[ ]+", row.strip()) for row in rows]
        if all(len(row) >= 3 and all(re.fullmatch(rb"[-+]?\d+(,\d+)?;?", field) for field in row) for row in fields):
            return True
        if b" " not in text and min(row.count(b",") for row in rows) >= 5:
            raise ScanError(
                f"{name} has commas between all its digits, between numbers or as decimals; export it with decimal "
                "points (12.5)"
            )
    return False


def _named(header: bytes | None, data: bytes, width: int) -> list[bytes] | None:
    """The names of `width` columns, from the first line or from a remark before the points."""
    remarks = [line.lstrip(b"#/ \t") for line in data[:4096].splitlines() if line.lstrip().startswith(_COMMENT)]
    for line in [header, *remarks]:
        names = [field for field in _FIELDS.split((line or b"").strip().lower()) if field]
        if len(names) == width and all(names.count(axis) == 1 for axis in _AXES):
            return names
    return None


def _columns(table: Floats, names: list[bytes] | None, *, words: bool, name: str) -> tuple[list[int], list[Finding]]:
    if names is not None:
        columns = [names.index(axis) for axis in _AXES]
        noted = finding("scan.columns", "note", count=3, named=tuple(column + 1 for column in columns))
        return columns, [noted] if columns != [0, 1, 2] else []
    width = table.shape[1]
    if width < 3:
        raise ScanError(f"{name} has {width} numbers a line, and a point has three; export it again")
    if words and width > 3:
        raise ScanError(
            f"{name} has {width} columns, and its first line names none of them x, y and z; name them so, or leave "
            "only those three"
        )
    counted = width > 3 and len(table) > 1 and bool((np.diff(table[:, 0]) == 1).all())
    if counted:
        return [1, 2, 3], [finding("scan.columns", "note", count=3, named=None)]
    whole = (table == np.round(table)) & (table >= 0) & (table <= 255)
    if width >= 6 and whole[:, :3].all() and not whole[:, 3:6].all():
        raise ScanError(
            f"{name} begins its lines with whole numbers from 0 to 255, as colours are; put x, y and z first, or name "
            "the columns in a first line"
        )
    return [0, 1, 2], []
