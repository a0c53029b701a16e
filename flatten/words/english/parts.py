"""What lies on the leather and beneath it, in English: linings and lames."""

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


SENTENCES: dict[str, Sentence] = {
    "lining.beneath": lining_beneath,
    "lining.cut": lining_cut,
}
