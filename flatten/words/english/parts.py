"""What lies on the leather and beneath it, in English: linings, plates and lames."""

from __future__ import annotations

from flatten.words.english.amounts import mm
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
    beneath = "the base" if on == "base" else f"“{on}”"
    later = count - punched
    if not later:
        how = "Punch all holes of both flat"
    elif punched:
        how = (
            f"Punch all its holes flat, and beneath it the {punched} without a cross: hang it up on those, and mark "
            f"the other {later} through it when both are formed and dry"
        )
    else:
        how = "Punch all its holes flat, and mark those beneath it through them when both are formed and dry"
    return (
        f"“{part}” is riveted on {beneath} in {count} places, about {mm(pitch)} apart. {how}. Holes copied from one "
        f"flat piece to the other would miss by up to {copied:.1f} mm: the outer layer is longer."
    )


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
    pairs = "; ".join(
        f"lame {number} by {mid:.0f} mm in the middle and {end:.0f} mm at its ends, with slots up to {slot:.1f} mm long"
        for number, (mid, end, slot) in enumerate(zip(middle, ends, slots, strict=False), 1)
    )
    row = f"The lame “{name}” overlaps the base" if count == 1 else f"The {count} lames of “{name}” overlap"
    return (
        f"{row} by {mm(overlap)} when the joint is straight. Bent by {bend:.0f}°, {step:.0f}° each: {pairs}. They turn "
        f"on pivots at the outside and the inside, {lie}. Lay each on its neighbour nearer to the base. Punch the "
        "holes that have no cross flat; form all, and mark those with a cross through the layer that lies on them. "
        "Slots are cut in the lower layer; set the rivets in them loosely, with a washer on the inside for their "
        f"{rivet:g} mm holes."
    )


def lames_pivot(number: int, where: str) -> str:
    """Where a lame's pivots are."""
    return f"those of lame {number} {where}"


def lames_off(name: str, off: float, where: str, bend: float) -> str:
    """That a row does not turn quite as the joint does."""
    return (
        f"Bent by {bend:.0f}°, the lames of “{name}” end up {off:.0f} mm from where the joint would carry them, for "
        f"their pivots do not lie at its hinge, {where}: leave them as much room, let them begin nearer to it, or let "
        "them bend less."
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
