"""What is bought for the pieces, in English."""

from __future__ import annotations

from flatten.words.english.amounts import capital, listed, metres, mm, plural
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed

_NOUNS = {
    "seam": "the seam",
    "strap": "the straps of",
    "buckle strap": "the buckles’ straps of",
    "dart": "the dart",
    "slash": "the slash",
    "plate": "the plate",
    "lame": "the lame",
    "lining": "the lining of",
    "edge": "the edge of",
}

STRAP_PARTS = {
    "end": "to the first rivet",
    "rivets": "to the second",
    "to edge": "to the edge of the piece",
    "gap": "over the gap",
    "holes": "to the last hole",
    "tip": "for the tip",
    "bar": "round the buckle’s bar",
    "from edge": "back to the third rivet",
    "rivets again": "to the fourth",
    "behind": "behind it",
    "fold": "turned back at the buckle",
    "to slot": "from the bar to the slot beside it",
    "beneath": "beneath both edges to the other slot",
    "over": "back over the gap",
    "to bar": "to the bar",
}
"""What each part of a strap's length is for."""


def use(
    item: str,
    joined: str,
    seam: str,
    count: int,
    length: float,
    sold: float,
    hole: float,
    width: float,
    cut: str | None,
    lace: str | None,
) -> str:
    """What one seam, dart or plate takes."""
    s, place = plural(count), f"{_NOUNS[joined]} “{named(seam)}”"
    text = {
        "eyelet": f"{count} eyelet{s} in holes of {hole:g} mm, to lace {place}",
        "rivet": f"{count} rivet{s} in holes of {hole:g} mm, with posts of {sold:g} mm, for {place}",
        "snap": f"{count} snap{s} in holes of {hole:g} mm, with posts of {sold:g} mm, for {place}",
        "lace": f"{count} lace{s} of {metres(sold)} for {place}",
        "thread": (
            f"about {metres(count * length)} of waxed thread for {place}, four times the length that it stitches"
        ),
        "strap": f"{count} strap{s} {mm(sold)} long and {width:g} mm wide for {place}",
        "buckle strap": f"{count} strap{s} for the buckle{s} of {place}, {mm(sold)} long and {width:g} mm wide",
        "buckle": f"{count} buckle{s} for straps {width:g} mm wide, for {place}",
        "strip": f"{count} strip{s} of the same leather beneath {place}, {mm(sold)} long",
    }[item]
    if item == "strip" and width:
        text += f" and {mm(width)} wide at the edge"
    return " ".join([f"{capital(text)}{f': {lace}' if lace else ''}.", *([cut] if cut else [])])


def lace(crossings: int, crossing: float, apart: float, tail: float) -> str:
    """What the length of a criss-cross lace is made of."""
    whole = crossings * crossing + apart + 2.0 * tail
    return (
        f"{crossings} crossing{plural(crossings)} of {crossing:.1f} mm, one bar of {mm(apart)} and two ends of "
        f"{mm(tail)} to tie make {mm(whole)}"
    )


def strap(
    parts: tuple[str, ...],
    rivets: tuple[str, ...],
    holes: tuple[str, ...],
    hole: float,
    planned: float | None,
    pin: float | None,
    pin_slot: float,
) -> str:
    """How a strap is cut, from its square end."""
    told = [f"From its square end: {', '.join(parts)}", f"Rivet holes at {listed(rivets)} mm"]
    if pin is not None:
        told.append(
            f"A slot for the buckle’s pin, {pin_slot:g} × {hole:g} mm, with its middle at {mm(pin)}, where it is folded"
        )
    if holes:
        closes = "" if planned is None else f"; that at {mm(planned)} closes it as planned"
        told.append(f"Holes of {hole:g} mm in the tongue at {listed(holes)} mm{closes}")
    return " ".join(f"{each}." for each in told)


def strap_part(strap_part: str, length: float) -> str:
    """One part of a strap's length."""
    return f"{mm(length)} {STRAP_PARTS[strap_part]}"


def total(
    total: str,
    count: int,
    length: float,
    sold: float,
    hole: float,
    inner: float,
    flange: float,
    width: float,
    lines: int,
    thickness: float,
) -> str:
    """One line of the shopping list."""
    s = plural(count)
    needed = f"at least {round(length, 1):g}"
    return {
        "eyelet": (
            f"{count} eyelet{s} for holes of {hole:g} mm: {inner:g} mm wide inside, flange about {flange:g} mm, barrel "
            f"{sold:g} mm long ({needed})"
        ),
        "rivet": (
            f"{count} two-part rivet{s} for holes of {hole:g} mm: post {sold:g} mm long ({needed}) and about {inner:g} "
            f"mm thick, cap about {flange:g} mm"
        ),
        "snap": (
            f"{count} snap{s} (press stud{s}) for holes of {hole:g} mm: cap about {flange:g} mm ({lines} line"
            f"{plural(lines)}), post {sold:g} mm long ({needed})"
        ),
        "buckle": f"{count} buckle{s} with a pin, for straps {width:g} mm wide",
        "strap leather": (
            f"{metres(sold)} of strap leather {width:g} mm wide and about {thickness:g} mm thick, or leather of that "
            "thickness to cut it from"
        ),
        "lace": f"{count} lace{s} {metres(sold)} long (at least {mm(length)})",
        "thread": f"{metres(sold)} of waxed thread",
    }[total] + "."


def hole(item: str, seam: str, hole: float, nearest: float, inner: float, flange: float) -> str:
    """A hole that nothing is made for."""
    size = f"{inner:g} mm wide inside" if item == "eyelet" else f"post {inner:g} mm thick"
    return (
        f"No {item} is commonly made for the holes of {hole:g} mm in “{named(seam)}”; the nearest is for holes of "
        f"{nearest:g} mm ({size}, {'flange' if item == 'eyelet' else 'cap'} {flange:g} mm). Make the holes so, or have "
        "what goes into them at hand before you punch."
    )


def buckle(seam: str, width: float, below: float, above: float) -> str:
    """A strap that no buckle is made for."""
    near = f"{below:g} mm" if below == above else f"{below:g} or {above:g} mm"
    return (
        f"No buckle is commonly made for the straps of “{named(seam)}”, which are {width:g} mm wide; make them {near}."
    )


SENTENCES: dict[str, Sentence] = {
    "hardware.use": use,
    "hardware.lace": lace,
    "hardware.strap": strap,
    "hardware.strap part": strap_part,
    "hardware.total": total,
    "hardware.hole": hole,
    "hardware.buckle": buckle,
    "hardware.spares": fixed(
        "Spares are counted in, as some are spoilt in setting. Take scraps as thick as what they hold to the shop, "
        "and try one of each on them."
    ),
}
