"""The home stretch test: readings of leather strips from TOML or CSV files, and the limits they give."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any

from flatten.leather.model import LeatherError, Reading, Strip, StripTest
from flatten.leather.striptable import strip_table
from flatten.units import UnitError, length
from flatten.unwrap.model import Limits

DIRECTIONS = ("along", "across")

STRIP_FILES = (".toml", ".csv")
"""Endings of the files that readings of strips are in."""

_OF_STRIPS = ("load", "width", "thickness", "hide")
"""What a file states of all its strips, or a strip of itself."""

_READINGS = ("L0", "L1", "L2", "L3", "L4")

MISREAD = 0.02
"""Share by which a strip may read as bent more sharply than it was: half a millimetre of a rise of 25."""

_PAIRS = {"unloaded": ("wet", "dried"), "hardened": ("before", "after")}
"""Tables of strips that shrink without a load: what is read first, and then."""


def is_strip_file(name: object) -> bool:
    """Whether limits that a job states are the file of a strip test."""
    return isinstance(name, str) and name.lower().endswith(STRIP_FILES)


def read_strip_test(*paths: Path) -> StripTest:
    """The results of the home stretch test whose readings the files at `paths` hold, TOML or CSV, taken together.

    A TOML file states `load` ("10 kg"), `width` and `thickness` of the strips, and a `[[strip]]` table a strip:
    `direction` ("along" or "across" the grain) and the distances of the two drawn lines, lengths such as
    "104.5 mm": L0 straightened, L1 loaded dry, L2 loaded wet, L3 dried under load, L4 unloaded. L0 and L2 must
    be there; a strip's own load, width, thickness and `hide` go before the file's. `[[unloaded]]` tables (`direction`,
    `wet`, `dried`) hold strips that dried without a load, `[[hardened]]` ones (`before`, `after`) those that were
    hardened by heat, dry both times, and `[[curved]]` ones those that dried round something `round` of that diameter:
    the `chord` between their ends, inside, and its `rise` above that, an hour after they came off. A CSV file holds the
    same as `strip_table` tells.

    Raises LeatherError where a file cannot be read, a direction has no strip, or a reading makes no sense.
    """
    strips: list[Strip] = []
    shrunk: dict[str, list[tuple[str, float]]] = {name: [] for name in _PAIRS}
    curved: list[tuple[str, float]] = []
    for path in paths:
        table, file = _table(path), f"strip test '{path.name}'"
        _known(table, (*_OF_STRIPS, "strip", *_PAIRS, "curved"), file)
        strips += [_strip(entry, _where(entry, "strip", n, path), table, file) for n, entry in _entries(table, "strip")]
        for name, read in _PAIRS.items():
            found = _entries(table, name)
            shrunk[name] += [_shrunk(entry, _where(entry, f"{name} strip", n, path), read) for n, entry in found]
        curved += [
            _bent(entry, _where(entry, "curved strip", n, path), table, file) for n, entry in _entries(table, "curved")
        ]
    for direction in DIRECTIONS:
        if not any(strip.direction == direction for strip in strips):
            names = " and ".join(f"'{path.name}'" for path in paths)
            raise LeatherError(f"strip test {names} has no strip {direction} the grain; three are usual")
    return StripTest(
        load_kg=min(strip.load_kg for strip in strips),
        width=_mean([strip.width for strip in strips]),
        thickness=_mean([strip.thickness for strip in strips]),
        dry=_pair(strips, lambda strip: strip.dry),
        wet=_both(_pair(strips, lambda strip: strip.wet)),
        kept=_pair(strips, lambda strip: strip.kept),
        springback=_pair(strips, lambda strip: strip.springback),
        shrinkage=_lost(shrunk["unloaded"]),
        hardening=_lost(shrunk["hardened"]),
        strips=tuple(strips),
        bent=_lost(curved),
    )


def strip_limits(stretch: Sequence[Reading | None], *, squeeze: Limits, source: str) -> Limits:
    """Limits whose stretch is the weakest strip's along and across, and whose squeeze is that of a preset.

    Strips of one hide differ, and a piece is as wide as many strips: its weakest place decides. A strip under a weight
    says nothing about squeezing.

    Raises LeatherError where a direction was not read.
    """
    along, across = _both(stretch)
    return Limits(along.least, across.least, squeeze.squeeze_along, squeeze.squeeze_across, source)


def _table(path: Path) -> dict[str, Any]:
    """What a file holds, as TOML has it."""
    try:
        text = path.read_text("utf-8-sig")
        if path.suffix.lower() == ".csv":
            return strip_table(text, name=path.name)
        return tomllib.loads(text)
    except OSError as error:
        raise LeatherError(f"strip test '{path.name}' cannot be read: {error.strerror}") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        kind = "CSV" if path.suffix.lower() == ".csv" else "TOML"
        raise LeatherError(f"strip test '{path.name}' is no {kind} text: {error}") from error


def _entries(table: dict[str, Any], name: str) -> list[tuple[int, Any]]:
    """The tables of a name, numbered from 1."""
    return list(enumerate(table.get(name, []), 1))


def _where(entry: Any, what: str, number: int, path: Path) -> str:
    """What errors call a strip: by its line, of a CSV file, else by its number among those of its kind."""
    line = entry.pop("line", None) if isinstance(entry, dict) and path.suffix.lower() == ".csv" else None
    return f"{what} {number} of '{path.name}'" if line is None else f"line {line} of '{path.name}'"


def _strip(entry: Any, where: str, head: dict[str, Any], file: str) -> Strip:
    direction = _direction(entry, ("direction", *_READINGS, *_OF_STRIPS), where)
    readings = {name: _positive(entry, name, where) for name in _READINGS if name in entry or name in ("L0", "L2")}
    for name in _READINGS[1:]:
        growth = readings.get(name, readings["L0"]) / readings["L0"] - 1.0
        if not 0.0 <= growth < 1.0:
            raise LeatherError(
                f"{where} reads {name} = {readings[name]:g} mm against L0 = {readings['L0']:g} mm; "
                f"it must be at least L0 and below twice L0"
            )
    if "L3" in readings and "L4" in readings and readings["L4"] > readings["L3"]:
        raise LeatherError(f"{where} grew when its load was taken off (L4 above L3); read it again")
    stated = {name: (entry, where) if name in entry else (head, file) for name in _OF_STRIPS}
    return Strip(
        where,
        direction,
        hide=str(stated["hide"][0].get("hide", "")).strip(),
        load_kg=_kilograms(stated["load"][0].get("load"), stated["load"][1]),
        width=_positive(stated["width"][0], "width", stated["width"][1]),
        thickness=_positive(stated["thickness"][0], "thickness", stated["thickness"][1]),
        gauge=readings["L0"],
        dry=_growth(readings, "L1"),
        wet=readings["L2"] / readings["L0"] - 1.0,
        kept=_growth(readings, "L4"),
        springback=_springback(readings),
    )


def _shrunk(entry: Any, where: str, read: tuple[str, str]) -> tuple[str, float]:
    """A strip's direction and the share of its length that it lost between two readings."""
    direction = _direction(entry, ("direction", *read), where)
    first, then = (_positive(entry, name, where) for name in read)
    if not 0.5 < then / first <= 1.0:
        raise LeatherError(f"{where} reads {then:g} mm {read[1]} and {first:g} mm {read[0]}; it must shrink")
    return direction, 1.0 - then / first


