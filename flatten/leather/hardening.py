"""What leather loses of its length when it is hardened by heat, as a job states it or its strips tell."""

from __future__ import annotations

from flatten.leather.model import LeatherError, StripTest
from flatten.units import share_text

UNHARDENED, AS_STRIPS = "no", "as strips shrank"
"""What a job says in place of shares: pieces are not cut larger, or by what its strip test's hardened strips lost."""

MOST = 0.30
"""Greatest share by which pieces are cut larger: water of 76 to 82 °C takes an eighth at most, and leather that has
lost a third is brittle. From memory; more is a slip."""


def hardening_of(asked: str | tuple[float, float], test: StripTest | None) -> tuple[float, float]:
    """Share of its dry length that leather loses in hardening, along and across the grain.

    `asked` is UNHARDENED, AS_STRIPS (the mean of the strips of each direction), or the two shares.

    Raises LeatherError where strips are asked for that nobody read along and across, or that lost more than MOST.
    """
    if asked == UNHARDENED:
        return (0.0, 0.0)
    if isinstance(asked, tuple):
        return asked
    along, across = (None, None) if test is None else test.hardening
    if along is None or across is None:
        missing = "no strip test" if test is None else "a strip test without [[hardened]] strips both ways"
        raise LeatherError(
            f"hardening is '{AS_STRIPS}', and the leather's limits are {missing}; harden a strip along and one across "
            "the grain and add what they read (before, after), or write the shares yourself, such as '5 %'"
        )
    lost = max(along.mean, across.mean)
    if lost > MOST:
        raise LeatherError(
            f"the [[hardened]] strips lost {share_text(lost)} of their length, and {share_text(MOST)} is the most that "
            "pieces are cut larger by; harden strips with less heat, or for a shorter time"
        )
    return (along.mean, across.mean)
