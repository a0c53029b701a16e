"""What the command line says beside reports and findings, in English."""

from __future__ import annotations

from flatten.units import NO_UNIT
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def limb(side: str, kind: str, front: str) -> str:
    """Which limb was found."""
    return f"{named(side)} {named(kind)}; its front {front}"


def files(folder: str) -> str:
    """Where the files of a job are, and what to do with them."""
    return f"The files are in {folder}: print pattern.pdf and try it on in paper before you cut; read report.html."


def sheets(folder: str, names: str) -> str:
    """Where the sheets of ornament are."""
    return f"In {folder}: {names or 'nothing, since no piece has a field'}."


def kept(name: str, beside: str) -> str:
    """A file that somebody has drawn in and that stays as it is."""
    return (
        f"{name} was drawn in or saved by another program since it was made: it stays as it is, and the new one is "
        f"“{beside}”. Move or delete it once you no longer need it."
    )


def found(side: str, kind: str) -> str:
    """A remark in a new job file: what was found in the scan."""
    return f"{named(side)} {named(kind)} found in the scan; girths as a tape reads them:"


def stopped_by(count: int) -> str:
    """What stands over the findings of a scan by which nothing is to be cut."""
    first = "" if count == 1 else ", the gravest first"
    return f"Nothing is to be cut by this scan as it is{first}:"


def girth(girth: str, length: float, height: float) -> str:
    """A remark in a new job file: a girth that was found."""
    return f"  {named(girth)}: {length:.0f} mm at {height:.0f} mm"


def unit(unit: str, unit_from: str) -> str:
    """The unit of a scan's file, and how it is known."""
    if unit == NO_UNIT:
        return "unit of the file: none; its size is that of the tape girths"
    return f"unit of the file: {unit} ({unit_from})"


def wrote(file: str) -> str:
    """Which file was written."""
    return f"wrote {file}"


def go_on(command: str) -> str:
    """What to call next."""
    return f"To go on: {command}"


def no_front(reason: str) -> str:
    """What to do where the front is not known; `reason` is the error."""
    return (
        f"{reason}; click it on the page (calfskin page), or write it into the job file: front = [0, 0, 1] is along +z"
    )


def edges(heights: str) -> str:
    """A remark in a new job file: what an edge that is not given comes to."""
    return f"the trade's clearances; the same as {heights}"


def but(reason: str) -> str:
    """A remark in a new job file: why edges that are not given cannot be; `reason` is the error."""
    return f"But {reason}."


SENTENCES: dict[str, Sentence] = {
    "terminal.limb": limb,
    "terminal.unit": unit,
    "terminal.stopped by": stopped_by,
    "terminal.place": fixed("place"),
    "terminal.height": fixed("height"),
    "terminal.tape girth": fixed("tape girth"),
    "terminal.wrote": wrote,
    "terminal.files": files,
    "terminal.sheets": sheets,
    "terminal.kept": kept,
    "terminal.in all": fixed("in all"),
    "terminal.stopped": fixed("stopped before all was made"),
    "terminal.go on": go_on,
    "start.no front": no_front,
    "start.found": found,
    "start.girth": girth,
    "start.edges": edges,
    "start.but": but,
    "demo.watchman": fixed("the watchman on the mole, both shins"),
    "demo.lamplighter": fixed("the lamplighter, right shin"),
    "demo.pilot": fixed("the pilot, left forearm"),
}
