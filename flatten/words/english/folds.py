"""The report's folded parts in English: what each is called, and the main figure that stands beside it."""

from __future__ import annotations

from flatten.units import square_feet
from flatten.words.english.amounts import grown, listed, mm, percent, plural
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed

_SPACE = "\N{NO-BREAK SPACE}"

_ITEMS = {
    "eyelet": "eyelet",
    "rivet": "rivet",
    "snap": "snap",
    "buckle": "buckle",
    "lace": "lace",
}
"""What is bought by the piece."""


def short_gain(stretch: float, squeeze: float, judged: str | None) -> str:
    """What a change brings, in a line."""
    said = f"Then up to {percent(stretch)} of stretch and {percent(squeeze)} of squeeze."
    said = said.replace(" %", f"{_SPACE}%")
    return said if judged is None else f"{said} {judged}"


def later(count: int) -> str:
    """That changes for the leather's sake come after what stands against cutting."""
    lead = "One change gives" if count == 1 else f"{count} changes give"
    return f"{lead} the leather room, once the rest is settled"


def look(looks: int, notes: int) -> str:
    """How much there is to look at, and how much besides that is good to know."""
    told = [f"{looks} thing{plural(looks)}"] if looks else []
    if notes:
        told.append(f"{notes} note{plural(notes)}")
    return listed(tuple(told)) if told else "nothing"


def leather(area: float, thickness: float) -> str:
    """How much leather of one thickness to buy (mm²)."""
    return f"{square_feet(area):.1f} sq ft of leather {thickness:.1f} mm thick"


def item(item: str, count: int) -> str:
    """How many of one thing to buy."""
    noun = _ITEMS.get(item, item)
    return f"{count} {noun}{plural(count)}" if item in _ITEMS else noun


def buy(leather: tuple[str, ...], hardware: tuple[str, ...]) -> str:
    """What to buy, in a line."""
    return listed((*leather, *hardware))


def pieces(count: int, width: float, height: float) -> str:
    """How many pieces there are, and the largest one's size."""
    if count == 1:
        return f"one, {width:.0f} × {mm(height)}"
    return f"{count}, the largest {width:.0f} × {mm(height)}"


def mirrored(side: str) -> str:
    """That each piece is cut for the other limb too."""
    return f"Cut each of these once more as its mirror image, for the {named(side)}."


def steps(count: int) -> str:
    """How many steps the work has."""
    return f"{count} step{plural(count)}"


_CLOSED = {
    "laced": "laced",
    "strapped": "strapped",
    "open": "left open",
    "stitched": "stitched",
    "riveted": "riveted",
    "snapped": "snapped",
}


def closing(ways: tuple[str, ...]) -> str:
    """In which ways pieces are joined."""
    return listed(tuple(_CLOSED.get(way, way) for way in ways))


def fits(least: float, most: float) -> str:
    """The girths that a piece fits."""
    return f"fits {least:.0f} to {mm(most)} at the widest"


def ornament(area: float, motifs: int) -> str:
    """How much room ornament has, and how many motifs there are."""
    room = f"room on {area / 100:.0f} cm²"
    return f"{motifs} motif{plural(motifs)}, {room}" if motifs else room


def former(parts: int, ribs: int) -> str:
    """What formers are made of."""
    told = [f"{parts} printed part{plural(parts)}"] if parts else []
    if ribs:
        told.append(f"{ribs} rib{plural(ribs)}")
    return listed(tuple(told)) if told else "nothing"


def mockup(sheet: str, thickness: float) -> str:
    """What a mock-up is cut from."""
    return f"{named(sheet)}, {thickness:g} mm thick"


def how_many(count: int) -> str:
    """How many there are of what the heading names."""
    return "one" if count == 1 else f"{count}"


def regions(stretch: float, squeeze: float) -> str:
    """The limits in force, as the preset or the weaker way has them."""
    return f"limits: {percent(stretch)} of stretch, {percent(squeeze)} of squeeze"


def girths(names: tuple[str, ...]) -> str:
    """The named girths."""
    return listed(names)


def girth(girth: str, length: float) -> str:
    """One named girth in a line."""
    return f"{girth[:1].lower()}{girth[1:]} {mm(length)}"


def scan(unit: str, done: int) -> str:
    """The scan's unit, and how many things were done to it."""
    told = "no size of its own" if unit == "none" else f"in {unit}"
    return f"{told}, {done} thing{plural(done)} mended" if done else f"{told}, nothing to mend"


def settings(thickness: float, under: float, ease: float) -> str:
    """The settings that a maker looks for first."""
    return f"leather {thickness:.1f} mm, {mm(under)} beneath it, {mm(ease)} of ease"


def curious(least: float | None) -> str:
    """What no pattern can beat (a log-ratio), where that was worked out."""
    if least is None:
        return "how the figures come about"
    return f"no pattern with these cuts needs less than {grown(least)}"


def beyond(share: float) -> str:
    """The share of a region that lies beyond the limits."""
    return f"{percent(share)} of it beyond"


SENTENCES: dict[str, Sentence] = {
    "fold.gain": short_gain,
    "fold.later": later,
    "fold.look": look,
    "fold.leather": leather,
    "fold.item": item,
    "fold.buy": buy,
    "fold.pieces": pieces,
    "fold.mirrored": mirrored,
    "fold.steps": steps,
    "fold.closing": closing,
    "fold.fits": fits,
    "fold.former": former,
    "fold.ornament": ornament,
    "fold.mock-up": mockup,
    "fold.count": how_many,
    "fold.regions": regions,
    "fold.girths": girths,
    "fold.girth": girth,
    "fold.scan": scan,
    "fold.settings": settings,
    "fold.curious": curious,
    "fold.beyond": beyond,
    "fold.costume": fixed("a costume piece, not protective equipment"),
    "fold.heading.look": fixed("Look at first"),
    "fold.heading.buy": fixed("What to buy"),
    "fold.sure lines": fixed("If you have looked and are sure: lines for the job file"),
    "fold.advice lines": fixed("Their lines for the job file"),
    "fold.before cutting": fixed("Costume only. Try it in paper first."),
    "fold.copy": fixed("Copy these lines"),
    "fold.copied": fixed("Copied."),
    "fold.marked": fixed("Marked: copy them with your keyboard."),
}
