"""The answers that lift what stands in the way, each a button at the question that it is about."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from cli.page.updates import Failure
from flatten.findings import message
from flatten.job.settings import Job
from flatten.limb.kind import KINDS
from flatten.limb.model import Limb
from flatten.report.verdict import Stop
from flatten.words import say
from flatten.worn.curves import OPENING_KINDS

Answer = dict[str, Any]
"""The button's `words`, and the `changes` of the job that it makes, or what it lets the maker `pick` on the limb."""

MOST_SEAMS = 3
"""Seams that are offered to be laced: of more, a maker had better look at each."""


def answers(
    job: Job, limb: Limb | None, *, failure: Failure | None, stops: tuple[Stop, ...]
) -> dict[str, list[Answer]]:
    """What can be answered where the work fails or something stands against cutting, by the question's name."""
    found: dict[str, list[Answer]] = {}
    if failure is not None and failure.units:
        units = [_change(message("page.unit is", unit=unit), ["scan", "unit"], unit) for unit in failure.units]
        found[failure.question] = units
    for stop in stops if limb is not None else ():
        for question, answer in _lifting(stop, job, limb):
            if answer not in found.setdefault(question, []):
                found[question].append(answer)
    return found


def _lifting(stop: Stop, job: Job, limb: Limb | None) -> Iterator[tuple[str, Answer]]:
    assert limb is not None
    match stop.key:
        case "limb":
            for name in KINDS:
                if name != limb.kind.name:
                    yield "limb", _change(message("page.limb is", kind=name), ["scan", "limb"], name)
        case "side":
            other = "right" if limb.side == "left" else "left"
            yield "limb", _change(message("page.side is", kind=limb.kind.name, side=other), ["scan", "side"], other)
        case "front":
            yield "front", _change(message("page.front found"), ["scan", "front"], "auto")
        case "joint":
            joint = message("page.joint click", joint=f"joint.{limb.kind.name}")
            yield "limb", {"words": say.text(joint), "pick": "joint"}
        case "size" | "girth" | "tapes":
            yield "size", _change(message("page.no tape"), ["scan", "tape"], [])
        case "closed" | "stiff":
            closed = [(n, seam) for n, seam in enumerate(job.seam) if seam.kind not in OPENING_KINDS]
            for number, seam in closed[:MOST_SEAMS]:
                yield "opening", _change(message("page.lace", seam=seam.name), ["seam", number, "kind"], "laced")


def _change(words: Any, path: list[str | int], value: Any) -> Answer:
    return {"words": say.text(words), "changes": [[path, value]]}
