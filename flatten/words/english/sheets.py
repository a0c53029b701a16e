"""The printed sheets and their cover, in English; line breaks are where the cover breaks its lines."""

from __future__ import annotations

from flatten.words.english.amounts import listed, mm, plural
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def side(side: str) -> str:
    """The wearer's side, large across a sheet."""
    return named(side).upper()


def piece(piece: str, side: str) -> str:
    """A piece by its name and the wearer's side."""
    return f"{piece}, {named(side).upper()}"


def place(
    letter: str,
    number: int,
    sheets: int,
    pieces: tuple[str, ...],
    more: int,
    row: int,
    rows: int,
    place: int,
    in_row: int,
) -> str:
    """A sheet by its name in the job, what is on it, and where it belongs among those that it is joined with."""
    held = "; ".join(pieces) + (f" and {more} more" if more else "")
    text = f"{letter} · {number} of {sheets}, {held}"
    return text if sheets == 1 else f"{text}   ·   row {row} of {rows}, sheet {place} of {in_row} in it"


def across(letters: tuple[str, ...]) -> str:
    """Pieces on which a joint cuts what is written, by their letters."""
    told = f"On {listed(letters)} a text lies across a joint: it has no room beside it."
    return f"{told} Read it when the sheets are joined."


def on_map(letter: str, piece: str, more: int) -> str:
    """What a small map of sheets on the cover shows."""
    return f"{letter} · {piece}" + (f" and {more} more" if more else "")


def counted(sheets: int, paper: str) -> str:
    """How many sheets come after the cover."""
    of = "one page with all pieces follows" if paper == "one page" else ""
    return f"{of or f'{sheets} sheet{plural(sheets)} of {paper} follow' + 's' * (sheets == 1)} this cover"


def measure_square(length: float) -> str:
    """Whether the print is at true size."""
    return (
        f"Measure the square: both sides must be {mm(length)}. If not, the printer has scaled the\n"
        "page; turn off every “fit” or “shrink” and print again."
    )


def measure_line(after: bool) -> str:
    """What is done with the joined sheets; `after`: some holes come after forming."""
    text = "Measure the line on each piece that has its mm beside it. Cut along the solid outline; punch all holes"
    if not after:
        return f"{text}."
    return f"{text} but those\nwith a cross in them: they are marked through the layer on them after forming."


def cut_mockup(sheet: str, thickness: float) -> str:
    """What is done with the joined sheets of a mock-up."""
    return (
        f"Measure the line on each piece that has its mm beside it. Cut the pieces from {named(sheet)}\n"
        f"{thickness:g} mm thick along the solid outline; join them at their seams, each with its gap."
    )


SENTENCES: dict[str, Sentence] = {
    "sheet.side": side,
    "sheet.piece": piece,
    "sheet.place": place,
    "sheet.not to be cut": fixed("NOT TO BE CUT AS IT IS: read report.html"),
    "sheet.true size": fixed("print at 100 %, no fit to page"),
    "cover.counted": counted,
    "cover.map": on_map,
    "cover.across": across,
    "cover.how": fixed("How to join the sheets"),
    "cover.how.square": measure_square,
    "cover.how.trim": fixed(
        "Trim the right and the lower edge of each sheet along its frame where another sheet\n"
        "follows there. Leave all other edges."
    ),
    "cover.how.row": fixed(
        "Work row by row: lay each sheet on its right-hand neighbour, trimmed edge on the\n"
        "dashed line, so that the halves of the crosses meet. Tape."
    ),
    "cover.how.rows": fixed("Lay each row on the next lower one in the same way. Tape."),
    "cover.how.cut": measure_line,
    "cover.how.try on": fixed(
        "Try it on in paper before you cut leather. Paper has no thickness, so it sits a little\n"
        "loose: by the ease and about three times the leather’s thickness on the girth. And it does\n"
        "not stretch: where the report is orange it lies tight."
    ),
    "cover.how.cut mock-up": cut_mockup,
    "cover.how.write down": fixed(
        "Try it on over what is worn beneath. Write what it shows into the job file, under [[fitting]], with a\n"
        "ruler: where it is tight or loose, and by how many mm of girth; where an edge is too high or touches."
    ),
    "cover.caution": fixed(
        "For costume; it is not protective equipment. Cut away from yourself, on a board, with a sharp blade.\n"
        "Never form hot or hot-wet leather on a body: use a former."
    ),
    "cover.true size": fixed("Print at 100 %,\nno fit to page"),
    "cover.square": fixed("Measure this square with a ruler\nbefore you cut anything."),
}
