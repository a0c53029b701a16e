"""How a job's seams and darts are closed, by their names."""

from __future__ import annotations

from flatten.job.settings import DartSettings, Job, SeamSettings
from flatten.pattern.fastening import DartClosing, Fastening, Lacing, Riveting, Stitching, Strapping

LACING_PITCH = 30.0
"""mm from eyelet to eyelet, and from rivet to rivet, where the job says "auto"; 25 to 40 is usual. From memory."""

STRAP_PITCH = 100.0
"""mm from strap to strap where the job says "auto": three on a shin, two on a forearm. Common practice."""


def fastenings_of(job: Job) -> dict[str, Fastening | DartClosing]:
    """How the seams and darts of a job are closed; open seams are left out.

    Raises PatternError where holes have no size or their pitch is none.
    """
    found: dict[str, Fastening | DartClosing] = {
        seam.name: fastening for seam in job.seam if (fastening := _of_seam(seam)) is not None
    }
    return found | {dart.name: _of_dart(dart) for dart in job.dart}


def _of_seam(seam: SeamSettings) -> Fastening | None:
    pitch = LACING_PITCH if seam.pitch is None else seam.pitch
    if seam.kind == "laced":
        return Lacing(seam.eyelet, pitch, seam.gap)
    if seam.kind == "riveted":
        return Riveting(seam.rivet, pitch)
    if seam.kind == "stitched":
        return Stitching(seam.stitch, seam.stitches)
    if seam.kind == "strapped":
        return Strapping(seam.rivet, STRAP_PITCH if seam.pitch is None else seam.pitch, seam.gap, seam.strap)
    return None


def _of_dart(dart: DartSettings) -> DartClosing:
    if dart.kind == "slash" or dart.close == "open":
        return DartClosing(dart.stop)
    return DartClosing(dart.stop, Riveting() if dart.close == "riveted" else Stitching())
