"""One motif worked on a piece: strands made or brought, woven, carved, and carried to the piece."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatten.findings import Message
from flatten.mesh.surface import Floats
from flatten.ornament.bands import carved
from flatten.ornament.border import Border, border
from flatten.ornament.bring import Brought
from flatten.ornament.filling import Filling, filling
from flatten.ornament.grain_face import GrainFace
from flatten.ornament.marks import Carry, carried_region, marks_of
from flatten.ornament.mending import mended, narrowed
from flatten.ornament.model import Carving, Field, NoRoomError, OrnamentError, Region, Strand, Weave
from flatten.ornament.paper import Paper, paper_of
from flatten.ornament.placing import placed
from flatten.ornament.plait import Plait, plait
from flatten.ornament.result import Motif
from flatten.ornament.tooling import tooling_of
from flatten.ornament.trouble import TroubleError
from flatten.ornament.weave import woven
from flatten.pattern.model import Mark

AROUND = 12.0
"""mm. A drawing that keeps its own place is laid on a paper that reaches so far beyond it."""


@dataclass(frozen=True, eq=False)
class Asked:
    """A motif as it is asked for: a "filling" or a "border" of `strands` (None: as many as are usual), the filling by
    `seed`, the border "all round" with so many straight `reeds` or plaited `along` one side, or a "drawing", of which
    `half` is drawn ("whole", "left", "right"), put as `place` says, moved `by` (right, up; mm) and turned (degrees, to
    the left). Bands are `width` mm wide and broken `apart` mm beside what they pass under. With `mend` what cannot be
    woven is mended."""

    kind: str
    width: float
    apart: float
    strands: int | None = None
    along: str = "all round"
    reeds: int = 1
    seed: int = 1
    drawing: Brought | None = None
    half: str = "whole"
    place: str = "centred"
    by: tuple[float, float] = (0.0, 0.0)
    turn: float = 0.0
    mend: bool = False

    @property
    def keeps_its_size(self) -> bool:
        """Whether it is a drawing that is put on its place as large as it is."""
        return self.kind == "drawing" and self.place in ("as drawn", "centred")


@dataclass(frozen=True, eq=False)
class Work:
    """A worked motif, what is drawn of it on the piece, and there its `background` and all that it has `taken`."""

    motif: Motif
    marks: tuple[Mark, ...]
    background: Region
    taken: Region


@dataclass(frozen=True, eq=False)
class _Drawn:
    """Strands in the drawing plane, the part of the field that they are carved in, and what is told of them."""

    strands: tuple[Strand, ...]
    field: Region
    told: tuple[Message, ...] = ()


def worked(asked: Asked, field: Field, face: GrainFace | None, *, tool: float, pace: float) -> Work:
    """A motif worked in a field of a piece, true when worn on the grain side `face`, or as it lies flat without one.

    `tool` mm has to pass between two carved lines, and `pace` mm are carved or bevelled in an hour.

    Raises OrnamentError where it does not fit the field, TroubleError where it cannot be woven or carved; with the
    latter the motif's own mending may help.
    """
    paper, plane = None, field
    own = _drawn(asked, field) if asked.keeps_its_size else None
    if face is not None:
        paper = paper_of(face, _place(field, own), even=field.even)
        # A drawing's own small paper may lie far off the middle line, which has done its work by then.
        plane = _on_paper(paper, field if own is None else replace(field, centre=None, even=False))
    carry: Carry = _same if paper is None else paper.to_piece
    # A paper lies where it fits the piece best, so that what is put on one is on the other.
    drawn = _drawn(asked, plane) if own is None else replace(own, field=plane.region)
    weave, carving, more = _woven(asked, drawn)
    if not carving.lines:
        raise _beside(field)
    motif = Motif(
        "plait" if asked.kind == "border" and asked.along != "all round" else asked.kind,
        weave,
        carving,
        tooling_of(weave, carving, tool=tool, pace=pace),
        (*drawn.told, *more),
        1.0 if paper is None else paper.least,
        1.0 if paper is None else paper.greatest,
        0.0 if paper is None else paper.uneven,
    )
    taken = Region.of(
        shapely.union_all([band.shape for band in carving.bands] + [carving.distances.shape, carving.background.shape])
    )
    return Work(
        motif,
        marks_of(carving, carry),
        carried_region(carving.background, carry),
        carried_region(taken, carry),
    )


def _beside(field: Field) -> OrnamentError:
    return OrnamentError(
        f"the motif lies beside the field of '{field.piece}', or where other leather covers it; move it by as much as "
        "brings it onto the field, or put it as 'scaled' or 'fitted'"
    )


def _same(points: Floats) -> Floats:
    return points


def _place(field: Field, own: _Drawn | None) -> shapely.Geometry:
    """Where the paper lies: over the whole field, or over a drawing's own place where it keeps its size."""
    place = field.region.shape
    if own is None:
        return place
    hull = shapely.convex_hull(shapely.MultiPoint(np.concatenate([strand.points for strand in own.strands])))
    near = shapely.intersection(shapely.buffer(hull, AROUND), place)
    if shapely.is_empty(near):
        raise _beside(field)
    return near


def _on_paper(paper: Paper, field: Field) -> Field:
    """What of a field the paper covers, on the paper."""
    covered = carried_region(Region.of(shapely.buffer(paper.area.shape, -1.0)), paper.to_piece)
    region = Region.of(shapely.intersection(field.region.shape, covered.shape))
    return paper.field(Field(field.piece, region, field.centre, field.even))


def _drawn(asked: Asked, field: Field) -> _Drawn:
    """The strands of a motif in the drawing plane's field."""
    if asked.kind == "filling":
        made = Filling(width=asked.width, apart=asked.apart, seed=asked.seed)
        if asked.strands is not None:
            return _Drawn(filling(field, replace(made, strands=asked.strands)), field.region)
        try:
            return _Drawn(filling(field, made), field.region)
        except NoRoomError as lack:
            if not lack.strands:
                raise
            # Nobody asked for a number: as many as there is room for.
            return _Drawn(filling(field, replace(made, strands=lack.strands)), field.region)
    if asked.kind == "border" and asked.along != "all round":
        along = Plait(asked.along, width=asked.width, apart=asked.apart)
        if asked.strands is not None:
            along = replace(along, strands=asked.strands)
        one = plait(field, along)
        return _Drawn(one.strands, one.strip)
    if asked.kind == "border":
        wanted = Border(width=asked.width, apart=asked.apart, reeds=asked.reeds)
        if asked.strands is not None:
            wanted = replace(wanted, strands=asked.strands)
        found = border(field, wanted)
        return _Drawn(found.strands, found.strip)
    assert asked.drawing is not None
    room = 0.5 * asked.width
    put = placed(asked.drawing, field, half=asked.half, place=asked.place, by=asked.by, turn=asked.turn, room=room)
    return _Drawn(put.strands, field.region, put.told)


def _woven(asked: Asked, drawn: _Drawn) -> tuple[Weave, Carving, tuple[Message, ...]]:
    """The weave and what is carved of it, mended where that is asked for and needed."""
    try:
        weave = woven(drawn.strands, field=drawn.field)
        return weave, carved(weave, width=asked.width, apart=asked.apart, field=drawn.field), ()
    except TroubleError:
        if not asked.mend:
            raise
    whole = mended(drawn.strands, drawn.field, width=asked.width, apart=asked.apart)
    carving = narrowed(whole.weave, width=asked.width, apart=asked.apart, field=drawn.field)
    return whole.weave, carving, whole.told
