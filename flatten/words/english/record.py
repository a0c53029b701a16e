"""The record of a fitting, in English, in the words that a job file understands."""

from __future__ import annotations

from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def title(job: str) -> str:
    """What the page is, and of which job."""
    return f"Record of a fitting: {job}"


def limb(side: str, kind: str, pair: bool) -> str:
    """Whose piece it is."""
    also = ", and its mirror image" if pair else ""
    return f"{named(side).upper()} {named(kind)}{also}"


def at(at: str, height: float) -> str:
    """A ring's place, as it is written down."""
    if at == "middle":
        return "in the middle"
    return f"at the {at}" if at else f"at {height:.0f} mm".replace("-", "−")


def seen(side: str) -> str:
    """Beneath a view of the limb."""
    return named(side)


def edge_height(edge: str) -> str:
    """Blanks for an edge that is too high or too low."""
    return f"{edge} edge ______ mm too □ high □ low, where: ____________________"


def edge_touches(edge: str) -> str:
    """Blanks for an edge that touches."""
    return f"{edge} edge touches □ where: ______________ at _____ degrees, by ______ mm"


SENTENCES: dict[str, Sentence] = {
    "record.title": title,
    "record.limb": limb,
    "record.date": fixed("date"),
    "record.material": fixed("tried in (paper, felt, leather …)"),
    "record.thickness": fixed("thickness, mm"),
    "record.beneath": fixed("worn beneath"),
    "record.place": fixed("place"),
    "record.height": fixed("height"),
    "record.inside": fixed("inside, mm,\nwith gaps"),
    "record.tight": fixed("tight\nby mm"),
    "record.loose": fixed("loose\nby mm"),
    "record.side": fixed("on one side\nalone"),
    "record.at": at,
    "record.seen": seen,
    "record.edge height": edge_height,
    "record.edge touches": edge_touches,
    "record.stands off": fixed("stands off by ______ mm, where: ____________________"),
    "record.slides": fixed("slides down □"),
    "record.write down": fixed(
        "Mm of tight and loose are of girth; a dash is “fits”. Write it into the job file in these words, under "
        '[[fitting]]: material = "paper", showed = ["tight by 6 mm at the widest", "fits at the top", "top edge 10 '
        'mm too high behind"]. Earlier fittings stay there; each counts on from the one before it.'
    ),
}
