"""A maker's own prices, exactly as they are written: money is decimal, and never goes through a binary fraction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from typing import Literal

Measure = Literal["count", "length", "area", "volume"]
"""What an amount is: things, mm, mm² or mm³."""

STEP = Decimal("0.01")
"""Steps in which an amount is charged that is cut to measure: hundredths of the price's own unit, rounded up."""

_NOISE = Decimal("0.000001")
"""Share of a unit that arithmetic may have added: what exceeds a step by less does not ask for the next one."""


@dataclass(frozen=True)
class Price:
    """`money` for each `unit` of `size` (things, mm, mm² or mm³, by its measure); bought whole, as a pack or a hide is,
    or cut to measure. `text` is how the maker wrote it."""

    money: Decimal
    measure: Measure
    unit: str
    size: Decimal
    whole: bool
    text: str

    def amount(self, wanted: float) -> Decimal:
        """How many units an amount takes: whole ones, or hundredths."""
        units = (Decimal(repr(float(wanted))) / self.size).quantize(_NOISE)
        step = Decimal(1) if self.whole else STEP
        return units.quantize(step, rounding=ROUND_CEILING)


@dataclass(frozen=True)
class Prices:
    """Prices by what they are for, None where none is written yet; `other` costs of any kind by name.

    Money is told in the `currency` that the maker wrote, to `decimals` places. `hourly` is what an hour of work costs.
    """

    currency: str
    decimals: int
    price: Mapping[str, Price | None]
    other: Mapping[str, Decimal]
    hourly: Decimal | None

    def rounded(self, money: Decimal) -> Decimal:
        """Money to the last place that is told, halves up."""
        return money.quantize(Decimal(1).scaleb(-self.decimals), rounding=ROUND_HALF_UP)
