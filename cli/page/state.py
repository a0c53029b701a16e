"""The state that the page shows: plain values for JSON, every figure also as a maker would say it."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from cli.page.advised import advised_state, followed_state
from cli.page.answers import Answer, answers, woven
from cli.page.asked import front_agreed, marks, to_look_at
from cli.page.colourbar import colour_bar
from cli.page.jobs import kept_jobs, put_away_name
from cli.page.known import SessionState
from cli.page.limb_state import ASSUMED, kind_state, limb_state
from cli.page.lines import curves
from cli.page.offered import offered
from cli.page.pins import pins
from cli.page.remembered import remembered
from cli.page.session import Session
from cli.page.spoken import spoken, spoken_part
from cli.page.stages import MOST_FACES, names_strips
from cli.page.unasked import unasked_settings
from cli.page.updates import Failure, LeatherLaid
from cli.page.upload import MOST_FILES, MOST_SCAN_BYTES, SUFFIXES
from cli.page.verdict import written_of
from flatten.findings import Finding, message
from flatten.leather.limits import CASED, FIGURES
from flatten.leather.messages import (
    formed_message,
    limits_message,
    region_figures,
    region_name,
    stretch_message,
)
from flatten.leather.model import Region
from flatten.limb.kind import KINDS
from flatten.pattern.model import Piece
from flatten.pattern.path import polyline
from flatten.report.cautions import standing_cautions
from flatten.report.cutting import SAGITTA, amount_messages, piece_title, size_message
from flatten.report.limbs import job_findings, job_troubles
from flatten.report.messages import (
    advice_found,
    bound_message,
    headline,
    worst,
)
from flatten.report.ornaments import motif_messages
from flatten.report.ramp import SQUEEZE_STEPS, STRETCH_STEPS, bands
from flatten.report.summary import advised_text
from flatten.report.verdict import Stop, Verdict, leather_beneath, sure_findings
from flatten.units import unit_mm
from flatten.words import say
from flatten.worn.panel import CutError

_RAMP = {
    "bands": [{"kind": band.kind, "words": band.words} for band in bands()],
    "stretch": STRETCH_STEPS,
    "squeeze": SQUEEZE_STEPS,
}
"""The report's bands of colour, from the most squeezed to the most stretched, and their lower ends as shares."""


_STOP_QUESTIONS = {
    "tape": "size",
    "size": "size",
    "tapes": "size",
    "girth": "size",
    "limb": "limb",
    "side": "limb",
    "front": "front",
    "joint": "limb",
    "seam": "opening",
    "overlap": "opening",
    "closed": "opening",
    "stiff": "opening",
    "edge": "edges",
    "unseen": "scan",
    "tender": "edges",
    "bend": "leather",
    "limits": "edges",
}
"""The question of the work order at which each kind of stop is mended."""


def sentence(text: str) -> str:
    """An error's text as the page writes it: with a capital, unless a file's name comes first, and a full stop, and
    with a printer's quotation marks, apostrophes and minus signs."""
    text = spoken(text)
    begun = text if re.match(r"\S+\.\w+ ", text) else text[:1].upper() + text[1:]
    quoted = re.sub(r"(?<!\w)'(.*?)'(?!\w)", r"“\1”", begun)
    set_up = re.sub(r"(^|[\s(])-(?=\d)", r"\1−", quoted.replace("'", "’"))
    return set_up if set_up.endswith((".", "?", "!")) else f"{set_up}."


_OWN_LIMITS = {name: say.text(message("share", share=getattr(CASED, name))) for name in FIGURES}


