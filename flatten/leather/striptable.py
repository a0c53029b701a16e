"""Readings of strips from a spreadsheet's CSV text, as a table that a TOML file would give."""

from __future__ import annotations

import csv
import io
import re
from typing import Any

from flatten.leather.model import LeatherError

_COLUMNS = {
    name.lower(): name
    for name in (
        *("direction", "L0", "L1", "L2", "L3", "L4", "load", "width", "thickness", "hide"),
        *("wet", "dried", "before", "after", "round", "chord", "rise"),
    )
}
"""Columns by their names in small letters."""

_CARRIED = ("load", "width", "thickness", "hide")
"""What holds for the rows below too, until another is said: a spreadsheet states it once."""

_SORTS = {"unloaded": ("wet", "dried"), "hardened": ("before", "after"), "curved": ("round", "chord", "rise")}
"""Rows that are no loaded strips, by the columns that they fill."""

_HEADING = re.compile(r"\s*([A-Za-z0-9]+)\s*(?:[\[(]\s*([A-Za-z]*)\s*[\])])?\s*$")
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d*)?$")
_WITH_COMMA = re.compile(r"([+-]?\d+),(\d+)(\s*[A-Za-z\"]*)$")


def strip_table(text: str, *, name: str) -> dict[str, Any]:
    """The tables `strip`, `unloaded`, `hardened` and `curved` of a CSV text whose first line names its columns.

    Columns stand between commas or semicolons, and are called as the keys of a TOML file, `direction`, `L0` to `L4`,
    `load`, `width`, `thickness`, `hide`, `wet`, `dried`, `before`, `after`, `round`, `chord`, `rise`, a unit in
    brackets behind: "L0 (mm)". A
    number without a unit is mm, or kg for the load; between semicolons its decimals may stand after a comma. What is
    said of load, width, thickness and hide holds for the rows below. Each entry has its `line` in the file.

    Raises LeatherError where a column is unknown or there twice, or a row has more cells than there are columns.
    """
    lines = text.splitlines()
    separator = ";" if ";" in next((line for line in lines if line.strip()), "") else ","
    reader = csv.reader(io.StringIO(text), delimiter=separator)
    columns: list[tuple[str, str]] = []
    carried: dict[str, str] = {}
    found: dict[str, Any] = {"strip": [], **{sort: [] for sort in _SORTS}}
    for row in reader:
        cells = [cell.strip() for cell in row]
        if not any(cells):
            continue
        if not columns:
            columns = _columns(cells, name)
            continue
        if any(cells[len(columns) :]):
            decimals = (
                "; where decimals stand after a comma, put semicolons between columns" if separator == "," else ""
            )
            raise LeatherError(
                f"line {reader.line_num} of '{name}' has {len(cells)} cells for {len(columns)} columns{decimals}"
            )
        read = {
            column: _value(cell, column, unit)
            for (column, unit), cell in zip(columns, cells, strict=False)
            if column and cell
        }
        sort = next((sort for sort, keys in _SORTS.items() if any(key in read for key in keys)), "strip")
        carried |= {key: read[key] for key in _CARRIED if key in read}
        own = {key: value for key, value in read.items() if key not in _CARRIED}
        entry = carried | read if sort == "strip" else own
        if sort == "curved" and "thickness" in carried:
            entry = {"thickness": carried["thickness"]} | own
        found[sort].append(entry | {"line": reader.line_num})
    return found


def _columns(cells: list[str], name: str) -> list[tuple[str, str]]:
    """The columns' names with their units, "" for those that are left empty."""
    columns: list[tuple[str, str]] = []
    for cell in cells:
        heading = _HEADING.match(cell)
        column = _COLUMNS.get(heading[1].lower(), "") if heading else ""
        if cell and not column:
            known = ", ".join(_COLUMNS.values())
            raise LeatherError(f"'{name}' has the unknown column '{cell}'; known are {known}")
        if column and column in [own for own, _ in columns]:
            raise LeatherError(f"'{name}' has the column '{column}' twice; leave one of them out")
        columns.append((column, (heading[2] or "") if heading else ""))
    if "direction" not in [own for own, _ in columns]:
        raise LeatherError(
            f"'{name}' has no column 'direction'; its first line must name the columns: direction, L0, L2"
        )
    return columns


def _value(cell: str, column: str, unit: str) -> str:
    """A cell as a TOML file would have it: with its unit, and decimals after a point."""
    if column in ("direction", "hide"):
        return cell.lower() if column == "direction" else cell
    cell = _WITH_COMMA.sub(r"\1.\2\3", cell)
    return f"{cell} {unit or ('kg' if column == 'load' else 'mm')}" if _NUMBER.match(cell) else cell
