"""Calfskin: from a scan of a limb to flat leather pieces.

What other programs may rely on, each documented where it stands in `flatten.api`: `measure` a limb in a scan, `make`
a job, `lay_flat` any disk mesh, `least_spread`, what no flat map of one can beat, and `report_schema`, the JSON Schema
of report.json. Nothing else is promised to stay.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from flatten.api import (
        FlatMesh,
        MadeJob,
        MeasuredLimb,
        TapeGirth,
        lay_flat,
        least_spread,
        make,
        measure,
        report_schema,
    )

__all__ = [
    "FlatMesh",
    "MadeJob",
    "MeasuredLimb",
    "TapeGirth",
    "lay_flat",
    "least_spread",
    "make",
    "measure",
    "report_schema",
]


def __getattr__(name: str) -> Any:
    """A name of `__all__`, loaded when it is first asked for: a command that prints its help needs no solver."""
    if name in __all__:
        return getattr(import_module("flatten.api"), name)
    raise AttributeError(f"module 'flatten' has no attribute '{name}'; it has {', '.join(__all__)}")
