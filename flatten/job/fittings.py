"""Settings of mock-ups and of what they showed when they were tried on, and of muscles that swell."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import PlainSerializer, PlainValidator

from flatten.job.amounts import SheetThickness, length_text
from flatten.job.points import FrozenSettings
from flatten.job.showed import Saying, saying
from flatten.limb.kind import tape_places
from flatten.units import UnitError, length

MOST_SWELLING = 40.0
"""mm of girth that a muscle swells by when flexed at most: a strong upper arm's. From memory."""


class MockupSettings(FrozenSettings):
    """A mock-up of the pieces: of which `material` ("none": none is drawn), and how thick; "auto" is the usual."""

    material: Literal["none", "paper", "felt", "foam", "cloth"] = "none"
    thickness: SheetThickness = None


def _sayings(value: Any) -> tuple[Saying, ...]:
    if isinstance(value, tuple) and all(isinstance(each, Saying) for each in value):
        return value
    given = [value] if isinstance(value, str) else value
    if not isinstance(given, list | tuple) or not all(isinstance(each, str) for each in given):
        raise ValueError(f"{value!r} is no list of sentences; write ['tight by 6 mm at the widest', 'slides down']")
    return tuple(saying(each) for each in given)


def _texts(value: tuple[Saying, ...]) -> list[str]:
    return [each.text for each in value]


class FittingSettings(FrozenSettings):
    """One try-on: of which material, how thick ("auto" is the usual, and the leather's own), cut by which `pattern`.

    `pattern` "auto" is the leather's where leather was tried, else the mock-up's for that material. `side` is the limb
    that it was tried on, where a pair is cut to two scans and it holds for one alone. What it `showed` changes the
    pattern; each later fitting was tried on what the earlier ones left.
    """

    material: Literal["paper", "felt", "foam", "cloth", "leather"] = "paper"
    thickness: SheetThickness = None
    pattern: Literal["auto", "mock-up", "leather"] = "auto"
    side: Literal["both", "left", "right"] = "both"
    showed: Annotated[tuple[Saying, ...], PlainValidator(_sayings), PlainSerializer(_texts)] = ()


Swelling = tuple[tuple[str | float, float], ...]
"""Places (a tape place's name or a height, mm) and what a flexed muscle adds to the girth there, mm."""


def _swelling(value: Any) -> Swelling:
    if isinstance(value, tuple):
        return value
    table = value if isinstance(value, dict) else {"widest": value}
    return tuple((_place(key), _more(amount)) for key, amount in table.items())


def _place(key: str) -> str | float:
    if key in tape_places():
        return key
    try:
        return length(key)
    except UnitError:
        places = ", ".join(f"'{place}'" for place in tape_places())
        raise ValueError(f"'{key}' is no place for a muscle; write {places}, or a height such as '120 mm'") from None


def _more(amount: Any) -> float:
    more = length(amount)
    if not 0.0 <= more <= MOST_SWELLING:
        raise ValueError(f"'{amount}' is outside 0 to {MOST_SWELLING:g} mm")
    return more


def _swelling_text(value: Swelling) -> Any:
    if len(value) == 1 and value[0][0] == "widest":
        return length_text(value[0][1])
    return {length_text(place): length_text(more) for place, more in value}


Flexed = Annotated[Swelling, PlainValidator(_swelling), PlainSerializer(_swelling_text)]
"""What a flexed muscle adds to the girth: one amount at the widest place, or a table of amounts by places."""

FLEXED_NONE: Swelling = (("widest", 0.0),)
"""No muscle swells."""
