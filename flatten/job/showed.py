"""What a try-on showed, in a maker's words: a small fixed grammar of sentences, read into amounts and places."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from flatten.limb.kind import KINDS, QUARTERS, tape_places
from flatten.units import UnitError, length

MOST_GIRTH = 80.0
"""mm of girth that one sentence can change: a fifth of a calf. More is a slip, or another limb."""

MOST_APART = 15.0
"""mm that a mock-up can stand off: as much girth, all round."""

MOST_EDGE = 100.0
"""mm that one sentence can move an edge."""

FREED = 10.0
"""mm by which an edge that touches gives way where nobody says by how much: a finger's breadth, for leather that was
cut away does not grow again. From memory."""

HOLD = 6.0
"""mm of girth that are taken in at the top of a piece that slides down, so that it catches above the widest place: half
of the usual ease of 5 to 15 mm, rounded up. From memory."""

FORMS = (
    "fits at the widest",
    "tight by 6 mm at the widest",
    "10 mm loose at the top",
    "tight by 5 mm at 200 mm in front",
    "stands off by 4 mm at the bottom behind",
    "top edge 10 mm too high behind",
    "top edge touches behind at 90 degrees by 8 mm",
    "slides down",
)
"""One sentence of each form, as errors show them."""

JOINTS = ("knee", "elbow", "ankle", "wrist", "hip", "shoulder")

Kind = Literal["girth", "apart", "edge", "touch", "slide"]


@dataclass(frozen=True)
class Saying:
    """One sentence that was understood.

    `amount` is mm: of girth that is to be added ("girth", "slide"), by which the face is to move out ("apart"), by
    which an edge is to rise ("edge"), or by which it is to give way ("touch"). `place` is a tape place's name, "top",
    "bottom", "middle", a height (mm), or None: all over. `side` is the maker's word for one of the limb's sides, None:
    all round. `edge` is "top" or "bottom", or the name of the joint that tells which.
    """

    text: str
    kind: Kind
    amount: float
    place: str | float | None = None
    side: str | None = None
    edge: str | None = None


_UNIT = r"(?:mm|cm|inches|inch|in(?!\s+front)|\")"
_AMOUNT = rf"((?:\d+[\s-]+)?\d+(?:/\d+|\.\d+)?\s*{_UNIT})"
_GIRTH = re.compile(
    rf"(?:{_AMOUNT} (?:too )?(?P<before>tight|loose)|(?:too )?(?P<after>tight|loose) by {_AMOUNT})(?P<where>$| .*)"
)
_FITS = re.compile(r"fits(?: well)?(?P<where>$| .*)")
_APART = re.compile(rf"stands off (?:by )?{_AMOUNT}(?P<where>$| .*)")
_EDGE = re.compile(
    rf"(?P<edge>top|bottom) edge (?:is )?"
    rf"(?:{_AMOUNT} too (?P<before>high|low)|too (?P<after>high|low) by {_AMOUNT})(?P<where>$| .*)"
)
_TOUCH = re.compile(r"(?:(?P<edge>top|bottom) )?edge touches(?P<where>$| .*)")
_SLIDE = re.compile(r"slides down")
_ANGLE = re.compile(r"\bat \d+(?:\.\d+)? degrees?\b")
_BY = re.compile(rf"\bby {_AMOUNT}")
_JOINT = re.compile(rf"\b(?:(?P<side>behind|in front of)|at|of) the (?P<joint>{'|'.join(JOINTS)})\b")
_PLACE = re.compile(
    rf"\b(?:at the (?P<name>{'|'.join((*tape_places(), 'top', 'bottom'))})|in the (?P<middle>middle)"
    rf"|at (?P<below>[-−])?{_AMOUNT}|(?P<over>all over|everywhere))(?=$|\s)"
)
_SIDE = re.compile(r"(?:(?:on|at|in|to|from) )?(?:the )?(?P<word>\S.*)")
_SHORT_OF_AMOUNT = re.compile(r"(?:too )?(tight|loose)\b|stands off\b|(?:top|bottom) edge (?:is )?too (?:high|low)\b")


def saying(text: str) -> Saying:
    """The sentence as it is understood.

    Raises ValueError where it is none of the forms, says not by how much or too much, or names no place or side.
    """
    plain = " ".join(re.sub(r"[(),;.](?!\d)", " ", text.lower().replace("°", " degrees ")).split())
    for form, read in ((_GIRTH, _girth), (_FITS, _fits), (_APART, _apart), (_EDGE, _edge), (_TOUCH, _touch)):
        found = form.fullmatch(plain)
        if found:
            return read(text, found)
    if _SLIDE.fullmatch(plain):
        return Saying(text, "slide", -HOLD, "top")
    if _SHORT_OF_AMOUNT.match(plain):
        raise ValueError(f"'{text}' does not say by how much; write a length with its unit: {_listed(FORMS[1:6])}")
    raise ValueError(f"'{text}' is not understood; write it like one of {_listed(FORMS)}")


def _girth(text: str, found: re.Match[str]) -> Saying:
    sign = 1.0 if (found["before"] or found["after"]) == "tight" else -1.0
    amount = _amount(text, found[1] or found[4], most=MOST_GIRTH)
    return Saying(text, "girth", sign * amount, *_where(text, found["where"]))


def _fits(text: str, found: re.Match[str]) -> Saying:
    return Saying(text, "girth", 0.0, *_where(text, found["where"]))


def _apart(text: str, found: re.Match[str]) -> Saying:
    return Saying(text, "apart", -_amount(text, found[1], most=MOST_APART), *_where(text, found["where"]))


def _edge(text: str, found: re.Match[str]) -> Saying:
    sign = 1.0 if (found["before"] or found["after"]) == "low" else -1.0
    amount = _amount(text, found[2] or found[5], most=MOST_EDGE)
    return Saying(text, "edge", sign * amount, side=_side(text, found["where"]), edge=found["edge"])


def _touch(text: str, found: re.Match[str]) -> Saying:
    rest = _ANGLE.sub(" ", found["where"])
    by, joint = _BY.search(rest), _JOINT.search(rest)
    amount = FREED if by is None else _amount(text, by[1], most=MOST_EDGE)
    rest = _BY.sub(" ", rest)
    side = None
    if joint:
        side = {"behind": "back", "in front of": "front", None: None}[joint["side"]]
        rest = _JOINT.sub(" ", rest)
    side = _side(text, rest) or side
    edge = found["edge"] or (joint["joint"] if joint else None)
    if edge is None:
        raise ValueError(f"'{text}' does not say which edge; write 'top edge touches …' or 'bottom edge touches …'")
    return Saying(text, "touch", amount, side=side, edge=edge)


def _amount(text: str, amount: str, *, most: float) -> float:
    try:
        found = length(amount)
    except UnitError as error:
        raise ValueError(f"'{text}': {error}") from None
    if found > most:
        raise ValueError(f"'{text}' is more than a fitting changes; {most:g} mm is the most, so measure the limb again")
    return found


def _where(text: str, where: str) -> tuple[str | float | None, str | None]:
    """The place and the side of a sentence's end."""
    found = _PLACE.search(where)
    if not found:
        return None, _side(text, where)
    place: str | float | None = found["name"] or found["middle"]
    if found[4]:
        place = length(found[4]) * (-1.0 if found["below"] else 1.0)
    return place, _side(text, where[: found.start()] + where[found.end() :])


def _side(text: str, rest: str) -> str | None:
    """The maker's word for a side in what is left of a sentence, None where nothing is."""
    found = _SIDE.fullmatch(" ".join(rest.split()))
    if not found:
        return None
    word = "back" if found["word"] == "behind" else found["word"]
    if word in QUARTERS or any(kind.side_number(word) is not None for kind in KINDS.values()):
        return word
    places = ", ".join(f"'at the {place}'" for place in (*tape_places(), "top", "bottom"))
    raise ValueError(
        f"'{text}': '{found[0]}' is no place and no side; places are {places}, 'in the middle', 'all over' or a height "
        "such as 'at 120 mm', sides 'in front', 'behind', 'outside', 'inside' or the limb's own, such as 'on the thumb "
        "side'"
    )


def _listed(forms: tuple[str, ...]) -> str:
    *first, last = (f"'{form}'" for form in forms)
    return f"{', '.join(first)} or {last}"
