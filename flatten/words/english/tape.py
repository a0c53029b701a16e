"""What girths by tape say of a scan, and of its unit, in English."""

from __future__ import annotations

from flatten.units import share_text
from flatten.words.english.amounts import capital
from flatten.words.english.places import named
from flatten.words.language import Sentence, fixed


def unit_guessed(unit: str) -> str:
    """A unit that nobody named."""
    return f"The scan names no unit; from its size it was taken to be in {unit}. Check it by a tape girth."


def none() -> str:
    """No girth by tape."""
    return (
        "No tape girth was given. Scans have missed the true size by up to 30 %: measure one girth, write it "
        "into the job file under [[scan.tape]], and make the job again before you cut leather."
    )


def place(at: str | float) -> str:
    """Where a tape was laid: a landmark, or a height in mm."""
    if at == "widest":
        return "the widest place"
    return f"the {named(at)}" if isinstance(at, str) else f"{at:.0f} mm"


def far_off(off: float, small: bool) -> str:
    """A scan that is too small or too large by so great a share that something is wrong."""
    return (
        f"The tape says that the scan is {share_text(off)} too {'small' if small else 'large'}. So much is most often "
        "a wrong unit or a slip of the tape: measure again before you cut leather."
    )


def disagree(apart: float, odd: str | float | None) -> str:
    """Tapes that ask for scales a share `apart`, and where the odd one among them was laid."""
    named_one = "" if odd is None else f" The others agree without the one at {place(odd)}."
    return (
        f"The sizes that the tape girths ask for are {share_text(apart)} apart. So much is most often a slip of the "
        f"tape or a wrong height: measure each again before you cut leather.{named_one}"
    )


def one(off: float, small: bool, agrees: bool, sigma: float, share: float) -> str:
    """How far off the scan was by its one tape, which is read to `sigma` mm, that `share` of its girth."""
    said = f"By the tape the scan was {share_text(off, 1)} {'too small' if small else 'too large'}; it was scaled to it"
    if agrees:
        said = f"Tape and scan agree to {share_text(off, 1)}; the scan was scaled to the tape"
    return (
        f"{said}. A tape is read to about ± {sigma:.0f} mm ({share_text(share, 1)}) at best: a second girth, at "
        "another height, makes the size surer."
    )


def alone(at: str | float, sigma: float, share: float) -> str:
    """The only tape that gives a scan without a size of its own one."""
    return (
        f"The scan has no size of its own: the tape at {place(at)} alone gives it one, to about ± {sigma:.0f} mm "
        f"({share_text(share, 1)}), and a slip of that tape would not be seen. Measure a second girth, at another "
        "place, and add it under [[scan.tape]]."
    )


def each(at: str | float, off: float, narrower: bool, left: float) -> str:
    """One of several tapes: how far off the scan was there, and how many mm wider than the tape it is now."""
    return (
        f"At {place(at)} the scan was {share_text(off, 1)} {'narrower' if narrower else 'wider'} than the tape; "
        f"corrected, it is {abs(left):.1f} mm {'wider' if left > 0 else 'narrower'}."
    )


_UNITS_FROM = {
    "file": "as its format fixes it",
    "given": "as the job says",
    "guessed": "by the limb’s size",
    "tape": "by tapes and the limb’s size",
}

_WHY = {
    "unit": "The scan was scaled by {kept}, which agrees with its unit.",
    "most": "The scan was scaled by {kept}, as more speaks for that.",
    "body": "The scan was scaled by {kept}, as with the others nobody’s limb would come of it.",
    "unit alone": "Not one agrees with the unit of the scan: it was not scaled.",
    "usual": "Nothing tells which is right: the scan was scaled by {kept}, which makes the more usual limb.",
}
"""Why some of the tapes that contradict each other are believed."""


def _these(places: tuple[str, ...]) -> str:
    """Tapes by their places: "the tape at the ankle", "the tapes at the ankle and at 120 mm"."""
    *more, last = (f"at {at}" for at in places)
    return f"the tapes {', '.join(more)} and {last}" if more else f"the tape {last}"


