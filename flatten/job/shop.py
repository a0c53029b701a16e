"""The job file's [shop], and the maker's own prices that it names."""

from __future__ import annotations

import difflib
import re
import tomllib
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any

from pydantic import Field

from flatten.job.errors import JobError
from flatten.job.points import FrozenSettings
from flatten.report.prices import Measure, Price, Prices
from flatten.report.shopping import MEASURES, thickness_key
from flatten.units import UnitError, length


class ShopSettings(FrozenSettings):
    """What a job is reckoned by: the file of the maker's own prices ("" where there is none), and hours of work."""

    prices: str = ""
    hours: Annotated[float, Field(ge=0.0, le=1000.0)] = 0.0


_AREAS = {"sq ft": "92903.04", "sq in": "645.16", "m²": "1000000", "m2": "1000000", "dm²": "10000", "dm2": "10000"}
_LENGTHS = {"m": "1000", "metre": "1000", "meter": "1000", "cm": "10", "ft": "304.8", "yd": "914.4", "yard": "914.4"}
_VOLUMES = {"l": "1000000", "litre": "1000000", "cm³": "1000", "cm3": "1000"}
_COUNTS = {"piece": "1", "pair": "2", "dozen": "12"}
_UNITS: dict[str, tuple[Measure, Decimal]] = {
    **{unit: ("area", Decimal(size)) for unit, size in _AREAS.items()},
    **{unit: ("length", Decimal(size)) for unit, size in _LENGTHS.items()},
    **{unit: ("volume", Decimal(size)) for unit, size in _VOLUMES.items()},
    **{unit: ("count", Decimal(size)) for unit, size in _COUNTS.items()},
}
"""Units that a price may be for, with their size in mm, mm², mm³ or things."""

_WANTED = {
    "area": "'12.50 per sq ft', '120 per m²' or '180 per side of 22 sq ft'",
    "length": "'0.30 per m' or '6.50 per spool of 25 m'",
    "volume": "'25 per litre'",
    "count": "'0.20 each' or '8.50 per pack of 100'",
}
"""How a price of each measure is written."""

_PRICE = re.compile(r"(\d+(?:\.\d+)?)\s+(?:each|per\s+(.+?))$")
_WHOLE = re.compile(r"(\w[\w -]*?) of (\d+(?:\.\d+)?)(?:\s*(\D.*))?$")
_MONEY = re.compile(r"\d+(?:\.\d+)?$")
_BY_THICKNESS = ("leather", "lining", "binding", "board")


def prices_of(shop: ShopSettings, *, folder: Path) -> Prices | None:
    """The prices that a job names, None where it names none. Raises JobError where they cannot be read."""
    return read_prices(folder / shop.prices) if shop.prices else None


def read_prices(path: Path) -> Prices:
    """The maker's own prices in a TOML file.

    It may state `currency` and `hourly` (an hour's work) and `decimals` (2); under `[price]` stand prices by what the
    list calls a thing, "8.50 per pack of 100", "" where it is not known yet; under `[other]` sums of money by any name.
    Money is text or a number, and is read as the decimal that it is written as.

    Raises JobError, naming key and place, where the file cannot be read or a price makes no sense.
    """
    try:
        table = tomllib.loads(path.read_text("utf-8-sig"), parse_float=Decimal)
    except OSError as error:
        raise JobError(f"the prices {path.name} cannot be read: {error.strerror}") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise JobError(f"the prices {path.name} are no TOML text: {error}") from error
    name = path.name
    _known(table, ("currency", "decimals", "hourly", "price", "other"), name)
    decimals = table.get("decimals", 2)
    if not isinstance(decimals, int) or isinstance(decimals, bool) or not 0 <= decimals <= 4:
        raise JobError(f"{name}: decimals is {decimals!r}; it must be a whole number from 0 to 4, such as 2 for cents")
    prices: dict[str, Price | None] = {}
    for key, value in _table(table, "price", name).items():
        place = f'{name}: [price] "{key}"'
        item, measure = _item(key, place)
        if item in prices:
            raise JobError(f'{place} has a price twice, as "{item}"; leave one of them out')
        prices[item] = _price(value, measure, place)
    hourly = table.get("hourly", "")
    return Prices(
        currency=str(table.get("currency", "")).strip(),
        decimals=decimals,
        price=prices,
        other={key: _money(value, f'{name}: [other] "{key}"') for key, value in _table(table, "other", name).items()},
        hourly=None if hourly == "" else _money(hourly, f"{name}: hourly"),
    )


def _table(table: dict[str, Any], key: str, name: str) -> dict[str, Any]:
    found = table.get(key, {})
    if not isinstance(found, dict):
        raise JobError(f"{name}: {key} is {found!r}; it must be a table of prices, [{key}]")
    return found


def _known(table: dict[str, Any], known: Iterable[str], name: str) -> None:
    for key in table:
        if key not in known:
            raise JobError(f"{name}: {key} is unknown; {_nearest(key, known)}")


def _nearest(word: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(word, list(known), n=1, cutoff=0.5)
    return f"did you mean '{near[0]}'?" if near else f"known here are {', '.join(known)}"


def _item(key: str, place: str) -> tuple[str, Measure]:
    """What the list calls a thing, and what it is bought by; leather by its thickness in mm or ounces."""
    text = " ".join(key.split())
    sort = next((sort for sort in sorted(MEASURES, key=len, reverse=True) if f"{text} ".startswith(f"{sort} ")), "")
    if not sort:
        word = re.split(r" \d", text)[0]
        raise JobError(f"{place} is nothing to buy that is known; {_nearest(word, MEASURES)}; own costs go to [other]")
    if sort in _BY_THICKNESS:
        try:
            text = thickness_key(sort, length(text.removeprefix(sort), ounces=True))
        except UnitError as error:
            raise JobError(f"{place}: {error}; name it as '{sort} 3.2 mm' or '{sort} 8 oz'") from error
    return text, MEASURES[sort]


def _price(value: Any, measure: Measure, place: str) -> Price | None:
    text = " ".join(value.split()) if isinstance(value, str) else ""
    if value == "" or (isinstance(value, str) and not text):
        return None
    found = _PRICE.match(text)
    if not found:
        raise JobError(f"{place} is {_shown(value)}; write {_WANTED[measure]}, decimals after a point")
    unit = found[2] or "piece"
    whole = _WHOLE.match(unit)
    if whole:
        of, size = _unit(whole[3] or "piece", place, measure)
        size *= Decimal(whole[2])
    else:
        of, size = _unit(unit, place, measure)
    if of != measure or not size:
        raise JobError(f"{place} is {_shown(value)}, and it is bought by {measure}; write {_WANTED[measure]}")
    by_count = measure == "count"
    return Price(Decimal(found[1]), measure, whole[1] if whole else unit, size, bool(whole) or by_count, text)


def _unit(text: str, place: str, measure: Measure) -> tuple[Measure, Decimal]:
    unit = text.strip()
    if unit not in _UNITS:
        raise JobError(f"{place} is for a '{unit}', which is no unit; write {_WANTED[measure]}")
    return _UNITS[unit]


def _money(value: Any, place: str) -> Decimal:
    if isinstance(value, str) and _MONEY.match(value.strip()):
        return Decimal(value.strip())
    if isinstance(value, int | Decimal) and not isinstance(value, bool):
        money = Decimal(value)
        if money.is_finite() and money >= 0:
            return money
    raise JobError(f"{place} is {_shown(value)}; write money as '12.50', decimals after a point")


def _shown(value: Any) -> str:
    return f"'{value}'" if isinstance(value, str | Decimal) else f"{value!r}"
