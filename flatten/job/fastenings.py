"""How a job's seams and darts are closed, by their names."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

import numpy as np

from flatten.job.bearings import BESIDE, aside, bearing_of
from flatten.job.closings import DartSettings, SeamSettings
from flatten.pattern.fastening import DartClosing, Fastening, Lacing, Riveting, Snapping, Stitching, Strapping
from flatten.pattern.model import PatternError, Skive
from flatten.worn.curves import Seam

LACING_PITCH = 30.0
"""mm from eyelet to eyelet, and from rivet to rivet, where the job says "auto"; 25 to 40 is usual. From memory."""

SNAP_PITCH = 50.0
"""mm from snap to snap where the job says "auto". From memory."""


def fastenings_of(parts: Iterable[SeamSettings | DartSettings]) -> dict[str, Fastening | DartClosing]:
    """How seams and darts are closed, by their names; open seams are left out.

    Raises PatternError where holes have no size or their pitch is none.
    """
    found: dict[str, Fastening | DartClosing | None] = {}
    for part in parts:
        try:
            found[part.name] = _of_seam(part) if isinstance(part, SeamSettings) else _of_dart(part)
        except PatternError as error:
            what = part.kind if isinstance(part, DartSettings) else "seam"
            raise PatternError(f"{what} '{part.name}': {error}") from error
    return {name: closing for name, closing in found.items() if closing is not None}


def with_skives(
    fastenings: Mapping[str, Fastening | DartClosing], seams: Iterable[Seam]
) -> Mapping[str, Fastening | DartClosing]:
    """How seams and darts are closed, those of skived overlaps with how they are skived."""
    skives = {seam.name: Skive(seam.skived, seam.overlap) for seam in seams if seam.skived}
    return {
        name: replace(closing, skive=skives[name])
        if name in skives and isinstance(closing, Riveting | Stitching)
        else closing
        for name, closing in fastenings.items()
    }


def _of_seam(seam: SeamSettings) -> Fastening | None:
    pitch = LACING_PITCH if seam.pitch is None else seam.pitch
    if seam.kind == "laced":
        return Lacing(seam.eyelet, pitch, seam.gap)
    if seam.kind == "riveted":
        return Riveting(seam.rivet, pitch)
    if seam.kind == "snapped":
        return Snapping(seam.snap, SNAP_PITCH if seam.pitch is None else seam.pitch)
    if seam.kind == "stitched":
        return Stitching(seam.stitch, seam.stitches)
    if seam.kind == "strapped":
        return Strapping(
            seam.rivet,
            seam.pitch,
            seam.gap,
            seam.strap,
            slots=seam.hold == "slots",
            buckle=buckle_side(seam),
            number=seam.straps,
            at=seam.at,
        )
    return None


def buckle_side(seam: SeamSettings) -> str:
    """Whether a strapped seam's buckles sit on the leather "before" it or "after" it.

    Where nobody says, on legs and arms alike on the leather that comes from the outside, where they knock on nothing;
    of a seam along the outside or the inside, on the front's.

    Raises PatternError where they are to be on the quarter that the seam runs along, or on that across from it.
    """
    bearing = float(np.radians(bearing_of(seam.along)))
    if seam.buckles != "auto":
        if abs(aside(seam.buckles, bearing)) < BESIDE:
            raise PatternError(
                f"it runs along the {seam.buckles}'s own middle or right across from it, so its buckles cannot be on "
                f"the {seam.buckles}; name the quarter beside it whose leather they sit on"
            )
        return "after" if aside(seam.buckles, bearing) > 0.0 else "before"
    outside, front = (aside(quarter, bearing) for quarter in ("outside", "front"))
    return "after" if (outside if abs(outside) > np.sqrt(0.5) else front) > 0.0 else "before"


def _of_dart(dart: DartSettings) -> DartClosing:
    close = dart.close
    if close == "auto":
        close = "open" if dart.kind == "slash" else "stitched"
    if close == "open":
        return DartClosing(dart.stop, opening=dart.opening)
    if close == "riveted":
        riveting = Riveting(dart.rivet, LACING_PITCH if dart.pitch is None else dart.pitch)
        return DartClosing(dart.stop, riveting, dart.opening)
    return DartClosing(dart.stop, Stitching(dart.stitch, dart.stitches), dart.opening)
