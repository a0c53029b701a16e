"""The sheet of the strip test, in English."""

from __future__ import annotations

from flatten.words.english.amounts import mm
from flatten.words.language import Sentence, fixed


def strip(direction: str, count: int) -> str:
    """Over a strip: how many are cut, and which way."""
    return f"{count} {direction}"


def true_size(length: float) -> str:
    """Whether the print is at true size."""
    return f"Print at 100 %, no fit to page: the two lines of a strip below must be {mm(length)} apart."


def clamp(length: float) -> str:
    """What a clamp holds."""
    return f"clamp {mm(length)}"


def gauge(length: float) -> str:
    """Between the two lines that are read."""
    return f"{mm(length)} from line to line"


SENTENCES: dict[str, Sentence] = {
    "strip sheet.title": fixed("How far your leather stretches: the strip test"),
    "strip sheet.true size": true_size,
    "strip sheet.strip": strip,
    "strip sheet.clamp": clamp,
    "strip sheet.gauge": gauge,
    "strip sheet.cut": fixed(
        "Mark the backbone’s direction on the flesh side. Cut three strips along it and three across, from where your "
        "pieces will lie, and number them."
    ),
    "strip sheet.lines": fixed(
        "Draw the two fine lines on the grain side, clamp both ends, and hang 0.5 kg to straighten the strip. Read L0 "
        "from line to line, to a quarter of a millimetre."
    ),
    "strip sheet.dry": fixed("Dry: load it with 10 kg in all, wait a minute, read L1."),
    "strip sheet.wet": fixed("Case the strip as you case a piece. 10 kg for five minutes: read L2."),
    "strip sheet.dried": fixed("Leave it loaded until it is dry: L3. Unload, wait an hour: L4."),
    "strip sheet.unloaded": fixed(
        "If you like: case one more strip each way, lines 100 mm apart, and let it dry without a load. What it reads "
        "then is its “dried”, and pieces are cut larger by it."
    ),
    "strip sheet.caution": fixed(
        "A clamp may slip and a strip may tear: keep a guard close below the weight, and your feet clear of it."
    ),
    "strip sheet.load": fixed("load, kg"),
    "strip sheet.width": fixed("width, mm"),
    "strip sheet.thickness": fixed("thickness, mm"),
    "strip sheet.hide": fixed("hide"),
    "strip sheet.direction": fixed("direction"),
    "strip sheet.L0": fixed("L0\nstraight"),
    "strip sheet.L1": fixed("L1\ndry"),
    "strip sheet.L2": fixed("L2\ncased"),
    "strip sheet.L3": fixed("L3\ndried"),
    "strip sheet.L4": fixed("L4\nunloaded"),
    "strip sheet.file": fixed(
        "Type the table off into a spreadsheet as it stands, with columns load, width and thickness beside it, and "
        "save it as strips.csv. L1, L3 and L4 may be missing. Then: calfskin leather strips.csv"
    ),
}
