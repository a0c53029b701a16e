"""What girths by tape say of a scan, and of its unit, in English."""

from __future__ import annotations

from flatten.units import share_text
from flatten.words.english.places import named
from flatten.words.language import Sentence


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
        f"The tape girths ask for scales that are {share_text(apart)} apart. So much is most often a slip of the tape "
        f"or a wrong height: measure each again before you cut leather.{named_one}"
    )


def one(off: float, small: bool, agrees: bool, sigma: float, share: float) -> str:
    """How far off the scan was by its one tape, which is read to `sigma` mm, that `share` of its girth."""
    said = (
        f"By the tape the scan was {share_text(off, 1)} {'too small' if small else 'too large'}, and was scaled to it"
    )
    if agrees:
        said = f"The tape and the scan agree to {share_text(off, 1)}, and the scan was scaled to the tape"
    return (
        f"{said}. A tape is read to about ± {sigma:.0f} mm, {share_text(share, 1)} of this girth, and a scan’s own "
        "waves add to that: a second girth, at another height, makes the size surer."
    )


def each(at: str | float, off: float, narrower: bool, left: float) -> str:
    """One of several tapes: how far off the scan was there, and how many mm wider than the tape it is now."""
    return (
        f"At {place(at)} the scan was {share_text(off, 1)} {'narrower' if narrower else 'wider'} than the tape; "
        f"corrected, it is {abs(left):.1f} mm {'wider' if left > 0 else 'narrower'}."
    )


SENTENCES: dict[str, Sentence] = {
    "tape.unit guessed": unit_guessed,
    "tape.none": none,
    "tape.far off": far_off,
    "tape.disagree": disagree,
    "tape.one": one,
    "tape.each": each,
}
