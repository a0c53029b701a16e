"""A part beside the base's panels: a plate or a lame on them, a lining beneath."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.worn.panel import Panel


@dataclass(frozen=True, eq=False)
class Part:
    """A panel of leather `thickness` mm of its own, laid flat by itself; `kind` is "plate", "lame" or "lining".

    Its mesh lies where its own neutral surface is when it is worn.
    """

    kind: str
    panel: Panel
    thickness: float