def page_state(session: Session) -> dict[str, Any]:
    """All that the page shows, besides the payloads, which are fetched by number."""
    current, verdict = session.state, session.verdict()
    job, limb, worn, leather, made = current.job, current.limb, current.worn, current.leather, current.made

    def part(name: str, made_from: Sequence[object], make: Callable[[], Any]) -> Any:
        return remembered(current.told, name, made_from, lambda: spoken_part(name, make()))

    return {
        "revision": session.revision,
        "job": part("job", (job,), lambda: job.model_dump(mode="json") if job else None),
        "scan_name": current.scan_name,
        "awaited": job.scan.file if job and current.scan_name is None else None,
        "strips": _strips(current),
        "folder": str(session.folder.path),
        "can_undo": session.can_undo,
        "can_redo": session.can_redo,
        "refused": _refused(current),
        "jobs": kept_jobs(session),
        "put_away": put_away_name(session),
        "front_agreed": front_agreed(current),
        "asked": part(
            "asked",
            (job, limb, current.front),
            lambda: {"marks": marks(current), "look": to_look_at(current)},
        ),
        "answers": part(
            "answers",
            (job, limb, current.failure, verdict, made, current.made_job == job),
            lambda: _answers(current, verdict),
        ),
        "receiving": current.receiving,
        "work": _work(current),
        "failure": spoken_part("failure", _failure(current.failure) if current.failure else None),
        "scan": _scan(current),
        "kinds": part("kinds", tuple(KINDS.values()), lambda: [kind_state(kind) for kind in KINDS.values()]),
        "fronts": say.text(message("page.fronts", kinds=tuple(KINDS))),
        "limb": part(
            "limb", (limb, current.payloads.get("meant", 0)), lambda: limb_state(current, limb) if limb else None
        ),
        "worn": {"payload": current.payloads["worn"]} if worn else None,
        "curves": part("curves", (job, limb, worn), lambda: _curves(current)),
        "offered": offered(session),
        "unasked": part("unasked", (job,), lambda: unasked_settings(job) if job else []),
        "ramp": _RAMP,
        "own_limits": _OWN_LIMITS,
        "upload": {
            "endings": SUFFIXES,
            "most_bytes": MOST_SCAN_BYTES,
            "most_files": MOST_FILES,
            "most_faces": MOST_FACES,
        },
        "verdict": part("verdict", (verdict, leather), lambda: _verdict(current, verdict)),
        "pins": part("pins", (verdict, limb, worn, leather), lambda: pins(current, verdict, questions=_STOP_QUESTIONS)),
        "leather": part(
            "leather",
            (leather, current.leather_job == job, current.payloads.get("leather", 0), made, current.made_job == job),
            lambda: _leather(current, leather) if leather else None,
        ),
        "made": part("made", (limb, made, current.made_job == job), lambda: _made(current)),
        "followed": followed_state(session.followed()),
    }


def _answers(current: SessionState, verdict: Verdict | None) -> dict[str, list[Answer]]:
    if current.job is None:
        return {}
    limb, skin = (current.limb.limb, current.limb.skin) if current.limb else (None, None)
    stops = verdict.open if verdict else ()
    told = current.limb.findings if current.limb else ()
    assumed = any(each.code == ASSUMED for each in told)
    found = answers(current.job, limb, failure=current.failure, stops=stops, skin=skin, assumed=assumed)
    weaving = woven(current.job, _ornament_findings(current)) if current.made_job == current.job else []
    return {**found, "ornament": [*found.get("ornament", []), *weaving]} if weaving else found


def _ornament_findings(current: SessionState) -> list[Finding]:
    """What is to be known of the motifs that were made."""
    limbs = current.made.result.report.limbs if current.made else ()
    return [each for limb in limbs for each in limb.findings if each.code.startswith("ornament.")]


def _refused(current: SessionState) -> dict[str, Any] | None:
    """What was not laid down or kept, with a number that is another for each."""
    return None if current.refused is None else {"number": current.refused[0], "sentence": sentence(current.refused[1])}


def _scan(current: SessionState) -> dict[str, Any] | None:
    if current.scan is None:
        return None
    scan = current.scan.scan
    return {
        "payload": current.payloads["scan"],
        "faces": current.scan.faces,
        "points": current.scan.faces == 0,
        "unit": scan.unit,
        "unit_mm": scan.scale * unit_mm(scan.unit),
    }


def _strips(current: SessionState) -> dict[str, str | None]:
    """The strip test that is kept, and the one that the job names and that is to be brought."""
    limits = current.job.leather.limits if current.job else ""
    missing = names_strips(limits) and limits != current.strips_name
    return {"name": current.strips_name, "awaited": str(limits) if missing else None}


def _failure(failure: Failure) -> dict[str, str]:
    return {"sentence": sentence(failure.sentence), "question": failure.question, "pick": failure.pick}


def _work(current: SessionState) -> dict[str, Any] | None:
    if current.stage is not None:
        stage = current.stage
        work = {"name": stage.name, "number": stage.number, "of": stage.of, "goal": stage.goal}
        return {**work, "stopped": False}
    return {"name": "", "number": 0, "of": 0, "goal": None, "stopped": True} if current.stopped else None


def _curves(current: SessionState) -> dict[str, Any] | None:
    """None also where the job's lines cannot be: the work on the same job says why as its failure."""
    try:
        return curves(current, current.job) if current.job else None
    except CutError:
        return None


