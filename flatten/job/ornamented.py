"""A design's ornament: the field of every piece, and the motifs that its job asks for, worked on them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path as File

import numpy as np
import shapely

from flatten.findings import Finding, Message, Place, finding
from flatten.job.errors import JobError
from flatten.job.ornaments import MotifSettings
from flatten.job.pieces import Drawn, Laid
from flatten.job.settings import Job
from flatten.leather.shrinking import cut_larger
from flatten.ornament.bring import Brought, brought
from flatten.ornament.covered import beneath_layers, beneath_parts
from flatten.ornament.field import Margins, field_of, halving_line, size_of
from flatten.ornament.grain_face import GrainFace, grain_face
from flatten.ornament.model import Field, NoRoomError, OrnamentError, Region
from flatten.ornament.result import Ornament
from flatten.ornament.trouble import TroubleError
from flatten.ornament.warp import warp_of
from flatten.ornament.work import Asked, Work, worked
from flatten.pattern.light import lightened
from flatten.pattern.model import Mark, Piece
from flatten.pattern.path import mirrored_path
from flatten.report.model import PanelReport

Drawings = Mapping[tuple[str, str], Brought]
"""The drawings that a job's motifs come from, by file and unit."""

BETWEEN = 3.0
"""mm. A motif stays this far off an earlier one of its piece: as wide as a narrow band."""

SLIVER = 3.0
"""mm. Ground between a motif and the field's edge that is nowhere wider is not pressed down: it would be a scratch."""


class MotifError(JobError):
    """A motif is asked for where there is no piece."""


@dataclass(frozen=True, eq=False)
class Ornamented:
    """The pieces with their ornament on them, what it came to, and what is to be known of it."""

    drawn: Drawn
    ornaments: tuple[Ornament, ...]
    findings: tuple[Finding, ...]


def drawings_of(job: Job, *, folder: File) -> Drawings:
    """The drawings that a job's motifs name, each read once. Raises OrnamentError where one cannot be read."""
    asked = dict.fromkeys((motif.file, motif.unit) for motif in job.motif if motif.file)
    return {(file, unit): brought(folder / file, unit=unit) for file, unit in asked}


def ornamented(job: Job, laid: Laid, drawn: Drawn, drawings: Drawings) -> Ornamented:
    """A limb's pieces with the motifs that the job asks for, and the fields of all that can have some.

    A motif that cannot be worked is left out, and a finding says why: the pieces can be cut without it. Linings have
    none.

    Raises MotifError where a motif is to be on a piece that there is not.
    """
    wanted = _by_panel(job.motif, laid.all_panels)
    ornaments: list[Ornament] = []
    findings: list[Finding] = []
    for number, panel in enumerate(laid.all_panels):
        if panel.part == "lining":
            continue
        piece = drawn.pieces[number]
        try:
            found = _on_piece(job, laid, number, piece, wanted.get(number, ()), drawings)
        except OrnamentError as error:
            findings += [_left_out(piece, error, motif, NO_WAY) for motif in wanted.get(number, ())]
            continue
        ornaments.append(found.ornament)
        findings += found.findings
    # Made light here, once for all files: what is drawn of it is only moved and mirrored then.
    marks = {each.panel: tuple(replace(mark, path=lightened(mark.path)) for mark in each.marks) for each in ornaments}
    turned = {
        number: tuple(replace(mark, path=mirrored_path(mark.path)) for mark in own) for number, own in marks.items()
    }
    pieces, mirrored = _marked(drawn.pieces, marks), _marked(drawn.mirrored, turned)
    return Ornamented(replace(drawn, pieces=pieces, mirrored=mirrored), tuple(ornaments), tuple(findings))


@dataclass(frozen=True, eq=False)
class _Found:
    ornament: Ornament
    findings: tuple[Finding, ...]