def _perhaps(slips: tuple[str, ...]) -> str:
    """What a tape that is doubted most likely is, as a sentence with a space before it; nothing where unknown."""
    return f" Most likely it is {', or '.join(slips)}." if slips else ""


def size_in_doubt(at: str | float, size: float, sigma: float, unit: str, unit_from: str, slips: tuple[str, ...]) -> str:
    """A tape by which the scan is so many times as large as by its unit, which is known."""
    return (
        f"By the tape at {place(at)} the limb is {size:.2f} times as large as the scan has it in {named(unit)} "
        f"({_UNITS_FROM[unit_from]}). One of the two is wrong.{_perhaps(slips)} Measure again, and lay a second tape "
        f"at another place: two that agree settle it. The scan was scaled by the tape."
    )


def not_followed(at: str | float, size: float, unit: str, unit_from: str, slips: tuple[str, ...]) -> str:
    """A tape that asks for more than any scan has been off by."""
    return (
        f"By the tape at {place(at)} the limb is {size:.3g} times as large as the scan has it in {named(unit)} "
        f"({_UNITS_FROM[unit_from]}): no scan is so far off, and this one was not scaled.{_perhaps(slips)} Put the "
        f'girth right, or the unit; where the scan has no size of its own, say unit = "none" under [scan].'
    )


def contradict(
    apart: float,
    sigma: float,
    kept: tuple[str, ...],
    doubted: tuple[str, ...],
    why: str,
    slips: tuple[str, ...],
) -> str:
    """Tapes that cannot all be true, and by which of them the scan was scaled."""
    scaled = _WHY[why].format(kept=_these(kept) if kept else "")
    which = f" In doubt is {_these(doubted)}." if kept and len(doubted) == 1 else ""
    return (
        f"The tapes cannot all be true: the sizes that they ask for are {share_text(apart)} apart.{which}"
        f"{_perhaps(slips)} {scaled} Measure each again, and leave out or correct the wrong one."
    )


def no_such_size(landmark_or_widest: str, kind: str, girth: float, least: float, most: float, size: float) -> str:
    """A girth that nobody has."""
    return (
        f"{capital(named(f'a.{kind}'))} of {girth:.0f} mm at {place(landmark_or_widest)} is nobody’s: people’s lie "
        f"between {least:.0f} and {most:.0f} mm. Check the unit of the scan, and measure that girth by tape."
    )


def slip_place(landmark_or_widest: str) -> str:
    """The girth of another place of the limb."""
    return f"the girth at {place(landmark_or_widest)}"


def slip_limb(kind: str, landmark_or_widest: str) -> str:
    """The girth of another limb."""
    return f"the girth of {named(f'a.{kind}')} at {place(landmark_or_widest)}"


SENTENCES: dict[str, Sentence] = {
    "tape.unit guessed": unit_guessed,
    "tape.none": none,
    "tape.far off": far_off,
    "tape.disagree": disagree,
    "tape.one": one,
    "tape.alone": alone,
    "tape.each": each,
    "tape.size in doubt": size_in_doubt,
    "tape.not followed": not_followed,
    "tape.contradict": contradict,
    "tape.place": place,
    "tape.no such size": no_such_size,
    "slip.half": fixed("half of the girth"),
    "slip.twice": fixed("twice the girth"),
    "slip.inch for cm": fixed("cm written as inches, in the girth or in the unit of the scan"),
    "slip.cm for inch": fixed("inches written as cm, in the girth or in the unit of the scan"),
    "slip.tenfold": fixed("cm written for mm, ten times the girth"),
    "slip.tenth": fixed("mm written for cm, a tenth of the girth"),
    "slip.inch for mm": fixed("mm written as inches"),
    "slip.mm for inch": fixed("inches written as mm"),
    "slip.width": fixed("the limb’s width in place of its girth"),
    "slip.radius": fixed("half of the limb’s width in place of its girth"),
    "slip.place": slip_place,
    "slip.limb": slip_limb,
}
