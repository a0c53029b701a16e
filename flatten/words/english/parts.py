"""What lies on the leather and beneath it, in English: linings, plates and lames."""

from __future__ import annotations

from flatten.words.english.amounts import mm, plural
from flatten.words.english.places import beneath
from flatten.words.language import Sentence


def lining_beneath(thickness: float) -> str:
    """What a lining does to the leather."""
    return f"The lining, {thickness:g} mm thick, lies inside of the leather, which is that much further out."


def lining_cut(thickness: float, allowance: float, parted: bool) -> str:
    """How a lining is cut and glued in."""
    larger = (
        f"is cut {mm(allowance)} larger than the leather all round; glue it in when the leather is formed and dry, and "
        "trim it to the edge when the glue holds"
        if allowance
        else "is cut flush with the leather’s edges; glue it in when the leather is formed and dry"
    )
    holes = "Punch it through the leather’s holes: it has none of its own."
    said = f"The lining, {thickness:g} mm thick, {larger}. {holes}"
    if not parted:
        return said
    return f"{said} Between the layers of an overlap lies none: that of the upper leather ends where the lower begins."


def held(part: str, on: str, count: int, pitch: float, punched: int, copied: float) -> str:
    """How a part is riveted on; `punched` of the holes beneath it are punched flat."""
    later = count - punched
    apart = f", about {mm(pitch)} apart" if count > 1 else ""
    miss = f": holes copied flat would miss by up to {copied:.1f} mm"
    if not later:
        how, miss = "Punch all holes of both flat", ""
    elif punched:
        how = (
            f"Punch all its holes flat, and beneath it the {punched} without a cross; hang it on {_those(punched)}, "
            f"and mark the other {later} through it when both are formed and dry"
        )
    else:
        how = "Punch all its holes flat, and mark those beneath it through them when both are formed and dry"
    return f"“{part}” is riveted on {beneath(on)} in {count} place{plural(count)}{apart}. {how}{miss}."


def _those(count: int) -> str:
    return "that" if count == 1 else "those"


def own_shape(plates: tuple[str, ...]) -> str:
    """Plates on a base whose halves are made equal."""
    *some, last = (f"“{plate}”" for plate in plates)
    which = f"{', '.join(some)} and {last} follow" if some else f"{last} follows"
    return f"{which} the limb’s own shape: only the base’s halves are made equal."


def lames_move(
    name: str,
    count: int,
    overlap: float,
    bend: float,
    step: float,
    middle: tuple[float, ...],
    ends: tuple[float, ...],
    slots: tuple[float, ...],
    rivet: float,
    pivots: tuple[str, ...],
) -> str:
    """How a row of lames moves: its pairs, from the base on, by overlaps when bent, longest slots and pivots."""
    lie = " and ".join(pivots)
    bent = [
        f"by {mid:.0f} mm in the middle and {end:.0f} mm at its ends, its rivets sliding in slots up to {slot:.1f} mm "
        "long"
        for mid, end, slot in zip(middle, ends, slots, strict=False)
    ]
    row, so = f"The lame “{name}” overlaps the base", f"Bent by {bend:.0f}° it does so {bent[0]}."
    turns, lays = "It turns", "Lay it on the base"
    if count != 1:
        row = f"The {count} lames of “{name}” overlap"
        each = " ".join(f"Lame {number} then overlaps {one}." for number, one in enumerate(bent, 1))
        so = f"The joint is bent by {bend:.0f}°, {step:.0f}° at each. {each}"
        turns, lays = "They turn", "Lay each on its neighbour nearer to the base"
    return (
        f"{row} by {mm(overlap)} with the joint straight. {so} {turns} on pivots at the outside and the inside, {lie}. "
        f"{lays}; slots are cut in the lower layer. Rivets in slots are set loosely, with a washer on the inside for "
        f"their {rivet:g} mm holes."
    )


def lames_pivot(number: int | None, where: str) -> str:
    """Where a lame's pivots are."""
    return where if number is None else f"those of lame {number} {where}"


def lames_off(name: str, off: float, where: str, bend: float) -> str:
    """That a row does not turn quite as the joint does."""
    return (
        f"Bent by {bend:.0f}°, “{name}” ends up {off:.0f} mm from where the joint would carry it, as its pivots do not "
        f"lie at the joint’s hinge, {where}. Leave it that much room, begin it nearer to the hinge, or let it bend "
        "less."
    )


SENTENCES: dict[str, Sentence] = {
    "lining.beneath": lining_beneath,
    "lining.cut": lining_cut,
    "part.held": held,
    "part.own shape": own_shape,
    "lames.move": lames_move,
    "lames.pivot": lames_pivot,
    "lames.off": lames_off,
}