def _by_panel(motifs: Sequence[MotifSettings], panels: Sequence[PanelReport]) -> dict[int, list[int]]:
    """The numbers of the motifs on each panel, by the panel's number."""
    names = [panel.flat.panel.name for panel in panels]
    found: dict[int, list[int]] = {}
    for k, motif in enumerate(motifs):
        on = 0 if motif.on == "base" else next((i for i, name in enumerate(names) if name == motif.on), None)
        if on is None or panels[on].part == "lining":
            known = ", ".join(f"'{n}'" for n, p in zip(names, panels, strict=True) if p.part != "lining")
            raise MotifError(
                f"[[motif]] {k + 1} is to be on '{motif.on}', and there is no such piece; write 'base' or one of "
                f"{known}"
            )
        found.setdefault(on, []).append(k)
    return found


def _on_piece(job: Job, laid: Laid, number: int, piece: Piece, motifs: Sequence[int], drawings: Drawings) -> _Found:
    """The ornament of one piece. Raises OrnamentError where it has no field, or its grain side cannot be."""
    design, panel, given = laid.design, laid.all_panels[number], job.ornament
    face = grain_face(
        panel.flat,
        surface=laid.neutral.surface,
        thickness=panel.bend.thickness,
        neutral=design.wear.neutral,
        lost=panel.stretch.limits.lost,
        mirrored=design.limb.frame.mirrored,
    )
    covered, centre = _covered(laid, number, face), halving_line(face.flat, face.uv)

    def field_on(piece: Piece) -> Field:
        margins = Margins(given.edge, given.hole, given.stitch, given.bend)
        return field_of(piece, margins=margins, covered=covered, centre=centre)

    moving = replace(piece, untooled=())
    field = field_on(piece if given.calm_only else moving)
    found = Ornament(number, field, size_of(field), warp_of(face, field), face, calm=given.calm_only)
    findings: list[Finding] = []
    left, taken = field, Region(())
    for motif in motifs:
        asked = _asked(job.motif[motif], drawings)

        def work_on(asked: Asked, left: Field = left) -> Work:
            return worked(asked, left, face if given.worn else None, tool=given.tool, pace=given.pace)

        try:
            work = work_on(asked)
        except TroubleError as error:
            findings.append(_troubled(piece, error, _proposal(asked, work_on), motif))
            continue
        except OrnamentError as error:
            wider = without(field_on(moving), taken) if given.calm_only and piece.untooled else None
            findings.append(_left_out(piece, error, motif, _fitting(error, asked, left, wider, work_on)))
            continue
        findings += [_told(piece, each) for each in work.motif.told]
        found = replace(
            found,
            motifs=(*found.motifs, work.motif),
            marks=(*found.marks, *work.marks),
            background=Region((*found.background.rims, *work.background.rims)),
        )
        taken = Region((*taken.rims, *work.taken.rims))
        left = without(field, taken)
    return _Found(found, tuple(findings))


def _asked(motif: MotifSettings, drawings: Drawings) -> Asked:
    return Asked(
        motif.kind,
        motif.width,
        motif.apart,
        motif.strands,
        motif.along,
        motif.reeds,
        motif.seed,
        drawings[motif.file, motif.unit] if motif.file else None,
        motif.half,
        motif.place,
        motif.by,
        motif.turn,
        motif.mend,
    )


def _covered(laid: Laid, number: int, face: GrainFace) -> shapely.Geometry:
    """What of a piece other leather covers when it is worn."""
    base = [cut_larger(panel.flat, panel.stretch.limits.lost) for panel in laid.panels]
    name = laid.all_panels[number].flat.panel.name
    over = [part.flat.panel for part in laid.parts]
    if number >= len(base):
        # On a part lie those that are riveted on it.
        upper = {held.part for held in laid.held if held.on == name}
        return beneath_parts(face.flat, face.uv, [panel for panel in over if panel.name in upper])
    layers = beneath_layers(base, number, face.uv)
    return shapely.union(layers, beneath_parts(base[number], face.uv, over)) if over else layers


