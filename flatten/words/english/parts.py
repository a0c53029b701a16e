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


SENTENCES: dict[str, Sentence] = {
    "lining.beneath": lining_beneath,
    "lining.cut": lining_cut,
    "part.held": held,
    "part.own shape": own_shape,
}
