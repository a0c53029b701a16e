"""What a job costs by the maker's own prices: what has none is told, and never counted as nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from flatten.findings import Message, message
from flatten.report.model import JobReport
from flatten.report.prices import Price, Prices
from flatten.report.shopping import Item, shopping_list


@dataclass(frozen=True)
class Line:
    """One item's cost: how many `units` its `price` is paid for; None all three where it has no price."""

    item: Item
    price: Price | None
    units: Decimal | None
    cost: Decimal | None


@dataclass(frozen=True)
class Costs:
    """What a job costs: its `lines`, `other` costs by name, and work, None where hours or their price are not known.

    Each cost is rounded by itself, and `total` is their exact sum; `each` is that for one of `pieces` limbs, rounded.
    """

    prices: Prices
    lines: tuple[Line, ...]
    other: tuple[tuple[str, Decimal], ...]
    hours: Decimal
    work: Decimal | None
    pieces: int

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What the total is without."""
        return tuple(line.item.key for line in self.lines if line.cost is None)

    @property
    def total(self) -> Decimal:
        """All that has a price."""
        costs = [line.cost for line in self.lines if line.cost is not None]
        return sum([*costs, *(cost for _, cost in self.other), *([] if self.work is None else [self.work])], Decimal(0))

    @property
    def each(self) -> Decimal:
        """The total for one limb."""
        return self.prices.rounded(self.total / self.pieces)


def costs_of(report: JobReport) -> Costs | None:
    """What a job costs; None where the maker names no prices."""
    prices = report.prices
    if prices is None:
        return None
    pieces = sum(2 if limb.mirrored else 1 for limb in report.limbs)
    return costed(shopping_list(report), prices, hours=report.hours, pieces=pieces)


def costed(items: Sequence[Item], prices: Prices, *, hours: float = 0.0, pieces: int = 1) -> Costs:
    """What items cost at some prices, with `hours` of work, for so many `pieces`."""
    lines = []
    for item in items:
        price = prices.price.get(item.key)
        units = None if price is None else price.amount(item.buy)
        cost = None if price is None or units is None else prices.rounded(price.money * units)
        lines.append(Line(item, price, units, cost))
    worked = Decimal(repr(float(hours)))
    work = prices.rounded(prices.hourly * worked) if prices.hourly is not None and worked else None
    other = tuple((name, prices.rounded(cost)) for name, cost in prices.other.items())
    return Costs(prices, tuple(lines), other, worked, work, pieces)


@dataclass(frozen=True)
class Row:
    """One row of the list as the page has it: what, how much to buy, the price and for how many units it is paid, and
    the cost as text; None where there is none."""

    what: Message | str
    buy: Message | None
    price: Message | str | None
    cost: str | None


def shopping_rows(items: Sequence[Item], costs: Costs | None) -> list[Row]:
    """The rows of the list; with prices also those of other costs and of work."""
    if costs is None:
        return [Row(item.told, _bought(item), None, None) for item in items]
    rows = []
    for line in costs.lines:
        told, cost = message("shopping.no price"), None
        if line.price is not None and line.cost is not None:
            told = message("shopping.priced", units=f"{line.units:f}", price=line.price.text)
            cost = money(costs, line.cost)
        rows.append(Row(line.item.told, _bought(line.item), told, cost))
    rows += [Row(name, None, None, money(costs, cost)) for name, cost in costs.other]
    if costs.work is not None:
        hours = message("shopping.work", hours=f"{costs.hours.normalize():f}")
        rows.append(Row(hours, None, f"{costs.prices.hourly:f}", money(costs, costs.work)))
    return rows


def _bought(item: Item) -> Message:
    return message("shopping.buy", measure=item.measure, needed=item.needed, spare=item.spare)


def cost_messages(costs: Costs | None) -> list[Message]:
    """What stands under the list: the total and what it is without, or how prices are given."""
    if costs is None:
        return [message("shopping.no prices")]
    currency, told = costs.prices.currency, []
    told.append(message("shopping.total", amount=money(costs, costs.total), currency=currency))
    if costs.pieces > 1:
        told.append(message("shopping.each", amount=money(costs, costs.each), currency=currency, pieces=costs.pieces))
    if costs.unpriced:
        told.append(message("shopping.without", items=costs.unpriced))
    if costs.work is None:
        told.append(message("shopping.no work", hours=costs.hours > 0, hourly=costs.prices.hourly is not None))
    return told


def money(costs: Costs, amount: Decimal) -> str:
    """Money as it is told, "12.50"."""
    return f"{costs.prices.rounded(amount):f}"


def shopping_numbers(items: Sequence[Item]) -> list[dict[str, Any]]:
    """report.json's `shopping`: things, mm, mm² or mm³ by `measure`."""
    return [
        {
            "item": item.key,
            "sort": item.sort,
            "measure": item.measure,
            "needed": item.needed,
            "spare": item.spare,
            "buy": item.buy,
        }
        for item in items
    ]


def cost_numbers(costs: Costs | None) -> dict[str, Any] | None:
    """report.json's `costs`: money as decimal text, so that no reader rounds it; null without prices."""
    if costs is None:
        return None
    return {
        "currency": costs.prices.currency,
        "lines": [
            {
                "item": line.item.key,
                "price": None if line.price is None else line.price.text,
                "units": None if line.units is None else f"{line.units:f}",
                "cost": None if line.cost is None else money(costs, line.cost),
            }
            for line in costs.lines
        ],
        "other": [{"name": name, "cost": money(costs, cost)} for name, cost in costs.other],
        "work": None
        if costs.work is None or costs.prices.hourly is None
        else {"hours": f"{costs.hours:f}", "hourly": f"{costs.prices.hourly:f}", "cost": money(costs, costs.work)},
        "without": list(costs.unpriced),
        "total": money(costs, costs.total),
        "pieces": costs.pieces,
        "each": money(costs, costs.each),
    }
