"""The browser page in English: what the work order does not take, and the choices that are not wanted by default."""

from __future__ import annotations

from flatten.words.language import Sentence, fixed


def choice(found: str) -> str:
    """A value that is none of those to choose from."""
    return f"{found} is not among what can be chosen here"


SENTENCES: dict[str, Sentence] = {
    "page.refused": fixed("This does not go with the rest of the work order; change that first"),
    "page.refused.choice": choice,
    "page.refused.hardening": fixed("pieces are cut larger only for leather that is to be hardened; say that it is"),
    "page.refused.edge": fixed(
        "an edge is told by a shape, by heights at its sides or by points of its own: this does not go with the rest"
    ),
    "page.refused.around": fixed(
        "that is no stretch round the limb; it begins at one side or bearing and ends at another"
    ),
    "page.refused.heights": fixed("those are no two heights, such as 120 mm and 260 mm"),
    "page.refused.curve": fixed("a plate's outline has three points or more, none of them twice"),
    "page.refused.sides": fixed("rivets stand all round a plate, or on one of its sides or more"),
    "page.refused.plate": fixed(
        "a plate lies inside an outline of its own, or between two sides and two heights that differ"
    ),
    "page.refused.lames": fixed("lames that lie on the leather begin at a height, and others at its edge"),
    "page.refused.hide": fixed(
        "a leather is told by its shape with a length and a width, or by the file of its outline"
    ),
    "page.refused.wall": fixed("a wall is 4 to 40 mm thick"),
    "page.refused.bed": fixed("a printer's bed has three sides of 60 to 1000 mm"),
    "page.refused.grounds": fixed("pieces are laid on leathers or on a bed, not on both; take the others away first"),
}
