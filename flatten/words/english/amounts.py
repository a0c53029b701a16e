"""Lengths, shares and girths as English text."""

from __future__ import annotations

import math

from flatten.units import inches, share_text
from flatten.words.language import Sentence


def percent(ratio: float, *, signed: bool = False) -> str:
    """A share as text with one decimal: "4.1 %", or "+4.1 %" and "−2.0 %" when signed."""
    text = f"{100 * ratio:+.1f} %" if signed else share_text(ratio, 1)
    return text.replace("-0.0", "0.0").replace("+0.0", "0.0").replace("-", "−")


def percent_range(low: float, high: float) -> str:
    """Two stretches (worn / flat) as growth, "−0.6 to +1.2 %"; one figure where both read the same."""
    first, last = percent(low - 1.0, signed=True), percent(high - 1.0, signed=True)
    text = last if first == last else f"{first.removesuffix(' %')} to {last}"
    return text.replace(" %", "\N{NO-BREAK SPACE}%")


def percent_of_both(low: float, high: float) -> str:
    """Two shares, "4.0 to 6.0 %"; one figure where both read the same."""
    first, last = percent(low), percent(high)
    return last if first == last else f"{first.removesuffix(' %')} to {last}"


def grown(log_ratio: float) -> str:
    """How much a length grows by a log-ratio, "4.1 %"."""
    return percent(math.expm1(log_ratio))


def mm(value: float) -> str:
    """A length in whole millimetres, "392 mm"."""
    return f"{value:.0f} mm".replace("-0 ", "0 ").replace("-", "−")


def mm_and_inches(value: float) -> str:
    """A length in whole millimetres and tenths of an inch, "392 mm (15.4 in)"."""
    return f"{mm(value)} ({inches(value):.1f} in)"


def metres(value: float, decimals: int = 1) -> str:
    """A length of millimetres in metres, "1.2 m"."""
    return f"{value / 1000.0:.{decimals}f} m"


def plural(count: int) -> str:
    """What a noun ends in for so many: "" for one, "s" otherwise."""
    return "" if count == 1 else "s"


def listed(texts: tuple[str, ...]) -> str:
    """Texts one after another, "10, 25 and 40"; there is one at least."""
    *some, last = texts
    return f"{', '.join(some)} and {last}" if some else last


def capital(text: str) -> str:
    """The text with a capital first letter."""
    return text[:1].upper() + text[1:]


def share(share: float) -> str:
    """A share as text, "4.1 %"."""
    return percent(share)


SENTENCES: dict[str, Sentence] = {"mm": mm, "share": share}
