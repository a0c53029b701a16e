"""Settings of a job that the page does not ask about: kept as they are through every change, and listed."""

from __future__ import annotations

from fnmatch import fnmatchcase
from typing import Any

from flatten.findings import message
from flatten.job.closings import DartSettings, SeamSettings
from flatten.job.fittings import FittingSettings
from flatten.job.leathers import HideSettings
from flatten.job.settings import Job, ScanSettings, Tape
from flatten.words.say import name, text

ASKED = (
    "scan.file",
    "scan.unit",
    "scan.limb",
    "scan.side",
    "scan.front*",
    "scan.pick",
    "scan.joint*",
    "scan.over",
    "scan.tape.*",
    "wear.*",
    "leather.*",
    "lining*",
    "edges.top.*",
    "edges.bottom.*",
    "edges.flare.*",
    "edges.lines.*",
    "edges.finish.*",
    "seam.*",
    "dart.*",
    "other_scan.file",
    "other_scan.unit",
    "piece.*",
    "plate.*",
    "lames.*",
    "mockup.*",
    "fitting.*",
    "ornament.*",
    "motif.*",
    "hide.*.outline",
    "hide.*.unit",
    "hide.*.backbone",
    "hide.*.shape",
    "hide.*.length",
    "hide.*.width",
    "hide.*.thickness",
    "hide.*.margin",
    "hide.*.space",
    "hide.*.turn",
    "hide.*.both_ways",
    "hide.*.belly*",
    "hide.*.flaws*",
    "bed*",
    "former.*",
    "shop.*",
    "sure*",
    "output.*",
)
"""The keys that the work order asks about, as patterns; a table's keys are joined by points, its entries numbered."""


def unasked_settings(job: Job) -> list[dict[str, str]]:
    """Keys as a maker finds them in the job file and their values, of what differs from the defaults and no question
    of the page changes."""
    usual = _leaves(_usual(job))
    return [
        {"key": _written(key), "value": _plain(value)}
        for key, value in _leaves(job.model_dump(mode="json")).items()
        if usual.get(key) != value and not any(fnmatchcase(key, pattern) for pattern in ASKED)
    ]


def _usual(job: Job) -> dict[str, Any]:
    """The job with every default, and as many seams, darts, fittings, hides and tape girths as this one has, the darts
    of no name."""
    seams = tuple(SeamSettings(name=seam.name, kind=seam.kind) for seam in job.seam)
    tapes = tuple(Tape(girth=tape.girth) for tape in job.scan.tape[:1])
    darts = tuple(DartSettings(name=f" {number}") for number in range(len(job.dart)))
    fittings = (FittingSettings(),) * len(job.fitting)
    hides = (HideSettings(shape="side"),) * len(job.hide)
    scan = ScanSettings(file=job.scan.file, tape=tapes)
    return Job(scan=scan, seam=seams, dart=darts, fitting=fittings, hide=hides).model_dump(mode="json")


def _leaves(value: Any, key: str = "") -> dict[str, Any]:
    """Every single value by its key; a list of plain values (a line's points) is one."""
    if isinstance(value, list) and value and isinstance(value[0], dict):
        value = dict(enumerate(value))
    if not isinstance(value, dict):
        return {key: value}
    return {k: v for name, part in value.items() for k, v in _leaves(part, f"{key}.{name}" if key else name).items()}


def _written(key: str) -> str:
    """ "[leather] hardened", "[edges.flare] top", "[[dart]] 2, depth"."""
    parts = key.split(".")
    at = next((n for n, part in enumerate(parts) if part.isdigit()), None)
    if at is None:
        return f"[{'.'.join(parts[:-1])}] {parts[-1]}"
    return f"[[{'.'.join(parts[:at])}]] {int(parts[at]) + 1}, {' '.join(parts[at + 1 :])}"


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return name("yes" if value else "no")
    if isinstance(value, list) and all(isinstance(part, str) for part in value):
        return "; ".join(value)
    if isinstance(value, list) and not isinstance(value[0], list):
        return ", ".join(f"{part:g}" for part in value)
    if isinstance(value, list):
        return "; ".join(text(message("page.point", bearing=f"{point[0]}", height=point[1])) for point in value)
    return str(value)
