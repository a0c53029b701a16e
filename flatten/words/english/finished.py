"""What finished pieces measured beside what was foretold, and what that teaches, in English."""

from __future__ import annotations

from flatten.words.english.amounts import percent
from flatten.words.language import Sentence


def in_force(share: float, girth: float, foretold: float) -> str:
    """What the maker's own correction does."""
    way = "shorter" if share < 0.0 else "longer"
    return (
        f"Your own correction is in it: the leather is drawn {percent(abs(share))} {way} round the limb, "
        f"{abs(girth):.1f} mm at the widest, because yours came out otherwise than drawn. The finished inside should "
        f"then measure {foretold:.0f} mm there. A try-on in paper on these sheets is that much off."
    )


SENTENCES: dict[str, Sentence] = {
    "finished.in force": in_force,
}
