"""What finished pieces measured beside what was foretold, and what that teaches, in English."""

from __future__ import annotations

from flatten.words.english.amounts import capital, percent, plural
from flatten.words.english.names import NAMES
from flatten.words.english.places import at_height, named
from flatten.words.language import Sentence, fixed

_RINGS = {"top": "just below the top edge", "bottom": "just above the bottom edge", "middle": "in the middle"}


def at_ring(ring: str) -> str:
    """Where a ring is, by its name."""
    return _RINGS.get(ring) or NAMES.get(f"tape at.{ring}") or f"at the {named(ring)}"


def ring(ring: str) -> str:
    """A ring in a table."""
    return capital(at_ring(ring))


def fold(rings: int) -> str:
    """What the report's part tells while it is folded."""
    return f"{rings} girth{plural(rings)} to measure"


def in_force(share: float, girth: float, foretold: float) -> str:
    """What the maker's own correction does."""
    way = "shorter" if share < 0.0 else "longer"
    return (
        f"Your own correction is in it: the leather is drawn {percent(abs(share))} {way} round the limb, "
        f"{abs(girth):.1f} mm at the widest, because yours came out otherwise than drawn. The finished inside should "
        f"then measure {foretold:.0f} mm there. A try-on in paper on these sheets is that much off."
    )


_WAYS = {"up": "up the limb", "round": "round the limb", "slanting": "slanting as the leather stretches most there"}


def line(piece: str, length: float, where: str, way: str, stretch: float, foretold: float) -> str:
    """The line to draw before forming."""
    return (
        f"To learn what your leather survives, draw a line of {length:.0f} mm in pen on the flesh side of the {piece} "
        f"before you case it, {_WAYS[way]}, its middle {where}. The leather stretches by {percent(stretch)} along it, "
        f"and the line should measure {foretold:.1f} mm when all is dry. calfskin finished asks for it."
    )


def how(taped: str, gaps: float) -> str:
    """How a finished piece is measured."""
    closed = f", closed so that its gaps are {gaps:.0f} mm together as drawn" if gaps else ", closed as it is worn"
    where = (
        "round its outside, over the leather"
        if taped == "outside"
        else "round its inside, pressed against the leather and across the gap"
    )
    return f"Measure the dry piece off the limb{closed}: the tape lies level {where}."


def piece(job: str, side: str) -> str:
    """Which piece is asked about."""
    return f"{job}, {named(side)}"


def ask_ring(ring: str, zero: str, height: float, foretold: float) -> str:
    """What asks for a girth."""
    return f"{capital(at_ring(ring))}, {at_height(zero, height)}: foretold {foretold:.0f} mm, measured"


def ask_line(length: float, zero: str, height: float, side: str, foretold: float) -> str:
    """What asks for the line that was drawn before forming."""
    return (
        f"The line of {length:.0f} mm on the flesh side, at the {named(side)}, {at_height(zero, height)}: foretold "
        f"{foretold:.1f} mm, measured"
    )


def survived(lines: int, most: float | None, cracked: int, least: float | None) -> str:
    """What lines that were drawn before forming tell of the leather."""
    whole = "" if most is None else f"your leather took up to {percent(most)} there without cracking"
    torn = "" if least is None else f"it cracked in {cracked}, at {percent(least)} already in one"
    both = "; ".join(part for part in (whole, torn) if part)
    return (
        f"By the lines drawn before forming, {lines} in all: {both}. No limit is changed by that: strips and presets "
        "give those."
    )


def ask_closed(gaps: float) -> str:
    """What asks how the piece was closed."""
    return f"All gaps together when you measured (drawn: {gaps:.0f} mm)"


def doubt(girth: float, foretold: float) -> str:
    """A girth that is far off."""
    return (
        f"{girth:.0f} mm is {percent(girth / foretold - 1.0, signed=True)} off the {foretold:.0f} mm foretold. Is it so"
    )


def head(job: str) -> str:
    """The remarks over a record."""
    return (
        f"# What finished pieces of {job} measured, beside what was foretold of them. calfskin finished adds to\n"
        "# it and reads it. It is yours: mend a slip here, and take out a record that should not count.\n"
    )


def kept(file: str, rings: int, count: int) -> str:
    """Where a record was written."""
    more = "" if count == 1 else f"; it holds {count} records now, and all of them count"
    return f"{rings} girth{plural(rings)} written to {file}{more}."


