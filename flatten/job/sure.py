"""The job file's [sure]: figures of stops that the maker has looked at, read and written."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable
from typing import Any

from flatten.job.amounts import is_number
from flatten.report.sure import KEYS, Sure, written
from flatten.units import UnitError, length

_SIDES = ("left", "right")

_NUMBER = re.compile(r"\s*([+-]?\d+(?:\.\d*)?|[+-]?\.\d+)\s*(%|°)\s*$")

_WANTED = {
    "ratio": "a number such as 1.36",
    "share": "a percentage such as '7 %'",
    "mm": "a length such as '17 mm'",
    "degrees": "an angle such as '64°'",
    "name": "a word such as 'left'",
}


def sure_from(table: Any) -> tuple[Sure, ...]:
    """The figures of a [sure] table, in the order of gravity of their keys.

    Each key has a figure, a list of them where several stops share it, or a table of either by "left" and "right".

    Raises ValueError where a key is none, or its figure makes no sense or is one that nothing settles.
    """
    if isinstance(table, tuple):
        return table
    if not isinstance(table, dict):
        raise ValueError("it must be a table of figures, such as size = 1.36")
    for key in table:
        if key not in KEYS:
            raise ValueError(f"'{key}' is unknown; {_nearest(str(key))}")
        if key == "limits":
            raise ValueError(
                "exceeded limits are settled only by other limits; take 'limits' out here, and change limits under "
                "[leather], an edge or a seam"
            )
        if KEYS[key] is None:
            raise ValueError(
                f"'{key}' is not mended by being sure of it; take it out here, and do what the report says of it"
            )
    return tuple(one for key in KEYS if key in table for one in _entries(key, table[key]))


def sure_table(entries: Iterable[Sure]) -> dict[str, Any]:
    """The table that reads as these figures again."""
    table: dict[str, Any] = {}
    for one in entries:
        place, at = (table, one.key) if one.limb is None else (table.setdefault(one.key, {}), one.limb)
        place.setdefault(at, []).append(written(one.key, one.value))
    return {key: _alone(value) for key, value in table.items()}


def _alone(value: Any) -> Any:
    """A single figure as itself, several as a list."""
    if isinstance(value, dict):
        return {side: _alone(own) for side, own in value.items()}
    return value[0] if len(value) == 1 else value


def _entries(key: str, value: Any) -> Iterable[Sure]:
    by_side = value if isinstance(value, dict) else {None: value}
    for side, figures in by_side.items():
        if side is not None and side not in _SIDES:
            raise ValueError(f"'{key}' is told for '{side}'; the limbs of a pair are left and right")
        for figure in figures if isinstance(figures, list | tuple) else (figures,):
            yield Sure(key, _value(key, figure), side)


def _value(key: str, figure: Any) -> float | str:
    unit = KEYS[key]
    assert unit is not None
    found = _NUMBER.match(figure) if isinstance(figure, str) else None
    if unit == "name" and isinstance(figure, str) and figure:
        return figure
    if unit == "ratio" and is_number(figure) and figure > 0:
        return float(figure)
    if unit == "share" and found and found[2] == "%":
        return float(found[1]) / 100.0
    if unit == "degrees" and found and found[2] == "°":
        return math.radians(float(found[1]))
    if unit == "mm" and isinstance(figure, str):
        try:
            return length(figure)
        except UnitError:
            pass
    raise ValueError(f"'{key}' is {figure!r}; write {_WANTED[unit]}, as the report tells it")


def _nearest(key: str) -> str:
    settled = [each for each, unit in KEYS.items() if unit is not None]
    near = difflib.get_close_matches(key, KEYS, n=1, cutoff=0.5)
    return f"did you mean '{near[0]}'?" if near else f"known here are {', '.join(settled)}"