def _leather(current: SessionState, found: LeatherLaid) -> dict[str, Any]:
    panels = found.laid.panels
    stretches = [panel.stretch for panel in panels]
    several = len(stretches) > 1
    limits = stretches[0].limits.in_force
    return {
        "payload": current.payloads["leather"],
        "fine": found.fine,
        "current": current.leather_job == current.job,
        "fits": found.laid.fits,
        "verdict": worst(found.laid.all_panels).verdict,
        "headline": say.text(headline(found.laid.all_panels)),
        "troubles": _troubles(current),
        "sentences": say.texts(
            stretch_message(stretch, piece=say.name(stretch.panel) if several else None) for stretch in stretches
        ),
        "limits": say.text(limits_message(limits)),
        "bar": colour_bar(stretches),
        "spots": [
            say.texts(message("picture.share", share=spot.stretch - 1.0) for spot in (stretch.most, stretch.least))
            for stretch in stretches
        ],
        "regions": [
            {"panel": stretch.panel, "rows": [_region(region) for region in stretch.regions]} for stretch in stretches
        ],
    }


def _region(region: Region) -> dict[str, str]:
    along, across, beyond = say.texts(region_figures(region))
    return {
        "name": say.text(region_name(region)),
        "along": along,
        "across": across,
        "beyond": beyond,
        "verdict": region.verdict,
        "words": say.text(formed_message(region)),
    }


def _troubles(current: SessionState) -> list[str]:
    """What is not as it should be about the pieces and no stop, once those of the job as it is are made."""
    if current.made is None or current.made_job != current.job:
        return []
    return say.texts(each for each in job_troubles(current.made.result.report) if each.severity != "stop")


def _verdict(current: SessionState, verdict: Verdict | None) -> dict[str, Any]:
    """What stands against cutting, the gravest first; what is said of the leather beneath that; what the maker settled,
    and what of that settles nothing."""
    if verdict is None:
        return {"headline": "", "stops": [], "beneath": "", "settled": [], "told": []}
    count = len(verdict.open)
    beneath = leather_beneath(verdict, current.leather.laid.all_panels) if current.leather else []
    return {
        "headline": say.text(message("verdict.stopped", count=count)) if count else "",
        "stops": [{**_stop(stop), "words": say.stop(stop.finding)} for stop in verdict.open],
        "beneath": " ".join(say.texts(beneath)),
        "settled": [{**_stop(stop), "words": say.sure(stop.finding)} for stop in verdict.settled],
        "told": say.texts(sure_findings(verdict)),
    }


def _stop(stop: Stop) -> dict[str, Any]:
    return {"key": stop.key, "figure": written_of(stop), "question": _STOP_QUESTIONS[stop.key]}


def _made(current: SessionState) -> dict[str, Any] | None:
    if current.made is None or current.limb is None:
        return None
    report = current.made.result.report
    limb, *others = report.limbs
    lead = advice_found(limb.panels, report.advice)
    several = len(limb.panels) > 1
    bounds = (
        bound_message(panel, piece=name if several else None)
        for panel, name in zip(limb.panels, limb.names, strict=True)
    )
    lifts = [float((p.flat.panel.heights - p.flat.uv[:, 1]).mean()) for p in limb.panels]
    return {
        "current": current.made_job == current.job,
        "files": [name for name, _ in current.made.result.files],
        "pieces": [
            {"title": say.text(piece_title(piece)), "sentence": say.text(size_message(piece)), **_cut(piece, lift)}
            for piece, lift in zip(limb.pieces, lifts, strict=True)
        ],
        "others": [
            {"title": say.text(piece_title(piece)), "sentence": say.text(size_message(piece))}
            for other in others
            for piece in other.pieces
        ],
        "leather": " ".join(say.texts(amount_messages([piece for one in report.limbs for piece in one.pieces]))),
        "carved": current.payloads["carved"] if current.made.carved else 0,
        "ornament": [
            *say.texts(each for one in limb.ornaments for motif in one.motifs for each in motif_messages(motif)),
            *say.texts(_ornament_findings(current)),
        ],
        "bounds": say.texts(bound for bound in bounds if bound is not None),
        "judged": current.made.judged is not None,
        "advice_lead": "" if lead is None else say.text(lead),
        "advice": [
            {**advised_state(advised), "words": advised_text(advised), "lines": advised.lines.strip()}
            for advised in report.advice or ()
        ],
        "cautions": say.texts([*job_findings(report), *standing_cautions(limb.limb.kind)]),
    }


def _cut(piece: Piece, lift: float) -> dict[str, Any]:
    outline = polyline(piece.outline, SAGITTA) + np.array([0.0, lift])
    return {
        "outline": np.round(outline, 2).tolist(),
        "holes": [[round(hole.x, 2), round(hole.y + lift, 2), hole.diameter] for hole in piece.holes],
    }
