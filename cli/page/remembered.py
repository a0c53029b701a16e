"""Parts of what the page is told, made anew only where what they are made from is another."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

Part = TypeVar("Part")

Remembered = dict[str, tuple[tuple[object, ...], Any]]
"""Parts by their names, each with what it was made from."""


def remembered(parts: Remembered, name: str, made_from: Sequence[object], make: Callable[[], Part]) -> Part:
    """The part of a name: what was made last from these very objects (not others that are equal), or by `make`.

    A state is told with every step of the work, which changes a line of it; its lines and sentences cost more than
    the step. Objects are never changed here, so the same ones have the same part. What a part raises is not kept.
    """
    given = tuple(made_from)
    had = parts.get(name)
    if had is not None and len(had[0]) == len(given) and all(map(_same, had[0], given)):
        return had[1]
    made = make()
    parts[name] = given, made
    return made


def _same(one: object, other: object) -> bool:
    return one is other or (type(one) is type(other) and isinstance(one, int | str) and one == other)