TROUBLES_TOLD = 2
"""Troubles of one motif that are told: where more are, they are mostly of one sort."""


def _proposal(asked: Asked, work_on: Callable[[Asked], Work]) -> tuple[Message, ...]:
    """What would be changed to weave a drawing; empty where that does not help, or nobody drew it."""
    if asked.drawing is None or asked.mend:
        return ()
    try:
        return work_on(replace(asked, mend=True)).motif.told[len(asked.drawing.findings) :]
    except OrnamentError:
        return ()


def _troubled(piece: Piece, error: TroubleError, proposal: tuple[Message, ...], motif: int) -> Finding:
    """That a motif, by its number from 0, cannot be woven or carved: where, and how it could be mended."""
    told = tuple(each.message() for each in error.troubles[:TROUBLES_TOLD])
    return finding(
        "ornament.troubled",
        "look",
        place=Place(part=piece.name),
        piece=piece.name,
        told=told,
        more=len(error.troubles) - len(told),
        mend=proposal,
        motif=motif,
    )


@dataclass(frozen=True)
class Fitting:
    """What would let a motif fit: bands of this `width`, mm, or so many `strands` (0: as asked), on leather that is
    `moving` too much in forming as well."""

    width: float = 0.0
    strands: int = 0
    moving: bool = False


NO_WAY = Fitting()
"""Nothing that was tried lets it fit."""

NARROWER = (1.0, 0.8, 0.6)
"""Shares of a band's width that are tried where nothing else is known to fit."""


def _fitting(
    error: OrnamentError, asked: Asked, left: Field, wider: Field | None, work_on: Callable[[Asked, Field], Work]
) -> Fitting:
    """What is seen to let a made motif fit what is `left`, or the `wider` field that takes in leather that moves."""
    if isinstance(error, NoRoomError):
        return Fitting(error.width, error.strands)
    if asked.drawing is not None:
        return NO_WAY
    # A border has tried narrower bands by itself.
    shares = NARROWER[:1] if asked.kind == "border" else NARROWER
    for field, tried in ((left, shares[1:]), (wider, shares)):
        for share in tried if field is not None else ():
            assert field is not None
            width = float(np.floor(10.0 * share * asked.width) / 10.0)
            try:
                work_on(replace(asked, width=width), field)
            except NoRoomError as lack:
                return Fitting(lack.width, lack.strands, field is wider)
            except OrnamentError:
                continue
            return Fitting(0.0 if share == 1.0 else width, 0, field is wider)
    return NO_WAY


def without(field: Field, taken: Region) -> Field:
    """A field less what earlier motifs take, and a little about them; slivers of it are left plain."""
    if not taken.rims:
        return field
    rest = shapely.difference(field.region.shape, shapely.buffer(taken.shape, BETWEEN))
    wide = [
        part for part in shapely.get_parts(rest).tolist() if not shapely.is_empty(shapely.buffer(part, -0.5 * SLIVER))
    ]
    return replace(field, region=Region.of(shapely.MultiPolygon(wide)))


def _left_out(piece: Piece, error: OrnamentError, motif: int, fitting: Fitting) -> Finding:
    """That a motif, by its number from 0, cannot be worked, and what would fit."""
    return finding(
        "ornament.left out",
        "look",
        place=Place(part=piece.name),
        piece=piece.name,
        reason=str(error),
        width=fitting.width,
        strands=fitting.strands,
        moving=fitting.moving,
        told=isinstance(error, NoRoomError),
        motif=motif,
    )


def _told(piece: Piece, what: Message) -> Finding:
    return finding("ornament.told", "note", place=Place(part=piece.name), piece=piece.name, what=what)


def _marked(pieces: Sequence[Piece], marks: Mapping[int, tuple[Mark, ...]]) -> tuple[Piece, ...]:
    return tuple(
        replace(piece, marks=(*piece.marks, *marks[number])) if marks.get(number) else piece
        for number, piece in enumerate(pieces)
    )
