"""The answers that lift what stands in the way, each a button at the question that it is about."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from typing import Any

from cli.page.edge_answers import level_top, raised, raised_off
from cli.page.updates import Failure
from flatten.findings import Finding, Message, message
from flatten.job.settings import Job
from flatten.leather.bending import LEAST_RADIUS
from flatten.limb.kind import KINDS
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.report.verdict import Stop
from flatten.words import say
from flatten.worn.curves import OPENING_KINDS

Answer = dict[str, Any]
"""The button's `words`, and the `changes` of the job that it makes, or what it lets the maker `pick` on the limb."""

THINNEST = 1.0
"""mm. Thinner leather keeps no shape when it is formed [judgement]."""

EASILY = 0.97
"""Share of the thickness that a bend just takes: its tightest place differs a little from leather to leather."""

ROUNDING = 0.01
"""mm within which two thicknesses are the same."""

MOST_SEAMS = 3
"""Seams that are offered to be laced: of more, a maker had better look at each."""


def answers(
    job: Job,
    limb: Limb | None,
    *,
    failure: Failure | None,
    stops: tuple[Stop, ...],
    skin: LimbSurface | None = None,
    assumed: bool = False,
) -> dict[str, list[Answer]]:
    """What can be answered where the work fails or something stands against cutting, by the question's name.

    Where the limb's `skin` is not known, nothing is said of edges. Where its kind was only `assumed`, all kinds are
    offered alike.
    """
    kinds = [("limb", _kind(name)) for name in KINDS] if assumed else []
    lifting = [*kinds, *_lifted(job, limb, failure=failure, stops=stops, skin=skin)]
    found: dict[str, list[Answer]] = {}
    for question, answer in lifting:
        if answer not in found.setdefault(question, []):
            found[question].append(answer)
    return found


def _lifted(
    job: Job, limb: Limb | None, *, failure: Failure | None, stops: tuple[Stop, ...], skin: LimbSurface | None
) -> list[tuple[str, Answer]]:
    """What lifts a failure and stops, each with its question."""
    lifting = [(failure.question, answer) for answer in _mending(failure, job, limb, skin)] if failure else []
    if limb is not None:
        lifting += [each for stop in stops for each in _lifting(stop, job, limb, skin)]
    return lifting


def _mending(failure: Failure, job: Job, limb: Limb | None, skin: LimbSurface | None) -> Iterator[Answer]:
    """What may lift what the work fails at."""
    for unit in failure.units:
        yield _change(message("page.unit is", unit=unit), ["scan", "unit"], unit)
    for kind in failure.kinds:
        if kind != job.scan.limb:
            yield _kind(kind)
    if failure.pick == "front":
        yield {"words": say.text(message("page.front click")), "pick": "front"}
    if failure.pick == "joint" and limb is not None:
        yield _joint(limb)
    if failure.top_hidden and limb is not None and skin is not None:
        level = level_top(job, limb, skin)
        if level is not None:
            yield _change(*level)
    if failure.raised is not None and limb is not None and skin is not None:
        yield _change(*raised(failure.raised, job, limb, skin))


def _lifting(stop: Stop, job: Job, limb: Limb, skin: LimbSurface | None) -> Iterator[tuple[str, Answer]]:
    match stop.key:
        case "limb":
            for name in KINDS:
                if name != limb.kind.name:
                    yield "limb", _kind(name)
        case "side":
            other = "right" if limb.side == "left" else "left"
            yield "limb", _change(message("page.side is", kind=limb.kind.name, side=other), ["scan", "side"], other)
        case "front":
            yield "front", _change(message("page.front found"), ["scan", "front"], "auto")
        case "joint":
            yield "limb", _joint(limb)
        case "size" | "girth" | "tapes":
            yield "size", _change(message("page.no tape"), ["scan", "tape"], [])
        case "closed" | "stiff":
            closed = [(n, seam) for n, seam in enumerate(job.seam) if seam.kind not in OPENING_KINDS]
            for number, seam in closed[:MOST_SEAMS]:
                yield "opening", _change(message("page.lace", seam=seam.name), ["seam", number, "kind"], "laced")
        case "seam":
            for number, dart in enumerate(job.dart):
                if dart.name == stop.finding.place.part:
                    yield "darts", _change(message("page.no dart", dart=dart.name), ["dart"], _without(job, number))
        case "bend":
            thickness = bendable(stop, job)
            if thickness is not None:
                worn = f"{thickness:g} mm"
                yield "leather", _change(message("page.thinner", thickness=thickness), ["leather", "thickness"], worn)
        case "tender" if skin is not None:
            edge = raised_off(stop, job, limb, skin)
            if edge is not None:
                yield "edges", _change(*raised(edge, job, limb, skin))


def woven(job: Job, findings: Iterable[Finding]) -> list[Answer]:
    """What lets a motif be worked that was left out: its drawing mended as proposed, narrower bands, fewer strands."""
    found: list[Answer] = []
    for each in findings:
        number = each.figures.get("motif")
        if not isinstance(number, int) or not number < len(job.motif):
            continue
        at: list[str | int] = ["motif", number]
        width, strands = each.figures.get("width"), each.figures.get("strands")
        if each.code == "ornament.troubled" and each.figures["mend"]:
            found.append(_change(message("page.mend", piece=str(each.figures["piece"])), [*at, "mend"], True))
        elif each.figures.get("moving"):
            wider: list[tuple[list[str | int], Any]] = [(["ornament", "calm_only"], False)]
            narrow: list[tuple[list[str | int], Any]] = [([*at, "width"], f"{width:g} mm")] if width else []
            narrow += [([*at, "strands"], strands)] if strands else []
            found.append({"words": say.text(message("page.moving")), "changes": [*wider, *narrow]})
        elif isinstance(width, float) and width > 0.0:
            found.append(_change(message("page.narrower", width=width), [*at, "width"], f"{width:g} mm"))
        elif isinstance(strands, int) and strands > 0:
            found.append(_change(message("page.fewer", strands=strands), [*at, "strands"], strands))
    return found


def bendable(stop: Stop, job: Job) -> float | None:
    """The thickness (mm) of leather that takes the bend of a stop; None where the bend is another leather's than the
    base's, or no leather that is worth forming is so thin.

    The inside of the bend stays where it is, or is wider, whatever the leather's thickness.
    """
    figures = stop.finding.figures
    radius, thicknesses = figures["radius"], figures["thicknesses"]
    assert isinstance(radius, float)
    assert isinstance(thicknesses, float)
    if abs(radius / thicknesses - job.leather.thickness) > ROUNDING:
        return None
    thickness = math.floor(10.0 * EASILY * radius / LEAST_RADIUS["cased"]) / 10.0
    return thickness if thickness >= THINNEST else None


def _without(job: Job, number: int) -> list[dict[str, Any]]:
    """The job's darts as it has them, without one of them."""
    return [dart.model_dump(mode="json") for n, dart in enumerate(job.dart) if n != number]


def _kind(name: str) -> Answer:
    return _change(message("page.limb is", kind=name), ["scan", "limb"], name)


def _joint(limb: Limb) -> Answer:
    words = message("page.joint click", joint=f"joint.{limb.kind.name}")
    return {"words": say.text(words), "pick": "joint"}


def _change(words: Message, path: list[str | int], value: Any) -> Answer:
    return {"words": say.text(words), "changes": [[path, value]]}
