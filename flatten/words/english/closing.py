"""How pieces are closed, in English."""

from __future__ import annotations

from flatten.words.english.amounts import listed, mm, plural
from flatten.words.english.places import named
from flatten.words.language import Sentence

_TAKEN_UP = {
    "laced": "the lace takes that up",
    "strapped": "the straps take that up",
    "riveted": "ease it in evenly from rivet to rivet",
    "snapped": "ease it in evenly from snap to snap",
    "stitched": "ease it in evenly from stitch to stitch",
}
_TOO_MUCH = (
    "that is more than can be eased in unseen, and the edges will not meet there. Close it in paper first, and move "
    "the seam or the edge’s heights beside it until both sides are nearly equal"
)


def seam(
    seam: str,
    pieces: tuple[str, str] | None,
    closing: str,
    count: int,
    strap: float,
    slotted: bool,
    strip: bool,
    pitch: float,
    buckles: bool,
    buckled: str | None,
    heights: tuple[str, ...],
    usual: float | None,
    skive: str | None,
    ease: str | None,
) -> str:
    """How a seam or dart is closed; `pieces` are the two that it joins where they are two."""
    s, held = plural(count), "each end held by two rivets"
    if slotted:
        held = "each run through slots on both sides and back over the gap to its buckle"
    made = {
        "laced": f"laced through {count} pair{s} of eyelets",
        "strapped": f"closed by {count} strap{s} {strap:g} mm wide, {held}",
        "riveted": f"riveted in {count} place{s}",
        "snapped": f"closed by {count} snap{s}, caps in the upper leather and studs in the lower",
        "stitched": f"stitched through {count} hole{s} on each side",
    }[closing]
    if strip:
        made += " to a strip beneath it" if closing == "stitched" else " on each side to a strip beneath it"
    apart = f"{pitch:.1f} mm" if closing == "stitched" else mm(pitch)
    lead = f"“{named(seam)}” is " if pieces is None else f"“{named(seam)}” joins “{pieces[0]}” to “{pieces[1]}”: "
    said = f"{lead}{made}{f', {apart} apart' if count > 1 and not heights else ''}."
    if heights:
        said += f" {'Their middles are' if count > 1 else 'Its middle is'} at {listed(heights)} mm of height."
    if usual is not None:
        said += f" Nobody said how many: no two are further apart than {mm(usual)}."
    if buckles:
        where = "the side that says so" if buckled is None else f"“{buckled}”"
        said += f" The buckles belong on {where}."
    if skive is not None:
        said += f" {skive}"
    return said if ease is None else f"{said} {ease}"


def skive(left: float, width: float) -> str:
    """How the two layers of an overlap are skived."""
    return (
        f"Skive both layers evenly over the {mm(width)} that overlap, down to {left:.1f} mm at the edge: the upper one "
        "on its flesh side, the lower one on its grain side."
    )


def seam_ease(
    front: str, outside: str, longer: str, towards: str | None, ease: float, length: float, closing: str, too_much: bool
) -> str:
    """Which side of a seam is longer than the other, that `towards` a side of the limb, and what to do about it."""
    which = f"Its edge towards the {named(towards or '')}"
    if towards is None:
        turn = f"as you go round from the {named(front)} over the {named(outside)}"
        which = f"Its {'first' if longer == 'before' else 'second'} edge, {turn},"
    return f"{which} is {ease:.1f} mm longer over {mm(length)}: {_TOO_MUCH if too_much else _TAKEN_UP[closing]}."


def unequal(seam: str, ease: float, length: float) -> str:
    """A seam or dart whose sides cannot meet."""
    return f"One side of “{named(seam)}” is {ease:.1f} mm longer than the other over {mm(length)}: {_TOO_MUCH}."


SENTENCES: dict[str, Sentence] = {
    "seam.closed": seam,
    "seam.skive": skive,
    "seam.ease": seam_ease,
    "seam.unequal": unequal,
}
