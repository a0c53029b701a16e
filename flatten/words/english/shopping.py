"""The shopping list and what it costs, in English."""

from __future__ import annotations

from flatten.units import square_feet
from flatten.words.english.amounts import listed, metres
from flatten.words.language import Sentence, fixed

_SHEETS = {
    "leather": "Leather {} mm thick",
    "lining": "Lining {} mm thick",
    "binding": "Leather {} mm thick for bound edges",
    "board": "Board {} mm thick for the former’s ribs and spines",
}


_WRITTEN = {
    "area": "“… per sq ft”, “… per m²”, “… per side of … sq ft”",
    "length": "“… per m”, “… per spool of … m”",
    "volume": "“… per litre”",
    "count": "“… each”, “… per pack of …”",
}
"""How a price of each measure is written."""


def _area(area: float) -> str:
    return f"{area / 1e6:.2f} m² ({square_feet(area):.1f} sq ft)"


def sheet(sort: str, thickness: float, area: float, bought: float) -> str:
    """Leather, lining, binding or board: what the pieces take, and whether offcuts are bought with it."""
    more = "" if bought == area else ", and offcuts"
    return f"{_SHEETS[sort].format(f'{thickness:g}')}: {_area(area)} for the pieces{more}."


def printed(volume: float) -> str:
    """What a former to print has for its volume."""
    return f"Filament for the former, whose bodies hold {volume / 1e6:.1f} litres: your slicer tells what it takes."


def buy(measure: str, needed: float, spare: float) -> str:
    """How much to buy: spares told apart where things are counted."""
    bought = needed + spare
    if measure == "count":
        return f"{bought:.0f}, {spare:.0f} of them spare" if spare else f"{bought:.0f}"
    if measure == "length":
        return metres(bought)
    return _area(bought) if measure == "area" else f"{bought / 1e6:.1f} litres"


def priced(units: str, price: str) -> str:
    """For how many units a price is paid."""
    return f"{units} × {price}"


def _money(amount: str, currency: str) -> str:
    return f"{amount} {currency}".strip()


def total(amount: str, currency: str) -> str:
    """The sum of all that has a price."""
    return f"In all {_money(amount, currency)}, by your own prices."


def each(amount: str, currency: str, pieces: int) -> str:
    """The same for one limb."""
    return f"That is {_money(amount, currency)} for each of the {pieces}."


def without(items: tuple[str, ...]) -> str:
    """What has no price."""
    what = "it" if len(items) == 1 else "them"
    return f"Not in it, as no price is written for {what}: {listed(tuple(f'“{item}”' for item in items))}."


def no_work(hours: bool, hourly: bool) -> str:
    """That work is not in the sum, and what is missing for it."""
    if hours and not hourly:
        return "Your work is not in it: write an hourly price too."
    if hourly:
        return "Your work is not in it: write its hours under [shop]."
    return "Your work is not in it."


def work(hours: str) -> str:
    """Hours of work."""
    return f"Work, {hours} hour{'' if hours == '1' else 's'}"


def bought(measure: str, needed: float, spare: float) -> str:
    """A remark in an empty prices file: how much there is to buy, and how a price is written."""
    return f"{buy(measure, needed, spare)}; {_WRITTEN[measure]}"


SENTENCES: dict[str, Sentence] = {
    "shopping.sheet": sheet,
    "shopping.print": printed,
    "shopping.buy": buy,
    "shopping.priced": priced,
    "shopping.bought": bought,
    "shopping.total": total,
    "shopping.each": each,
    "shopping.without": without,
    "shopping.no work": no_work,
    "shopping.work": work,
    "shopping.no prices": fixed(
        "For what it costs, write your own prices down: calfskin prices, with the folder of this report, lists what to "
        "fill in."
    ),
    "shopping.prices head": fixed(
        "Your own prices: fill in what you know, and leave the others empty. Name the file in the job file, prices "
        "under [shop], and make it again."
    ),
    "shopping.prices currency": fixed("your own text, such as a sign"),
    "shopping.prices hourly": fixed("what an hour of your work costs; its hours stand under [shop]"),
    "shopping.prices other": fixed("anything else, by any name"),
    "shopping.no price": fixed("no price"),
    "shopping.column.what": fixed("What"),
    "shopping.column.buy": fixed("Buy"),
    "shopping.column.price": fixed("Price"),
    "shopping.column.cost": fixed("Cost"),
}
