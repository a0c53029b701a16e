"""What a choice leaves without sense goes back to what is usual with it: one change, as a maker means it."""

from __future__ import annotations

from typing import Any

import numpy as np

from flatten.job.bearings import BESIDE, aside, bearing_of
from flatten.job.closings import DartSettings, SeamSettings
from flatten.job.ornaments import MotifSettings
from flatten.job.settings import Job, LeatherSettings, OtherScan
from flatten.limb.kind import QUARTERS, Quarter
from flatten.units import UnitError, length
from flatten.worn.curves import GAP_KINDS

SLASH_OPENING = "10 mm"
"""What a cut that is made a slash opens by at the edge until the maker says more: with nothing it would be no slash."""

Path = list[str | int]


def follow(table: dict[str, Any], path: Path) -> None:
    """Put back what the value just set at `path` leaves no sense; `table` is the job's, and is changed."""
    match path:
        case ["seam", int(number), "kind"]:
            _close_as(table["seam"][number])
        case ["seam", int(number), "overlap"]:
            _skive_overlaps_alone(table["seam"][number])
        case ["seam", int(number), ("straps" | "at" | "pitch") as way]:
            _place_straps(table["seam"][number], way)
        case ["dart", int(number), "kind"]:
            _open_as(table["dart"][number])
        case ["piece", "pair"] if table["piece"]["pair"] not in ("own scan", "mean"):
            table["other_scan"] = OtherScan().model_dump(mode="json")
        case ["motif", int(number), "kind"]:
            _draw_as(table["motif"][number])
        case ["motif", int(number), "place"] if table["motif"][number]["place"] in ("as drawn", "fitted"):
            usual = MotifSettings()
            table["motif"][number].update({"by": [f"{mm:g} mm" for mm in usual.by], "turn": usual.turn})
        case ["leather", "hardened"] if table["leather"]["hardened"] is False:
            table["leather"]["hardening"] = LeatherSettings().hardening


def beside_again(job: Job, old: Job) -> Job:
    """The job in which no moved seam names a side for its upper leather or its buckles that it now runs along."""
    if len(job.seam) != len(old.seam) or job.seam == old.seam:
        return job
    seams = tuple(
        seam if seam.along == before.along else beside(seam) for seam, before in zip(job.seam, old.seam, strict=True)
    )
    return job.model_copy(update={"seam": seams})


def sides_of(seam: SeamSettings) -> list[Quarter]:
    """The quarters whose leather lies beside a seam: those that may be named for its upper leather and its buckles."""
    bearing = _radians(seam)
    return [quarter for quarter in QUARTERS if abs(aside(quarter, bearing)) >= BESIDE]


def beside(seam: SeamSettings) -> SeamSettings:
    """The seam, which names no side for its upper leather or its buckles that it runs along."""
    sides = sides_of(seam)
    again = {name: "auto" for name in ("on_top", "buckles") if getattr(seam, name) not in ("auto", *sides)}
    return seam.model_copy(update=again)


def _radians(seam: SeamSettings) -> float:
    return float(np.radians(bearing_of(seam.along)))


def _close_as(seam: dict[str, Any]) -> None:
    """A pitch is of eyelets, rivets, snaps or straps, and does not serve two of them."""
    kind, usual = seam["kind"], SeamSettings()
    seam["pitch"] = "auto"
    if kind in GAP_KINDS:
        seam["overlap"] = "auto"
        if kind != "open" and not _mm(seam["gap"]):
            seam["gap"] = f"{usual.gap:g} mm"
    elif kind != "stitched" and not _mm(seam["overlap"]):
        seam["overlap"] = "auto"
    if kind == "strapped" and seam["at"]:
        seam["straps"] = "auto"
    if kind == "snapped":
        seam["skive"] = usual.skive
    _skive_overlaps_alone(seam)


def _skive_overlaps_alone(seam: dict[str, Any]) -> None:
    overlaps = seam["kind"] in ("riveted", "snapped") or (seam["kind"] == "stitched" and _mm(seam["overlap"]))
    if not overlaps:
        seam["skive"] = SeamSettings().skive


def _place_straps(seam: dict[str, Any], way: str) -> None:
    """One way of placing straps stands in place of the others."""
    if seam["kind"] != "strapped" or seam[way] in ("auto", [], None):
        return
    usual: dict[str, Any] = {"straps": "auto", "at": [], "pitch": "auto"}
    seam.update({name: value for name, value in usual.items() if name != way})


def _draw_as(motif: dict[str, Any]) -> None:
    """What is made has no file; what is no border lies along no side."""
    if motif["kind"] != "drawing":
        motif.update({"file": "", "mend": False})
    if motif["kind"] != "border":
        motif["along"] = MotifSettings().along


def _open_as(dart: dict[str, Any]) -> None:
    dart["close"] = DartSettings().close
    if dart["kind"] == "dart":
        dart["opening"] = "0 mm"
    elif not _mm(dart["opening"]):
        dart["opening"] = SLASH_OPENING


def _mm(value: Any) -> float:
    """mm of a length as a job file has it; 0 for "auto", and for what is none, which the job's reader refuses."""
    try:
        return 0.0 if value == "auto" else length(value)
    except UnitError:
        return 0.0