def _bent(entry: Any, where: str, head: dict[str, Any], file: str) -> tuple[str, float]:
    """A curved strip's direction, and the share s of its bend that came back: R' = R/(1 − s) in its middle."""
    direction = _direction(entry, ("direction", "round", "chord", "rise", "thickness"), where)
    around, chord, rise = (_positive(entry, name, where) for name in ("round", "chord", "rise"))
    own = "thickness" in entry
    half = 0.5 * _positive(entry if own else head, "thickness", where if own else file)
    formed, released = 0.5 * around + half, chord**2 / (8.0 * rise) + 0.5 * rise + half
    if released < formed * (1.0 - MISREAD):
        raise LeatherError(
            f"{where} has a chord of {chord:g} mm and a rise of {rise:g} mm: it would be bent more sharply than the "
            f"{around:g} mm that it dried round; measure the chord inside, and its rise in the middle"
        )
    return direction, max(0.0, 1.0 - formed / released)


def _direction(entry: Any, known: Iterable[str], where: str) -> str:
    if not isinstance(entry, dict):
        raise LeatherError(f"{where} is no table of readings")
    _known(entry, known, where)
    direction = entry.get("direction")
    if direction not in DIRECTIONS:
        raise LeatherError(f"{where} has the direction {direction!r}; write 'along' or 'across' (the grain)")
    return str(direction)


def _known(table: dict[str, Any], known: Iterable[str], where: str) -> None:
    known = tuple(known)
    for key in table:
        if key not in known:
            raise LeatherError(f"{where} has the unknown key '{key}'; it may have {', '.join(known)}")


def _positive(table: dict[str, Any], name: str, where: str) -> float:
    if name not in table:
        raise LeatherError(f"{where} has no {name}; write a length such as '100 mm'")
    try:
        value = length(table[name], ounces=name == "thickness")
    except UnitError as error:
        raise LeatherError(f"{where}: {name}: {error}") from error
    if not value > 0.0:
        raise LeatherError(f"{where} has {name} = {value:g} mm; it must be above 0")
    return value


def _kilograms(value: Any, where: str) -> float:
    text = str(value).strip()
    if isinstance(value, str) and text.endswith("kg"):
        try:
            load = float(text[:-2])
        except ValueError:
            load = math.nan
        if math.isfinite(load) and load > 0.0:
            return load
    raise LeatherError(f"{where} has the load {value!r}; write the whole mass that hung on a strip, such as '10 kg'")


def _growth(readings: dict[str, float], name: str) -> float | None:
    return readings[name] / readings["L0"] - 1.0 if name in readings else None


def _springback(readings: dict[str, float]) -> float | None:
    if "L3" not in readings or "L4" not in readings or readings["L3"] == readings["L0"]:
        return None
    return (readings["L3"] - readings["L4"]) / (readings["L3"] - readings["L0"])


def _pair(strips: list[Strip], figure: Callable[[Strip], float | None]) -> tuple[Reading | None, Reading | None]:
    along, across = (
        _reading([figure(strip) for strip in strips if strip.direction == direction]) for direction in DIRECTIONS
    )
    return along, across


def _lost(found: list[tuple[str, float]]) -> tuple[Reading | None, Reading | None]:
    along, across = (_reading([share for own, share in found if own == direction]) for direction in DIRECTIONS)
    return along, across


def _reading(values: Sequence[float | None]) -> Reading | None:
    read = [value for value in values if value is not None]
    if not read:
        return None
    return Reading(_mean(read), min(read), max(read), len(read))


def _mean(values: Sequence[float]) -> float:
    return values[0] if len(set(values)) == 1 else math.fsum(values) / len(values)


def _both(pair: Sequence[Reading | None]) -> tuple[Reading, Reading]:
    along, across = pair
    if along is None or across is None:
        raise LeatherError("the strip test was not read in both directions; measure strips along and across the grain")
    return along, across
