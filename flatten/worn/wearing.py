"""How a job's pieces can be worn: the girths they close on, how they go on, what holds them, how the joints bend."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flatten.limb.girths.girth import section_girth, tape_girth
from flatten.limb.kind import LimbKind, TenderPlace
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.worn.curves import Edge, Seam
from flatten.worn.cuts import Cuts
from flatten.worn.motion import Touch, motions_of, touch_of
from flatten.worn.neutral import Wear
from flatten.worn.putting_on import PuttingOn, putting_on

LACES = (15.0, 40.0)
"""mm. Laces draw a gap together to the first and can be let out to the second: 20 to 40 is usual. From memory."""

STRAP = 20.0
"""mm. A strap's row of holes lets its gap close and open by this much. From memory."""

UNEVEN = 0.3
"""mm of thickness by which one leather differs from place to place: 0.2 to 0.4. From memory."""

_AROUND = np.linspace(0.0, 2 * np.pi, 361)


@dataclass(frozen=True)
class FitRange:
    """The girths that the piece can be closed on at its widest, mm, from `least` to `most`.

    `closes` are the least and greatest sum of the gaps of all `laced` and `strapped` seams (their counts), `drawn` the
    sum that the piece is made for. `scan`, `swelling` and `thickness` are what the girth may be out by.
    """

    least: float
    most: float
    closes: tuple[float, float]
    drawn: float
    laced: int
    strapped: int
    scan: float
    swelling: float
    thickness: float

    @property
    def doubt(self) -> float:
        """mm by which the girth may be out in all: the root of the sum of squares, for they are independent."""
        return float(np.sqrt(self.scan**2 + self.swelling**2 + self.thickness**2))

    @property
    def room(self) -> float:
        """mm that the closings can give or take, whichever is less."""
        return min(self.drawn - self.closes[0], self.closes[1] - self.drawn)


@dataclass(frozen=True, eq=False)
class Wearing:
    """How a job's pieces can be worn.

    `fit` is None where no seam can be drawn together. `catch` (mm) is by how much the piece is narrower at its top
    than at its widest, less the ease: above 0 it cannot slide down. `touches` are the bends of the joints; `near` the
    tender places that an edge lies on: "fibula", "knee hollow", "crook of the elbow".
    """

    fit: FitRange | None
    on: PuttingOn
    catch: float
    touches: tuple[Touch, ...]
    near: tuple[str, ...]


def wearing_of(
    limb: Limb,
    skin: LimbSurface,
    worn: LimbSurface,
    *,
    cuts: Cuts,
    wear: Wear,
    hardened: bool,
    points: Floats | None = None,
) -> Wearing:
    """How pieces that are cut from the neutral surface `worn` can be worn.

    `points` (N,3) are the scan's, limb coordinates mm: the foot or hand among them is what bends.

    Raises CutError where the edges leave no height between them, LimbError where the limb has no widest place.
    """
    bottom, top = cuts.edges
    height = limb.height_of("widest")
    # Fittings tell of the limb as it is, and what swells is the limb, too.
    widest = tape_girth(skin, height) + wear.added_girth(height)
    touches = [
        touch_of(
            skin,
            worn,
            edge=top if motion.edge == "top" else bottom,
            motion=motion,
            points=points if motion.far else None,
        )
        for motion in motions_of(limb, top=skin.trusted[1])
    ]
    return Wearing(
        fit=fit_range(widest, seams=cuts.seams, kind=limb.kind, neutral=wear.neutral),
        on=putting_on(worn, bottom=bottom, top=top, seams=cuts.seams, wear=wear, hardened=hardened),
        catch=_catch(worn, bottom, top) - wear.ease - float(wear.flexed.girth(height)),
        touches=tuple(touches),
        near=near_places(limb, edges=cuts.edges),
    )


def fit_range(girth: float, *, seams: Sequence[Seam], kind: LimbKind, neutral: float) -> FitRange | None:
    """The girths that pieces made for a limb of `girth` mm can be closed on; None where no seam draws together.

    A gap that is wider or narrower than laces usually draw is itself the end of its range.
    """
    laced = [seam for seam in seams if seam.kind == "laced"]
    strapped = [seam for seam in seams if seam.kind == "strapped"]
    if not laced and not strapped:
        return None
    least = sum(min(LACES[0], seam.gap) for seam in laced) + sum(max(0.0, seam.gap - STRAP) for seam in strapped)
    most = sum(max(LACES[1], seam.gap) for seam in laced) + sum(seam.gap + STRAP for seam in strapped)
    drawn = sum(seam.gap for seam in (*laced, *strapped))
    return FitRange(
        least=girth + least - drawn,
        most=girth + most - drawn,
        closes=(least, most),
        drawn=drawn,
        laced=len(laced),
        strapped=len(strapped),
        scan=kind.scan_error,
        swelling=kind.swelling,
        thickness=2 * np.pi * neutral * UNEVEN,
    )


def near_places(limb: Limb, *, edges: tuple[Edge, Edge]) -> tuple[str, ...]:
    """The tender places of the limb that an edge lies on; those whose landmark the scan does not show are left out."""
    found = []
    for place in limb.kind.tender:
        above = _above(place, limb, edges)
        if ((above > place.above[0]) & (above < place.above[1])).any():
            found.append(place.name)
    return tuple(found)


def off_place(name: str, limb: Limb, *, edges: tuple[Edge, Edge]) -> float:
    """By how much (mm, negative downwards) the edge on a tender place must be moved off it, towards the piece's middle.

    `name` is one of `near_places`.
    """
    place = next(place for place in limb.kind.tender if place.name == name)
    above = _above(place, limb, edges)
    return float(place.above[0] - above.max() if place.edge == "top" else place.above[1] - above.min())


def _above(place: TenderPlace, limb: Limb, edges: tuple[Edge, Edge]) -> Floats:
    """Heights (n,) mm above a tender place's landmark at which its edge passes it; none where the scan does not show
    that landmark."""
    marks = {mark.name: mark.height for mark in limb.landmarks}
    if place.landmark not in marks:
        return np.zeros(0)
    edge = edges[1] if place.edge == "top" else edges[0]
    return edge.height(np.radians(np.arange(place.degrees[0], place.degrees[1] + 1.0))) - marks[place.landmark]


def _catch(worn: LimbSurface, bottom: Edge, top: Edge) -> float:
    """mm by which the section is shorter at the top than at the widest place below it, whole sections only."""
    heights = np.linspace(float(bottom.height(_AROUND).max()), float(top.height(_AROUND).min()), 40)
    girths = [section_girth(worn, float(height)) for height in heights]
    return max(girths) - girths[-1]
