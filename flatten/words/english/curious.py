"""How figures come about, in English, for the curious: here laboratory words may stand."""

from __future__ import annotations

from flatten.words.english.amounts import capital, mm, percent
from flatten.words.language import Sentence, fixed


def bound(piece: str | None, least: float, reached: float | None, spread: float, edge: float) -> str:
    """What no flat piece of a panel can do without, what could be reached, and what its piece has (shares)."""
    of = "this panel" if piece is None else f"the panel of “{piece}”"
    has = f"the piece that is cut has {percent(spread)}, as it lies as true to the limb as its limits let it"
    could = "" if reached is None else f"{percent(reached)} could be reached where nothing else was asked; "
    return (
        f"A lower bound: whatever its outline, no flat piece of {of}, meshed with edges of {mm(edge)}, has less than "
        f"{percent(least)} between its least and its greatest stretch. {capital(could + has)}."
    )


def bend(piece: str | None, where: str, strain: float) -> str:
    """What the tightest bend adds to the stretch of the grain side."""
    of = "" if piece is None else f" of “{piece}”"
    return f"The tightest bend{of}, {where}, adds {percent(strain)} to the stretch of the grain side there."


def tooling(stretch: float, squeeze: float, sharpest: float) -> str:
    """By what a place is judged to be no place for tooling."""
    return (
        f"Tooling is kept off where the leather stretches by more than {percent(stretch)}, is squeezed by more than "
        f"{percent(squeeze)}, or bends to an inside radius below {mm(sharpest)}."
    )


SENTENCES: dict[str, Sentence] = {
    "curious.heading": fixed("For the curious"),
    "curious.patches": fixed(
        "Colours and figures by region are means over patches as wide as a large coin, 10 mm about their middles. The "
        "most a piece stretches and is squeezed is the worst of such patches, of straight lines of 20 mm on the flat "
        "leather, and of 20 mm of its rim."
    ),
    "curious.bound": bound,
    "curious.middle": fixed("What is told of stretch holds for the middle of the leather’s thickness."),
    "curious.bend": bend,
    "curious.tooling": tooling,
}
