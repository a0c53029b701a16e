"""Mock-ups and fittings, in English: where a sheet cannot close, and what try-ons changed."""

from __future__ import annotations

from flatten.words.english.amounts import capital, percent
from flatten.words.english.leather import region
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed

_RUNS = {"round": "round the limb", "up": "up the limb"}


def mock_up(sheet: str, thickness: float) -> str:
    """That something is a mock-up, and of what."""
    return f"MOCK-UP, {named(sheet).upper()} {thickness:g} mm, not for leather"


def short(piece: str | None, side: str, level: str, run: str, by: float) -> str:
    """A region where a sheet is too short."""
    return f"{_where(piece, side, level)}: {by:.0f} mm too short {_RUNS[run]}: it is tight, or gapes."


def long(piece: str | None, side: str, level: str, run: str, by: float, off: float) -> str:
    """A region where a sheet is too long."""
    place = _where(piece, side, level)
    return f"{place}: {by:.0f} mm too long {_RUNS[run]}: it folds, or stands off by up to {off:.0f} mm."


def _where(piece: str | None, side: str, level: str) -> str:
    place = capital(region(side, level))
    return place if piece is None else f"{capital(piece)}, {region(side, level)}"


def why(sheet: str, gives: float) -> str:
    """Why a sheet cannot close, over the places."""
    return (
        f"Where {named(sheet)} cannot close: it gives {percent(gives)} at most, and the limb is curved both ways "
        "there. Leather is formed to that; it is no bad fit."
    )


def closes(sheet: str) -> str:
    """A sheet that closes everywhere."""
    return f"{capital(named(sheet))} closes everywhere within a millimetre."


def lies(sheet: str, thickness: float) -> str:
    """What a mock-up is drawn for."""
    return (
        f"mockup.pdf and mockup.dxf are for a mock-up in {named(sheet)} {thickness:g} mm: its inside lies where the "
        "leather’s will, at the middle of its own thickness and without stretch. Write what it shows into the job "
        "file: [[fitting]]."
    )


def tried(number: int, material: str, thickness: float, said: tuple[str, ...]) -> str:
    """What was tried, and what it showed in the maker's words."""
    shown = "; ".join(f"“{each}”" for each in said) or "nothing was written down"
    return f"Fitting {number}, in {named(material)} {thickness:g} mm: {shown}."


def converted(number: int, girth: float) -> str:
    """What another sheet than the pattern's own makes of a girth."""
    way = "further out" if girth > 0.0 else "further in"
    done = "added" if girth > 0.0 else "taken off"
    return (
        f"What was tried in fitting {number} lay on a pattern that was drawn for leather of another thickness, its "
        f"inside {abs(girth):.1f} mm of girth {way} than the leather’s: as much was {done} in the leather."
    )


def nothing(number: int) -> str:
    """A fitting that changed nothing."""
    return f"Fitting {number} changed nothing."


def edge(number: int, edge: str, up: float, side: str | None) -> str:
    """How an edge moved."""
    where = "all round" if side is None else f"at the {named(side)}"
    way = "higher" if up > 0.0 else "lower"
    return f"Fitting {number} put the {named(edge)} edge {abs(up):.0f} mm {way} {where}."


def change(girth: float) -> str:
    """A change of girth in a table, "+6.0"."""
    text = f"{girth:+.1f}".replace("-", "−")
    return "0" if text in ("+0.0", "−0.0") else text


def column(number: int) -> str:
    """The heading of a fitting's column."""
    return f"Fitting {number}, mm"


def whose_pattern(number: int, material: str, girth: float) -> str:
    """A fitting that may have been tried on the leather's own sheets."""
    return (
        f"Fitting {number} counts as tried on a pattern drawn for {named(material)} itself, and this job draws none. "
        f'Where the leather’s own sheets were tried in {named(material)}, write pattern = "leather" there: that is '
        f"{girth:.0f} mm of girth."
    )


def inside_scan(depth: float, where: str) -> str:
    """Leather that lies inside the scan."""
    return (
        f"What the fittings took in puts the leather’s inside {depth:.1f} mm beneath the skin, {where}: the scan is "
        "too large, or flesh gives way. Measure a girth by tape there."
    )


SENTENCES: dict[str, Sentence] = {
    "mock-up": mock_up,
    "mock-up.short": short,
    "mock-up.long": long,
    "mock-up.why": why,
    "mock-up.closes": closes,
    "mock-up.lies": lies,
    "fitting.tried": tried,
    "fitting.converted": converted,
    "fitting.nothing": nothing,
    "fitting.edge": edge,
    "fitting.change": change,
    "fitting.column": column,
    "fitting.all": fixed("Together, mm"),
    "fitting.place": fixed("Girth"),
    "fitting.heading": fixed("What the fittings changed"),
    "fitting.mock-up heading": fixed("The mock-up"),
    "fitting.caption": fixed("Dashed: the pieces before any fitting."),
    "fitting.whose pattern": whose_pattern,
    "fitting.inside scan": inside_scan,
}
