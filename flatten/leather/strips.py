"""The home stretch test: readings of leather strips from a TOML file, and the limits they give."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from flatten.leather.model import LeatherError, Reading, StripTest
from flatten.units import UnitError, length
from flatten.unwrap.model import Limits

DIRECTIONS = ("along", "across")

_HEAD = ("load", "width", "thickness", "strip", "unloaded")
_READINGS = ("L0", "L1", "L2", "L3", "L4")


def read_strip_test(path: Path) -> StripTest:
    """The results of the home stretch test whose readings the TOML file at `path` holds.

    The file states `load` ("10 kg"), `width` and `thickness` of the strips, and a `[[strip]]` table a strip:
    `direction` ("along" or "across" the grain) and the distances of the two drawn lines, lengths such as
    "104.5 mm": L0 straightened, L1 loaded dry, L2 loaded wet, L3 dried under load, L4 unloaded. L0 and L2 must
    be there. `[[unloaded]]` tables (`direction`, `wet`, `dried`) hold strips that dried without a load.

    Raises LeatherError where the file cannot be read, a direction has no strip, or a reading makes no sense.
    """
    try:
        table = tomllib.loads(path.read_text("utf8"))
    except OSError as error:
        raise LeatherError(f"strip test '{path.name}' cannot be read: {error.strerror}") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise LeatherError(f"strip test '{path.name}' is no TOML text: {error}") from error
    _known(table, _HEAD, f"strip test '{path.name}'")
    strips = [_strip(entry, f"strip {n + 1} of '{path.name}'") for n, entry in enumerate(table.get("strip", []))]
    unloaded = [
        _unloaded(entry, f"unloaded strip {n + 1} of '{path.name}'")
        for n, entry in enumerate(table.get("unloaded", []))
    ]
    for direction in DIRECTIONS:
        if not any(found == direction for found, _ in strips):
            raise LeatherError(f"strip test '{path.name}' has no strip {direction} the grain; three are usual")
    where = f"strip test '{path.name}'"
    return StripTest(
        load_kg=_kilograms(table.get("load"), where),
        width=_positive(table, "width", where),
        thickness=_positive(table, "thickness", where),
        dry=_pair(strips, lambda r: _growth(r, "L1")),
        wet=_both(_pair(strips, lambda r: _growth(r, "L2"))),
        kept=_pair(strips, lambda r: _growth(r, "L4")),
        springback=_pair(strips, _springback),
        shrinkage=_pair(unloaded, lambda r: 1.0 - r["dried"] / r["wet"]),
    )


def strip_limits(stretch: Sequence[Reading | None], *, squeeze: Limits, source: str) -> Limits:
    """Limits whose stretch is the weakest strip's along and across, and whose squeeze is that of a preset.

    Strips of one hide differ, and a piece is as wide as many strips: its weakest place decides. A strip under a weight
    says nothing about squeezing.

    Raises LeatherError where a direction was not read.
    """
    along, across = _both(stretch)
    return Limits(along.least, across.least, squeeze.squeeze_along, squeeze.squeeze_across, source)


def _strip(entry: Any, where: str) -> tuple[str, dict[str, float]]:
    direction = _direction(entry, ("direction", *_READINGS), where)
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
    return direction, readings


def _unloaded(entry: Any, where: str) -> tuple[str, dict[str, float]]:
    direction = _direction(entry, ("direction", "wet", "dried"), where)
    readings = {name: _positive(entry, name, where) for name in ("wet", "dried")}
    if not 0.5 < readings["dried"] / readings["wet"] <= 1.0:
        raise LeatherError(
            f"{where} reads {readings['dried']:g} mm dried and {readings['wet']:g} mm wet; it must shrink"
        )
    return direction, readings


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


def _pair(strips: list[tuple[str, dict[str, float]]], figure: Any) -> tuple[Reading | None, Reading | None]:
    along, across = (
        _reading([figure(readings) for found, readings in strips if found == direction]) for direction in DIRECTIONS
    )
    return along, across


def _reading(values: list[float | None]) -> Reading | None:
    read = [value for value in values if value is not None]
    if not read:
        return None
    return Reading(math.fsum(read) / len(read), min(read), max(read), len(read))


def _both(pair: Sequence[Reading | None]) -> tuple[Reading, Reading]:
    along, across = pair
    if along is None or across is None:
        raise LeatherError("the strip test was not read in both directions; measure strips along and across the grain")
    return along, across
