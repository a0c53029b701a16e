"""What may stand against cutting, the gravest first, and the figure by which a maker who has looked settles it."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from flatten.findings import Figure, Finding

Unit = Literal["ratio", "share", "mm", "degrees", "name"]
"""What a figure of [sure] is: a plain ratio, a share, a length, an angle (rad inside), or a word."""

KEYS: Mapping[str, Unit | None] = MappingProxyType(
    {
        "tape": None,
        "size": "ratio",
        "tapes": "share",
        "girth": "mm",
        "limb": "name",
        "side": "name",
        "front": "degrees",
        "joint": "mm",
        "seam": "mm",
        "overlap": None,
        "closed": "name",
        "stiff": "mm",
        "edge": "mm",
        "unseen": "share",
        "tender": "name",
        "bend": "mm",
        "limits": None,
    }
)
"""What may stand against cutting, the gravest first: what makes all of it wrong, where it lies, whether it closes, what
the scan does not show, what an edge lies on, what the leather takes. None: knowing of it does not mend it, and no
figure settles it."""

ONCE_MORE = 1e-6
"""Share by which a figure may differ from its sigma's end and still lie within: the rounding of its own text."""


@dataclass(frozen=True)
class Doubt:
    """What a stop is about: its key in [sure], which of its finding's figures is looked at, and that figure's sigma.

    `sigma` is a number of the figure's own unit (of a ratio: the share by which it may differ), or the name of the
    finding's figure that is one. A figure that is a name has none.
    """

    key: str
    figure: str = ""
    sigma: str | float = 0.0


DOUBTS: Mapping[str, Doubt] = MappingProxyType(
    {
        "tape.not followed": Doubt("tape"),
        "tape.size in doubt": Doubt("size", "size", "sigma"),
        "tape.contradict": Doubt("tapes", "apart", "sigma"),
        "tape.no such size": Doubt("girth", "girth", 5.0),
        "limb.kind against": Doubt("limb", "limb"),
        "limb.side against": Doubt("side", "side"),
        "limb.front elsewhere": Doubt("front", "turn", math.radians(5.0)),
        "limb.joint unsure": Doubt("joint", "above", "sigma"),
        "seam.unequal": Doubt("seam", "ease", 1.0),
        "report.overlaps": Doubt("overlap"),
        "wearing.closed": Doubt("closed", "far_end"),
        "wearing.too stiff": Doubt("stiff", "opens", 2.0),
        "edge.unseen": Doubt("edge", "off", "sigma"),
        "limb.unseen": Doubt("unseen", "share", 0.02),
        "wearing.near": Doubt("tender", "tender"),
        "leather.too tight": Doubt("bend", "radius", 0.5),
        "leather.over limits": Doubt("limits"),
    }
)
"""What each finding is about that may be a stop, by its code. Sigmas that are numbers: fronts are found to 3 or 4°; a
seam's sides, a shell's opening and a bend's radius move by less from mesh to mesh, a limb's unseen share from scan to
scan cleaned anew, and a girth from tape to tape [judgement]."""


@dataclass(frozen=True)
class Sure:
    """A figure that a maker has looked at: its key, its value (mm, rad, shares and ratios as numbers, names as text),
    and the side of the limb that it holds for, None: for any."""

    key: str
    value: float | str
    limb: str | None = None

    @property
    def written(self) -> str:
        """The value as the job file's TOML has it: `1.36`, `"17.3 mm"`, `"left"`."""
        return toml_value(written(self.key, self.value))


def toml_value(value: float | str) -> str:
    """A number or a text in TOML."""
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else repr(value)


def written(key: str, value: float | str) -> float | str:
    """A value of a key as it stands in a job file, rounded to what a maker reads: 1.36, "17.3 mm", "7.1 %", "64°"."""
    if isinstance(value, str):
        return value
    unit = KEYS[key]
    if unit == "mm":
        return f"{round(value, 1) + 0.0:g} mm"
    if unit == "share":
        return f"{round(100.0 * value, 1) + 0.0:g} %"
    return f"{math.degrees(value):.0f}°" if unit == "degrees" else round(value, 3)


def figure_of(found: Finding) -> Sure | None:
    """What settles a stop where a maker is sure all the same; None where no figure does."""
    doubt = DOUBTS[found.code]
    if KEYS[doubt.key] is None:
        return None
    value = found.figures[doubt.figure]
    return Sure(doubt.key, value if isinstance(value, str) else _number(value))


def settles(sure: Sure, found: Finding, *, side: str) -> bool:
    """Whether a maker's figure is that of a stop on the limb of a side, within its sigma."""
    own = figure_of(found)
    if own is None or own.key != sure.key or sure.limb not in (None, side):
        return False
    if isinstance(own.value, str) or isinstance(sure.value, str):
        return own.value == sure.value
    sigma = DOUBTS[found.code].sigma
    within = sigma if isinstance(sigma, float) else _number(found.figures[sigma])
    # Its text is rounded: what was just written must hold.
    rounded = abs(own.value - _read_again(own))
    apart = abs(sure.value - own.value)
    if KEYS[own.key] == "ratio":
        within *= own.value
    return apart <= max(within, rounded) * (1.0 + ONCE_MORE)


def _read_again(own: Sure) -> float:
    """What a figure is once it has been written and read."""
    text = written(own.key, own.value)
    if not isinstance(text, str):
        return text
    number = float(text.rstrip(" m%°"))
    return {"mm": number, "share": number / 100.0, "degrees": math.radians(number)}[str(KEYS[own.key])]


def _number(value: Figure) -> float:
    assert isinstance(value, float | int)
    return float(value)
