"""What `calfskin leather` says of strips, in English."""

from __future__ import annotations

from flatten.words.english.amounts import listed, percent, percent_of_both, plural
from flatten.words.language import Sentence, fixed

_FIGURES = {
    "wet": "Cased",
    "dry": "Dry",
    "kept": "Kept when dry and unloaded",
    "springback": "Sprung back, of its stretch",
    "shrinkage": "Shrunk in drying, unloaded",
    "hardening": "Shrunk in hardening",
    "bent": "Sprung back, of a bend",
}
"""What is read of strips."""


def head(count: int, width: float, thickness: float, ounces: float, load: float, stress: float) -> str:
    """The strips and their load, kg and N/mm²; `ounces` of 1/64 in."""
    trade = thickness / 0.4
    return (
        f"{count} strip{plural(count)}, {width:g} mm wide and {thickness:.2f} mm thick: {ounces:.1f} oz of 1/64 in, "
        f"{trade:.1f} oz of the trade’s 0.4 mm. {load:g} kg pulled with {stress:.2f} N/mm²; a harder pull stretches "
        "leather further."
    )


def spread(
    what: str,
    way: str,
    strips: int,
    mean: float,
    least: float,
    greatest: float,
    deviation: float | None,
    limit: bool,
    bound: float | None,
    covered: float,
    confidence: float,
) -> str:
    """One figure of the strips of one direction, and what it is worth.

    Of n + 1 strips each is as likely to be the weakest, whatever their distribution.
    """
    lead = f"{_FIGURES[what]}, {way} the grain: "
    if deviation is None:
        return f"{lead}{percent(mean)}, by a single strip."
    about = f"mean {percent(mean)}, SD {percent(deviation)}, {strips} strips"
    if not limit:
        return f"{lead}{percent_of_both(least, greatest)} ({about})."
    told = f"{lead}{percent(least)} for the weakest, {percent(greatest)} for the best ({about})."
    told += f" One more would be weaker than all of them in 1 case of {strips + 1}."
    if bound is None or bound <= 0.0:
        return f"{told} So few that are so far apart promise nothing for the rest of the hide: cut more."
    return (
        f"{told} You may be {100 * confidence:.0f} % sure that {100 * covered:.0f} % of such strips stretch by "
        f"{percent(bound)} at least."
    )


def shrank(what: str, way: str, mean: float, least: float, greatest: float, strips: int) -> str:
    """What strips lost of their length without a load."""
    both = "" if strips == 1 else f" ({percent_of_both(least, greatest)})"
    return f"{_FIGURES[what]}, {way} the grain: {percent(mean)}{both}, {strips} strip{plural(strips)}."


def read(within: float, share: float) -> str:
    """What a slip of the ruler is worth."""
    return f"A line that is read {within:g} mm off moves a stretch by {percent(share)}."


def few(way: str, count: int, usual: int) -> str:
    """Too few strips."""
    return (
        f"Look: only {count} strip{plural(count)} {way} the grain. {usual} are usual, and fewer tell little of the "
        "rest of the hide."
    )


def hides(hides: tuple[str, ...]) -> str:
    """Strips of several hides."""
    return (
        f"Look: the strips are of {len(hides)} hides, {listed(hides)}. Limits hold for the leather that you cut: take "
        "its own strips alone."
    )


def thickness(thin: float, thick: float) -> str:
    """Strips of several thicknesses."""
    return (
        f"Look: the strips are {thin:.1f} to {thick:.1f} mm thick. The same load stretches a thinner one further: take "
        "strips from where the piece will lie."
    )


def loads(least: float, most: float) -> str:
    """Strips that were pulled by different forces."""
    kilograms = f"{least:g} kg" if least == most else f"{least:g} to {most:g} kg"
    return f"Look: the strips were not pulled alike ({kilograms} on different sections), so they do not compare."


def light(load: float, stress: float, wanted: int) -> str:
    """A load that stretches less than hands do."""
    return (
        f"Look: {load:g} kg pulled with only {stress:.2f} N/mm². The limits come out low; about {wanted} kg on such a "
        "strip are usual."
    )


def odd(what: str, strip: str, value: float, mean: float) -> str:
    """A strip that is apart from the others."""
    return (
        f"Look: {strip} reads {percent(value)} where the mean is {percent(mean)} ({_FIGURES[what].lower()}): further "
        "off than chance would have it in 19 tests of 20. Read it again; a flaw of the hide counts, and it stays in."
    )


def lines(several: bool) -> str:
    """What stands over the lines for the job file."""
    more = " The squeeze is an opinion: no strip shows it." if several else ""
    return f"For the job file:{more}"


SENTENCES: dict[str, Sentence] = {
    "strips.head": head,
    "strips.spread": spread,
    "strips.shrank": shrank,
    "strips.read": read,
    "strips.home": fixed(
        "A strip at home is no laboratory test (ISO 3376 pulls steadily, in air of one dampness, with finer gauges"
        "): compare these figures with each other, not with a tanner’s sheet."
    ),
    "strips.few": few,
    "strips.hides": hides,
    "strips.thickness": thickness,
    "strips.loads": loads,
    "strips.light": light,
    "strips.odd": odd,
    "strips.lines": lines,
}
