"""What a piece does when it is laid on the limb and let go, in English."""

from __future__ import annotations

from flatten.words.english.amounts import listed, mm, percent, percent_of_both
from flatten.words.english.finished import at_ring
from flatten.words.language import Sentence, fixed

TOLD_FROM = 0.05
"""Share of a seam from which it is told that laces would have to push."""

HAIR = 0.0005
"""Share of a length that would be written as 0.0 %."""


def _slips(slip: float) -> str:
    if slip < 0.1:
        return "it stays where it is"
    return f"it slips by up to {mm(slip)}" if slip >= 1.5 else f"it slips by up to {slip:.1f} mm"


_FORMS = {
    "itself": ("it forms by itself", ", and all of it is within the limits."),
    "wrap": ("it forms under a firm and even wrap", ". That is beyond the limits, and the wrap keeps it within them."),
    "force": (
        "it takes the shape of its pattern only where it is worked there by hand and held",
        ". That is beyond the limits, and even a firm wrap does not keep it within them.",
    ),
    "not": ("it is beyond its limits wherever it lies", "."),
}


def forms(
    forms: str, piece: str | None, slip: float, stretch: float, stretched: str, squeeze: float, squeezed: str
) -> str:
    """How a piece takes its shape, and how it comes to rest when it is let go."""
    lead, end = _FORMS[forms]
    lead = lead if piece is None else f"“{piece}”: {lead}"
    return (
        f"{lead[:1].upper()}{lead[1:]}. Laid on the limb and let go, {_slips(slip)} and is then stretched by up to "
        f"{percent(stretch)} {stretched}, and squeezed by up to {percent(squeeze)} {squeezed}{end}"
    )


def between(held_stretch: float, held_squeeze: float, wrapped_stretch: float, wrapped_squeeze: float) -> str:
    """What friction and a wrap make of it."""
    return (
        f"Usual friction on what is worn beneath leaves it at {percent(held_stretch)} and {percent(held_squeeze)}, a "
        f"firm wrap besides at {percent(wrapped_stretch)} and {percent(wrapped_squeeze)}. Such sums know no thumbs: "
        "how far you come by working it is for the leather to say."
    )


def off(off: float, pushed: float) -> str:
    """Over which share it stands off, and where laces would have to push."""
    laces = (
        f" Over {percent(pushed)} of its seam the edge would have to be pushed, which laces cannot: there the gap "
        "comes out a little narrower."
        if pushed >= TOLD_FROM
        else ""
    )
    return (
        f"Over {percent(off)} of its area nothing presses it on the limb: there it stands off a little unless it is "
        f"pressed down while it dries.{laces}"
    )


def by_wrap(piece: str | None, slip: float, change: float, where: str) -> str:
    """What a wrap is needed for."""
    return (
        f"{_capital(piece)} keeps to its limits under a firm and even wrap, and not when it is let go wet. It would "
        f"slip by {mm(slip)} and be {_changed(change)} {where}. Wind it, or let the pattern form itself."
    )


def by_force(piece: str | None, slip: float, change: float, where: str, sought: bool) -> str:
    """What is worked by force alone; `sought`: a pattern that forms itself was looked for."""
    lift = "" if sought else " Let the pattern form itself, move the edge nearest to that place, or open a dart there."
    return (
        f"{_capital(piece)} keeps to its limits only where its pattern puts it. Let go wet it slips by up to "
        f"{mm(slip)} and is {_changed(change)} {where}, and a wrap does not hold it.{lift}"
    )


def reshaped(narrower: float | None, moved: float) -> str:
    """How a pattern was changed so that it forms itself."""
    if narrower is not None:
        return (
            f"So that it forms by itself, the piece is cut narrower than the most even one by {percent(narrower)}: "
            f"its edges lie up to {moved:.1f} mm further in, and the laces pull it to its place."
        )
    return (
        "So that it forms by itself, the piece has another outline than the most even one, by up to "
        f"{moved:.1f} mm. It asks a little more of the leather, and stays so without hands."
    )


def none_found(beyond: float, stretched: bool, where: str) -> str:
    """That no shape was found in which the piece forms itself, and what holds it back."""
    much = percent(beyond) if beyond >= HAIR else "a hair"
    return (
        "No shape was found in which the piece forms by itself; the most even one is cut. What holds it back is that "
        f"it would be {'stretched' if stretched else 'squeezed'} beyond its limits {where}, by {much}. Move the edge "
        "nearest to that place by 10 to 20 mm, or open a dart there, and it may."
    )


def no_rest(reason: str) -> str:
    """That a piece was not found to come to rest; `reason` is the error."""
    return f"How the piece forms by itself could not be worked out: {reason}. The most even one is cut."


def _capital(piece: str | None) -> str:
    return "The leather" if piece is None else f"“{piece}”"


def _changed(change: float) -> str:
    return f"stretched by {percent(change)}" if change >= 0.0 else f"squeezed by {percent(-change)}"


def springs(least: float, most: float, tested: bool, rings: tuple[str, ...]) -> str:
    """How far a piece opens when it comes off its former."""
    share = percent_of_both(least, most)
    source = (
        f"By your strips {share} of a bend comes back"
        if tested
        else f"No strip tells what of a bend comes back; {share} is an opinion"
    )
    return (
        f"Taken off its former the piece springs open again. {source}: its gap grows {listed(rings)}. It takes little "
        "to close that by the laces; each ring is taken by itself."
    )


def ring(name: str, height: float, least: float, most: float) -> str:
    """By how much the gap grows at a ring."""
    where = at_ring(name) if name else f"at {height:.0f} mm"
    both = mm(least) if f"{least:.0f}" == f"{most:.0f}" else f"{least:.0f} to {mm(most)}"
    return f"by {both} {where}"


SENTENCES: dict[str, Sentence] = {
    "forming.way": forms,
    "forming.between": between,
    "forming.off": off,
    "forming.by wrap": by_wrap,
    "forming.by force": by_force,
    "forming.reshaped": reshaped,
    "forming.none found": none_found,
    "forming.no rest": no_rest,
    "forming.springs": springs,
    "forming.ring": ring,
    "order.wrap": fixed(
        "Then wind an elastic bandage round it, over thin film: firmly and evenly, each turn half over the last, from "
        "the narrow end up, the seam’s edges held at their gap. Leave it until the leather is dry. Wind it on a "
        "former and never on a limb: so firm a wrap stops the blood."
    ),
}
