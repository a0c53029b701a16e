"""The order of work of a job: each step that it has, what is done there in its own figures, and what to beware of."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from flatten.findings import Finding, Message, message
from flatten.pattern.cutting import cut_line
from flatten.pattern.hardware import Hardware
from flatten.pattern.model import Attachment, Piece
from flatten.pattern.naming import EDGE_STITCH
from flatten.pattern.path import length
from flatten.report.cautions import standing_cautions
from flatten.report.cutting import HoleCount, hole_counts, hole_messages, piece_area
from flatten.report.forming import casing, drying, formed_pieces, formed_wet, forming, hardening, tying
from flatten.report.limbs import found_of_each, of_each
from flatten.report.model import JobReport, LimbReport, PanelReport
from flatten.report.tooling import tooling_findings
from flatten.report.wearing import fit_message

FREE = ("edge", "laced", "strapped", "open")
"""Sides of a panel that lie open, as those of an upper layer do."""


LAPPED = ("riveted", "snapped", "stitched")
"""Joins that leather lies on leather for, or edge to edge."""

DARTS = ("dart", "slash")
"""Joins that are closed before the leather is formed."""


@dataclass(frozen=True)
class Work:
    """A step of the order of work by its key: what is done, and the cautions that belong to it."""

    step: str
    messages: tuple[Message, ...]
    cautions: tuple[Finding, ...]

    @property
    def lines(self) -> tuple[tuple[Message, bool], ...]:
        """Each message, and whether it is one entry of a list."""
        return tuple((each, _bare(each).code in LISTED) for each in self.messages)


LISTED = ("order.gives", "order.tie")
"""Messages that are entries of a list under the message before them."""


def _bare(said: Message) -> Message:
    """A message without the limb that it is told of."""
    inner = said.figures.get("said")
    return inner if isinstance(inner, Message) else said


def order_of_work(report: JobReport) -> tuple[Work, ...]:
    """The steps of a job in order; those that it has no work for are left out."""
    found = {step: messages for step, say in STEPS if (messages := tuple(say(report)))}
    standing = {one.code: one for one in standing_cautions(report.limbs[0].limb.kind)}
    taken: dict[str, list[Finding]] = {step: [] for step in found}
    for code, steps in BEWARE.items():
        at = next((step for step in steps if step in found), None)
        if at is not None and code in standing:
            taken[at].append(standing[code])
    if TOOL in found:
        taken[TOOL] += _untooled(report)
    return tuple(Work(step, messages, tuple(taken[step])) for step, messages in found.items())


def told_beside(findings: Iterable[Finding], order: Sequence[Work]) -> tuple[Finding, ...]:
    """Those of some findings that are met at no step of an order of work."""
    met = [caution for work in order for caution in work.cautions]
    return tuple(each for each in findings if each not in met)


BEWARE = {
    "caution.paper": ("try on",),
    "caution.blades": ("cut",),
    "caution.laser": ("cut",),
    "caution.heat": ("harden", "form"),
    "caution.solvents": ("dye",),
    "caution.leg nerve": ("fit",),
    "caution.numb": ("fit",),
}
"""The steps at which a standing caution is met: at the first of them that a job has."""


def _try_on(report: JobReport) -> list[Message]:
    wear, first = report.wear, report.limbs[0]
    if first.mockup is not None:
        return [message("order.mock-up", sheet=first.mockup.sheet, thickness=first.mockup.thickness)]
    closes = any(join.kind in ("laced", "strapped") for join in first.joins)
    narrower = wear.ease + 2.0 * np.pi * wear.neutral * wear.thickness
    told = [message("order.try on", narrower=float(narrower), closes=closes)]
    limits = first.panels[0].stretch.limits
    along, across = limits.lost
    if along or across:
        dried, hardened = any(limits.shrinkage), any(limits.hardening)
        told.append(message("order.paper larger", along=along, across=across, dried=dried, hardened=hardened))
    return told


def _cut(report: JobReport) -> list[Message]:
    told = []
    leather, lining = formed_pieces(report), _lining(report)
    along, across = report.limbs[0].panels[0].stretch.limits.hardening
    for thickness in dict.fromkeys(piece.thickness for piece in leather):
        pieces = [piece for piece in leather if piece.thickness == thickness]
        told.append(message("order.cut", count=len(pieces), thickness=thickness, cut=_edges(pieces)))
    if along or across:
        told.append(message("order.cut larger", along=along, across=across))
    if lining:
        thickness, cut = lining[0].thickness, _edges(lining)
        trimmed = _trimmed(lining)
        told.append(message("order.cut lining", count=len(lining), thickness=thickness, cut=cut, trimmed=trimmed))
    if len({piece.side for piece in report.cut}) > 1:
        told.append(message("order.two sides"))
    stops = _holes(report, lambda each: each.kind == "stop")
    return [*told, *(message("order.stops", holes=each) for each in stops)]


def _lining(report: JobReport) -> list[Piece]:
    return [piece for piece in report.cut if piece.part == "lining"]


def _trimmed(pieces: Sequence[Piece]) -> bool:
    """Whether pieces are cut larger than they will be."""
    return any(mark.kind == "trim" for piece in pieces for mark in piece.marks)


def _edges(pieces: Sequence[Piece]) -> float:
    """mm of all that is cut round pieces."""
    return sum(length(cut_line(piece)) for piece in pieces)


def _skive(report: JobReport) -> list[Message]:
    def of_one(limb: LimbReport) -> list[Message]:
        return [
            message("order.skive", seam=limb.called(join.name), width=join.skive.width, left=join.skive.left)
            for join in limb.joins
            if join.skive is not None
        ]

    return of_each(report.limbs, of_one)


def _bevel(report: JobReport) -> list[Message]:
    free = sum(
        _free(panel) * (2 if limb.mirrored else 1)
        for limb in report.limbs
        for panel in limb.panels
        if panel.part != "lining"
    )
    under = any(join.kind in LAPPED for limb in report.limbs for join in limb.joins)
    return [message("order.bevel", free=free, under=under)]


def _free(panel: PanelReport) -> float:
    """mm of the sides of a flat panel that lie open when it is worn."""
    flat = panel.flat
    sides = [flat.uv[side.vertices] for side in flat.panel.boundaries if side.kind in FREE or side.layer == "upper"]
    return float(sum(np.linalg.norm(np.diff(side, axis=0), axis=1).sum() for side in sides))


def _groove(report: JobReport) -> list[Message]:
    def of_one(limb: LimbReport) -> list[Message]:
        return [
            message(
                "order.groove",
                seam=limb.called(join.name),
                row=join.row,
                before=join.lengths[0],
                after=join.lengths[1],
                pitch=join.pitch,
                count=join.count,
            )
            for join in limb.joins
            if join.kind == "stitched"
        ]

    lines = [
        message("order.edge line", grooved=kind, run=sum(length(mark.path) for mark in found))
        for kind in GROOVED
        if (found := [mark for piece in report.cut for mark in piece.marks if mark.kind == kind])
    ]
    return [*lines, *of_each(report.limbs, of_one)]


GROOVED = ("border line", "stitch line")
"""Marks along edges that are grooved."""


TOOL = "tool"
"""The step at which leather is carved and stamped."""


def _tool(report: JobReport) -> list[Message]:
    worked = [
        (2 if limb.mirrored else 1, [motif.tooling for motif in each.motifs])
        for limb in report.limbs
        for each in limb.ornaments
        if each.motifs
    ]
    carve = message(
        "order.carve",
        pieces=sum(times for times, _ in worked),
        carved=sum(times * one.carved for times, own in worked for one in own),
        hours=sum(times * one.hours for times, own in worked for one in own),
    )
    return [*([carve] if worked else []), *([message("order.tool")] if _untooled(report) else [])]


def _untooled(report: JobReport) -> list[Finding]:
    """Where pieces are not to be carved or stamped; none where they may be all over."""
    return found_of_each(report.limbs, tooling_findings)


def _punch(report: JobReport) -> list[Message]:
    now = _holes(report, lambda each: each.kind != "stop" and not each.after)
    later = _holes(report, lambda each: each.after)
    told = [message("order.punch", holes=tuple(now))] if now else []
    return [*told, message("order.not yet")] if later else told


def _punch_through(report: JobReport) -> list[Message]:
    later = _holes(report, lambda each: each.after)
    return [message("order.punch through", holes=tuple(later))] if later else []


def _holes(report: JobReport, among: Callable[[HoleCount], bool]) -> list[Message]:
    """How many holes of each kind and size all pieces have `among` them."""
    return list(hole_messages(each for each in hole_counts(*report.cut) if among(each)))


def _darts(report: JobReport) -> list[Message]:
    def of_one(limb: LimbReport) -> list[Message]:
        return [
            message("order.dart", dart=join.name, cut=join.what, closing=join.kind, strip=join.strip > 0.0)
            for join in limb.joins
            if join.what in DARTS
        ]

    told = of_each(report.limbs, of_one)
    return [message("order.darts first"), *told] if told else []


def _dye(report: JobReport) -> list[Message]:
    return [
        message("order.dye", area=sum(piece_area(piece) for piece in formed_pieces(report)), dried=formed_wet(report))
    ]


def _finish(report: JobReport) -> list[Message]:
    return [message("order.finish", edges=_edges(formed_pieces(report)))]


def _line(report: JobReport) -> list[Message]:
    lining = _lining(report)
    return [message("order.line", count=len(lining), trimmed=_trimmed(lining))] if lining else []


def _sew(report: JobReport) -> list[Message]:
    """The stitched seams, and stitches along edges; darts are closed before."""

    def of_one(limb: LimbReport) -> list[Message]:
        return [
            message("order.sew", seam=limb.called(join.name), count=join.count)
            for join in limb.joins
            if join.kind == "stitched" and join.what not in DARTS
        ]

    edges = sum(hole.side == EDGE_STITCH for piece in report.cut for hole in piece.holes)
    along = [message("order.sew edges", count=edges)] if edges else []
    return [*of_each(report.limbs, of_one), *along]


def _set(report: JobReport) -> list[Message]:
    """What is set with tools: what holds pieces together first, then parts on the base, straps last, as they are in the
    way. A part that lies on another is riveted to it before that one is riveted on, while its rivets can be set from
    behind."""
    held = {one.part: one for limb in report.limbs for one in limb.held}
    called = report.limbs[0].called

    def turn(one: Hardware) -> tuple[int, int]:
        if one.what in PARTS:
            return 1, -_depth(one.seam, held)
        return (5 if one.what in STRAPS else 2 * SET.index(one.name)), 0

    told = [
        _set_in(
            one,
            called(one.seam),
            on=held[one.seam].on if one.what in PARTS and one.seam in held else None,
        )
        for one in sorted((one for one in report.hardware if one.name in SET), key=turn)
    ]
    names = dict.fromkeys(moved.row.name for limb in report.limbs for moved in limb.rows)
    return [*told, *(message("order.set lames", name=name) for name in names)]


def _set_in(one: Hardware, called: str, *, on: str | None) -> Message:
    """What is set for one use: for a seam, or for a part that lies `on` the base or another; it is `called` so."""
    return message(
        "order.set",
        item=one.name,
        count=one.count,
        hole=one.hole,
        sold=one.sold,
        seam=called,
        on=on,
        strap=one.what if one.what in STRAPS else None,
    )


SET = ("rivet", "eyelet", "snap")
"""Hardware that is set with tools, in the order in which it is."""

STRAPS = ("strap", "buckle strap")
"""What rivets hold that are set for a strap."""

PARTS = ("plate", "lame")
"""What is riveted on the base, or on another of its kind."""


def _depth(part: str, held: Mapping[str, Attachment]) -> int:
    """How many parts a part lies on, itself one of them."""
    return 1 + _depth(held[part].on, held) if part in held else 0


def _close(report: JobReport) -> list[Message]:
    told = []
    for one in report.hardware:
        called = report.limbs[0].called(one.seam)
        if one.name == "lace":
            told.append(message("order.lace", seam=called, count=one.count, length=one.sold))
        elif one.name == "strap":
            told.append(message("order.straps", seam=called, count=one.count))
    return told


def _fit(report: JobReport) -> list[Message]:
    def of_one(limb: LimbReport) -> list[Message]:
        return [] if limb.wearing is None or limb.wearing.fit is None else [fit_message(limb.wearing.fit)]

    return [message("order.fit"), *of_each(report.limbs, of_one)]


STEPS: tuple[tuple[str, Callable[[JobReport], Sequence[Message]]], ...] = (
    ("try on", _try_on),
    ("cut", _cut),
    ("skive", _skive),
    ("bevel", _bevel),
    ("groove", _groove),
    (TOOL, _tool),
    ("punch", _punch),
    ("close darts", _darts),
    ("case", casing),
    ("form", forming),
    ("tie", tying),
    ("dry", drying),
    ("punch through", _punch_through),
    ("harden", hardening),
    ("dye", _dye),
    ("line", _line),
    ("finish", _finish),
    ("sew", _sew),
    ("set", _set),
    ("close", _close),
    ("fit", _fit),
)
"""The steps in order, as is common practice; orders differ from maker to maker. Holes are punched before the leather is
cased, since wet leather tears out beneath a punch; darts are closed before it is formed, since the stretch that is told
holds for closed ones; a lining is glued to dry leather, and its edge finished with the leather's; all metal is set when
it is dry, since iron stains wet leather."""
