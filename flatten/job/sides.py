"""The sides of a limb in its own words, "thumb side" or "shin", read as the quarters that settings know."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from flatten.job.showed import saying
from flatten.limb.kind import KINDS, QUARTERS, LimbKind


def in_quarters(table: Any) -> Any:
    """A job's table with the limb's own words for its sides replaced by quarters, all else as it is.

    Words are those of seams and darts (`along`, `on_top`, `buckles`), of plates (`around`, `rivets`), of edges and of
    what is worn beneath; those in the sentences of fittings stay, and are looked at. Where the limb is not named
    ("auto"), those of any limb. Raises ValueError, with the place, where a word is another limb's, means another side
    on one limb than on another that may be meant, or names a quarter a second time.
    """
    if not isinstance(table, Mapping):
        return table
    scan = table.get("scan")
    limb = scan.get("limb", "auto") if isinstance(scan, Mapping) else getattr(scan, "limb", None)
    if not isinstance(limb, str) or limb not in ("auto", *KINDS):
        return table
    kind = KINDS.get(limb)
    found = dict(table)
    for name in ("seam", "dart", "plate"):
        if isinstance(found.get(name), list):
            found[name] = [_row_in_quarters(kind, f"[[{name}]] {k}", row) for k, row in enumerate(found[name], 1)]
    if isinstance(found.get("fitting"), list):
        for number, row in enumerate(found["fitting"], 1):
            _check_sayings(kind, f"[[fitting]] {number}", row)
    edges, wear = found.get("edges"), found.get("wear")
    if isinstance(edges, Mapping):
        found["edges"] = {key: _keyed(kind, f"[edges] {key}", value) for key, value in edges.items()}
    if isinstance(wear, Mapping) and "under" in wear:
        found["wear"] = {**wear, "under": _keyed(kind, "[wear] under", wear["under"])}
    return found


def _check_sayings(kind: LimbKind | None, place: str, row: Any) -> None:
    """ValueError where what a fitting showed cannot be read, or names a side that is not the limb's."""
    showed = row.get("showed") if isinstance(row, Mapping) else None
    for text in [showed] if isinstance(showed, str) else showed if isinstance(showed, list) else ():
        if isinstance(text, str):
            try:
                word = saying(text).side
            except ValueError as error:
                raise ValueError(f"{place}, showed: {error}") from None
            if word is not None:
                _quarter(kind, f"{place}, showed", word)


def _row_in_quarters(kind: LimbKind | None, place: str, row: Any) -> Any:
    """A seam's, dart's or plate's table with its sides as quarters."""
    if not isinstance(row, Mapping):
        return row
    words = {key: row[key] for key in ("along", "on_top", "buckles") if isinstance(row.get(key), str)}
    lists = {key: row[key] for key in ("around", "rivets") if isinstance(row.get(key), list)}
    return {
        **row,
        **{key: _quarter(kind, f"{place}, {key}", word) for key, word in words.items()},
        **{
            key: [_quarter(kind, f"{place}, {key}", word) if isinstance(word, str) else word for word in own]
            for key, own in lists.items()
        },
    }


def _keyed(kind: LimbKind | None, place: str, value: Any) -> Any:
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


def _quarter(kind: LimbKind | None, place: str, word: str) -> str:
    """The quarter that a word means; words that mean no side of any limb as they are."""
    if word in QUARTERS:
        return word
    numbers = {other.name: other.side_number(word) for other in KINDS.values()}
    known = {name: number for name, number in numbers.items() if number is not None}
    if kind is None:
        if len(set(known.values())) > 1:
            raise ValueError(f"{place}: '{word}' is not the same side of a {' and a '.join(known)}; name the limb")
        return QUARTERS[next(iter(known.values()))] if known else word
    number = numbers.get(kind.name, kind.side_number(word))
    if number is not None:
        return QUARTERS[number]
    if known:
        own = (*kind.sides, *(word for word, _ in kind.side_words))
        raise ValueError(f"{place}: '{word}' is no side of a {kind}; its sides are {', '.join(own)}")
    return word
