"""The sides of a limb in its own words, "thumb side" or "shin", read as the quarters that settings know."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flatten.limb.words import OTHER_WORDS, SIDE_NAMES, side_number

QUARTER_NAMES = ("front", "outside", "back", "inside")


def in_quarters(table: Any) -> Any:
    """A job's table with the limb's own words for its sides replaced by quarters, all else as it is.

    Words are those of seams and darts (`along`, `on_top`), of edges and of what is worn beneath. Raises ValueError,
    with the place, where a word is another limb's or names a quarter a second time.
    """
    if not isinstance(table, Mapping):
        return table
    scan = table.get("scan")
    kind = scan.get("limb", "lower leg") if isinstance(scan, Mapping) else getattr(scan, "limb", None)
    if kind not in SIDE_NAMES:
        return table
    found = dict(table)
    for name in ("seam", "dart"):
        if isinstance(found.get(name), list):
            found[name] = [_told(kind, f"[[{name}]] {k}", row) for k, row in enumerate(found[name], 1)]
    edges, wear = found.get("edges"), found.get("wear")
    if isinstance(edges, Mapping):
        found["edges"] = {key: _keyed(kind, f"[edges] {key}", value) for key, value in edges.items()}
    if isinstance(wear, Mapping) and "under" in wear:
        found["wear"] = {**wear, "under": _keyed(kind, "[wear] under", wear["under"])}
    return found


def _told(kind: str, place: str, row: Any) -> Any:
    """A seam's or dart's table with its sides as quarters."""
    if not isinstance(row, Mapping):
        return row
    words = {key: row[key] for key in ("along", "on_top") if isinstance(row.get(key), str)}
    return {**row, **{key: _quarter(kind, f"{place}, {key}", word) for key, word in words.items()}}


def _keyed(kind: str, place: str, value: Any) -> Any:
    """A table by sides with quarters for keys; anything else as it is."""
    if not isinstance(value, Mapping):
        return value
    found: dict[str, Any] = {}
    for key, amount in value.items():
        name = _quarter(kind, place, key)
        if name in found:
            raise ValueError(f"{place}: the {name} is told twice, once as '{key}'; leave one out")
        found[name] = amount
    return found


def _quarter(kind: str, place: str, word: str) -> str:
    """The quarter that a word means; words that mean no side of any limb as they are."""
    if word in QUARTER_NAMES:
        return word
    number = side_number(kind, word)
    if number is not None:
        return QUARTER_NAMES[number]
    if any(side_number(other, word) is not None for other in SIDE_NAMES):
        own = (*SIDE_NAMES[kind], *OTHER_WORDS[kind])
        raise ValueError(f"{place}: '{word}' is no side of a {kind}; its sides are {', '.join(own)}")
    return word
