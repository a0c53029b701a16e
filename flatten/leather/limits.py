"""How far a leather may be stretched and squeezed: presets and own figures."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from flatten.leather.hardening import UNHARDENED, hardening_of
from flatten.leather.model import LeatherError, LeatherLimits
from flatten.leather.strips import is_strip_file, read_strip_test, strip_limits
from flatten.unwrap.model import Limits

CASED = Limits(0.05, 0.05, 0.03, 0.03, "cased")
"""Vegetable-tanned leather formed wet, by hand. From memory: an opinion, which a strip test should replace."""

DRY = Limits(0.02, 0.02, 0.01, 0.01, "dry")
"""Vegetable-tanned leather formed dry. From memory: an opinion, which a strip test should replace."""

HARD = Limits(0.10, 0.10, 0.05, 0.05, "hard")
"""What hard work over a former and clamps may still reach; beyond it, expect failure. From memory: an opinion."""

THIN_LEATHER = Limits(0.08, 0.08, 0.05, 0.05, "lining")
"""Thin lining leather, or cloth cut on the bias, glued in damp over a shape: it gives more than thick leather, and more
than what it lies on. From memory: an opinion."""

LINING = LeatherLimits(dry=THIN_LEATHER, cased=THIN_LEATHER, in_force=THIN_LEATHER)
"""Those of a lining: a strip test of the leather says nothing of it, and it is not formed, so it shrinks by nothing."""

PRESETS = {
    "cased": LeatherLimits(dry=DRY, cased=CASED, in_force=CASED),
    "dry": LeatherLimits(dry=DRY, cased=CASED, in_force=DRY),
}
"""Limits by the name that a job file gives."""

FIGURES = ("stretch_along", "stretch_across", "squeeze_along", "squeeze_across")

_PERCENT = re.compile(r"\s*(\d+(?:\.\d*)?|\.\d+)\s*%\s*$")


def share(value: str | float, *, name: str) -> float:
    """The share that "5 %" (a text with a percent sign) or 0.05 (a bare number: the ratio itself) stands for.

    Raises LeatherError, naming `name`, where it is neither, negative, or 1 and more.
    """
    if isinstance(value, str):
        found = _PERCENT.match(value)
        if not found:
            raise LeatherError(f"{name} is '{value}'; write a percentage such as '5 %' or a ratio such as 0.05")
        ratio = float(found[1]) / 100.0
    elif isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise LeatherError(f"{name} is {value!r}; write a percentage such as '5 %' or a ratio such as 0.05")
    else:
        ratio = float(value)
    if not 0.0 <= ratio < 1.0:
        raise LeatherError(f"{name} is {value}; it must be at least 0 and below 1 (100 %), such as '5 %' or 0.05")
    return ratio


def given_limits(figures: Mapping[str, str | float]) -> LeatherLimits:
    """Limits from four figures of the user's own, each "5 %" or 0.05; keys as in FIGURES.

    They stand for the leather as it will be formed; what counts as dry is the dry preset, where that is smaller.

    Raises LeatherError where a figure is missing, unknown or makes no sense.
    """
    missing = [name for name in FIGURES if name not in figures]
    unknown = [name for name in figures if name not in FIGURES]
    if missing or unknown:
        found = f"unknown {unknown[0]}" if unknown else f"no {missing[0]}"
        raise LeatherError(f"leather limits have {found}; give each of {', '.join(FIGURES)}, such as '5 %' or 0.05")
    limits = Limits(**{name: share(figures[name], name=f"leather limit {name}") for name in FIGURES}, source="given")
    return LeatherLimits(dry=_smaller(DRY, limits), cased=limits, in_force=limits)


def leather_limits(
    value: str | Mapping[str, str | float], *, folder: Path, hardening: str | tuple[float, float] = UNHARDENED
) -> LeatherLimits:
    """Limits as a job file states them: a preset's name, the file of a strip test, or a table of four figures.

    A strip test's file ends in ".toml" or ".csv" and is looked for in `folder`; its squeeze comes from the presets.
    `hardening` is what the leather loses when it is hardened by heat, as `hardening_of` takes it.

    Raises LeatherError where it is none of them, the file's or the table's figures make no sense, or it does not tell
    what hardening takes although it is asked to.
    """
    limits = _stated(value, folder=folder)
    lost = hardening_of(hardening, limits.test)
    return limits if lost == limits.hardening else replace(limits, hardening=lost)


def _stated(value: str | Mapping[str, str | float], *, folder: Path) -> LeatherLimits:
    """Limits as a job file states them."""
    if not isinstance(value, str):
        return given_limits(value)
    if value in PRESETS:
        return PRESETS[value]
    if is_strip_file(value):
        test = read_strip_test(folder / value)
        cased = strip_limits(test.wet, squeeze=CASED, source="strip test")
        dry = _smaller(DRY if None in test.dry else strip_limits(test.dry, squeeze=DRY, source="strip test"), cased)
        return LeatherLimits(dry=dry, cased=cased, in_force=cased, test=test)
    names = " or ".join(f"'{name}'" for name in PRESETS)
    raise LeatherError(
        f"leather limits are '{value}'; write {names}, a strip test's .toml or .csv file or four figures"
    )


def hardest(limits: Limits) -> Limits:
    """The limits of hard work over a former: HARD, or the leather's own where those are wider."""
    return Limits(**{name: max(getattr(HARD, name), getattr(limits, name)) for name in FIGURES}, source=HARD.source)


def _smaller(one: Limits, other: Limits) -> Limits:
    return Limits(**{name: min(getattr(one, name), getattr(other, name)) for name in FIGURES}, source=one.source)