def go_on(command: str) -> str:
    """How to go on after an interruption."""
    return f"Nothing was written. What you gave so far is in this line; to go on from there:\n  {command}"


def counted(file: str, job: str, side: str, date: str, thickness: float, share: float, miss: float, rings: int) -> str:
    """One record that counts."""
    when = f", {date}" if date else ""
    return (
        f"  {file}: {job}, {named(side)}{when}, leather {thickness:.1f} mm, {rings} ring{plural(rings)}: came out "
        f"{percent(share, signed=True)} against what was drawn, {_signed(miss)} mm against what was foretold"
    )


def _signed(value: float) -> str:
    return f"{value:+.1f}".replace("-", "−").replace("+0.0", "0.0").replace("−0.0", "0.0")


def _came(bias: float) -> str:
    return f"{percent(abs(bias))} {'longer' if bias > 0.0 else 'shorter'} round the limb than drawn"


def bias(jobs: int, rings: int, bias: float, low: float, high: float) -> str:
    """What several jobs tell."""
    span = f"{percent(low, signed=True)} to {percent(high, signed=True)}"
    return (
        f"Over {jobs} jobs ({rings} rings) your leather comes out {_came(bias)}; the true figure lies between {span}, "
        "19 times in 20."
    )


def scatter(scatter: float, ring: float | None) -> str:
    """How much jobs and rings differ."""
    within = "" if ring is None else f", and from ring to ring of one job by about {percent(ring)}"
    return f"From job to job it differs by about {percent(scatter)}{within}."


def few(jobs: int, more: int, bias: float) -> str:
    """Too few jobs."""
    return (
        f"So far {jobs} job{plural(jobs)}: {_came(bias)}. That is too little to correct by; {more} more job"
        f"{plural(more)} at least."
    )


def unclear(jobs: int, needed: int | None) -> str:
    """An interval with 0 in it."""
    return f"No correction is offered: it may as well be nothing. {_more(jobs, needed)}"


def scattered() -> str:
    """Jobs that differ by more than what they have in common."""
    return (
        "No correction is offered: your jobs differ from each other by more than they are off together, so that the "
        "next one may as well be off the other way. Case, form and dry them alike, and name only the records of one "
        "leather with --records."
    )


def _more(jobs: int, needed: int | None) -> str:
    if needed is None:
        return (
            "With such a scatter no number of jobs would settle it: case, form and dry them alike, read the tape at "
            "more rings, and name only the records of one leather with --records."
        )
    count = max(1, needed - jobs)
    return f"If it goes on like this, {count} more job{plural(count)} will tell."


def offer(text: str) -> str:
    """The correction."""
    return (
        "If you want it taken off, write this into the next job file; it takes the place of an earlier one, and "
        f'applies nowhere by itself:\n  [wear]\n  finished = "{text}"'
    )


SENTENCES: dict[str, Sentence] = {
    "finished.in force": in_force,
    "finished.line": line,
    "finished.heading": fixed("When it is finished"),
    "finished.record": fixed("Keep what came out, with calfskin finished."),
    "finished.column.foretold": fixed("Inside, mm"),
    "finished.ring": ring,
    "finished.fold": fold,
    "finished.how": how,
    "finished.skip": fixed("Enter skips a place."),
    "finished.piece": piece,
    "finished.ask ring": ask_ring,
    "finished.ask line": ask_line,
    "finished.ask cracked": fixed("Did the leather crack there"),
    "finished.survived": survived,
    "finished.ask closed": ask_closed,
    "finished.ask side": fixed("Which side did you measure"),
    "finished.ask taped": fixed("Does the tape lie inside or outside"),
    "finished.ask date": fixed("Date, as you write it (Enter: none)"),
    "finished.doubt": doubt,
    "finished.no girths": fixed("Nothing was measured, and nothing was written."),
    "finished.head": head,
    "finished.kept": kept,
    "finished.go on": go_on,
    "finished.counted": counted,
    "finished.bias": bias,
    "finished.scatter": scatter,
    "finished.none": fixed("No girth of a finished piece is recorded yet; do it with: calfskin finished JOB"),
    "finished.few": few,
    "finished.unclear": unclear,
    "finished.scattered": scattered,
    "finished.offer": offer,
}
