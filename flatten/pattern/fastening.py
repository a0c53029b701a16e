"""How seams and darts are closed: the holes that each way of closing wants, and how far they keep from edges."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.pattern.model import PatternError, Skive
from flatten.pattern.sizes import flange_of

LEAST_PITCH = 25.0
"""mm. Lacing holes and rivets stand no closer than this where the run lets them. From memory."""

GREATEST_PITCH = 40.0
"""mm. Lacing holes and rivets stand no further apart than this where the run lets them. From memory."""

PITCHES = (LEAST_PITCH, GREATEST_PITCH)
"""mm. Both."""

SNAP_PITCHES = (30.0, 80.0)
"""mm. Snaps stand no closer, and no further apart, than this where the run lets them. From memory."""

LEAST_EDGE = 10.0
"""mm. No lacing hole's centre is nearer to an edge, however thin the leather. From memory."""

BESIDE_FLANGE = 1.5
"""mm of leather between the flange or cap over a hole and an edge: it must not stand over. From memory."""

BETWEEN_FLANGES = 1.0
"""mm between the flanges or caps of two holes, which would otherwise ride on one another. From memory."""

LEAST_STITCH_EDGE = 3.0
"""mm. A line of stitches is 3 to 4 mm from the edge. Common practice."""

STITCH_ROW = 3.5
"""mm from the edge to a line of stitches: the middle of what is usual."""

STRAP_ASIDE = 5.0
"""mm of leather beside a strap, between it and the top or bottom edge. Common practice."""

STRAP_ROW = 10.0
"""mm from the edge to the first rivet of a strap, at least: half a cap of 9 mm, half a hole of 4 mm and leather.
From memory."""

STRAP_RIVETS = 15.0
"""mm between the two rivets that hold a strap's end. Common practice."""


STRAP_SLOT = 4.0
"""mm. Width of a slot for a strap of 2.5 mm leather, which must slide through it. Common practice."""

STRAP_SLOT_PLAY = 1.0
"""mm that a slot is longer than the strap is wide. Common practice."""


def _check_size(kind: str, diameter: float) -> None:
    if not diameter > 0.0:
        raise PatternError(f"{kind} holes of {diameter:g} mm cannot be punched; give a diameter such as 5 mm")


def _check_pitch(kind: str, pitch: float, bounds: tuple[float, float]) -> None:
    if not bounds[0] <= pitch <= bounds[1]:
        raise PatternError(
            f"a {kind} pitch of {pitch:g} mm is outside {bounds[0]:.0f} to {bounds[1]:.0f} mm; give one between them, "
            f"or leave it out"
        )


@dataclass(frozen=True)
class Lacing:
    """Eyelets of `diameter` mm, wanted `pitch` mm apart, over a lacing gap of `gap` mm."""

    diameter: float = 5.0
    pitch: float = 30.0
    gap: float = 25.0

    def __post_init__(self) -> None:
        """Raises PatternError where a hole has no size or the pitch is none that laces."""
        _check_size("eyelet", self.diameter)
        _check_pitch("lacing", self.pitch, PITCHES)


@dataclass(frozen=True)
class Riveting:
    """Rivet holes of `diameter` mm, wanted `pitch` mm apart, through leather on leather, which may be skived (`skive`).

    A dart, which has no overlap, is riveted at both sides to a strip of the same leather beneath it.
    """

    diameter: float = 3.0
    pitch: float = 30.0
    skive: Skive | None = None

    def __post_init__(self) -> None:
        """Raises PatternError where a hole has no size or the pitch is none that holds."""
        _check_size("rivet", self.diameter)
        _check_pitch("rivet", self.pitch, PITCHES)


@dataclass(frozen=True)
class Snapping:
    """Snaps (press studs) in holes of `diameter` mm, wanted `pitch` mm apart: caps in the upper leather, studs in the
    lower."""

    diameter: float = 4.0
    pitch: float = 50.0

    def __post_init__(self) -> None:
        """Raises PatternError where a hole has no size or the pitch is none that holds."""
        _check_size("snap", self.diameter)
        _check_pitch("snap", self.pitch, SNAP_PITCHES)


@dataclass(frozen=True)
class Stitching:
    """Stitch holes of `diameter` mm, `per_inch` to the inch; an overlap may be skived (`skive`)."""

    diameter: float = 1.3
    per_inch: float = 5.0
    skive: Skive | None = None

    def __post_init__(self) -> None:
        """Raises PatternError where a hole has no size or holes would run into one another."""
        _check_size("stitch", self.diameter)
        if not 2.0 * self.diameter <= self.pitch <= 25.4:
            raise PatternError(
                f"{self.per_inch:g} stitches to the inch are {self.pitch:.1f} mm apart; holes of {self.diameter:g} mm "
                f"want {2.0 * self.diameter:.1f} to 25.4 mm: 4 to 7 to the inch are usual"
            )

    @property
    def pitch(self) -> float:
        """mm from hole to hole: 25.4 over the stitches to the inch."""
        return 25.4 / self.per_inch if self.per_inch > 0.0 else 0.0


@dataclass(frozen=True)
class Strapping:
    """Straps `width` mm wide over a gap of `gap` mm.

    They stand `at` heights along the limb (mm, rising), or evenly: so many as `number`, or wanted `pitch` mm apart;
    where none of these is given, as many as is usual.

    Each end is held by two rivets of `diameter` mm, or with `slots` goes through a slot and is riveted back on itself.
    Buckles sit on the leather "before" or "after" the seam (`buckle`).
    """

    diameter: float = 3.0
    pitch: float | None = None
    gap: float = 25.0
    width: float = 20.0
    slots: bool = False
    buckle: str = "before"
    number: int | None = None
    at: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        """Raises PatternError where a hole has no size or straps would touch."""
        _check_size("strap rivet", self.diameter)
        if self.pitch is not None and not self.pitch >= self.width + 2.0 * STRAP_ASIDE:
            raise PatternError(
                f"straps {self.width:g} mm wide cannot stand {self.pitch:g} mm apart; give a pitch of at least "
                f"{self.width + 2.0 * STRAP_ASIDE:.0f} mm"
            )

    @property
    def placed(self) -> str:
        """What says where straps stand: "heights", "number", "pitch" or "rule"."""
        if self.at:
            return "heights"
        return "number" if self.number else "rule" if self.pitch is None else "pitch"


Fastening = Lacing | Riveting | Snapping | Stitching | Strapping


@dataclass(frozen=True)
class DartClosing:
    """A dart's or slash's `stop` hole (mm) at its tip, and how its sides are joined; None: they stay open.

    A slash stays `opening` mm wide at the edge when worn, so its sides are joined to a strip of leather beneath; so are
    those of a riveted dart.
    """

    stop: float = 4.0
    fastening: Riveting | Stitching | None = None
    opening: float = 0.0

    def __post_init__(self) -> None:
        """Raises PatternError where the stop hole has no size."""
        _check_size("stop", self.stop)


USUAL: dict[str, Fastening] = {
    "laced": Lacing(),
    "riveted": Riveting(),
    "snapped": Snapping(),
    "stitched": Stitching(),
    "strapped": Strapping(),
}
"""How a seam of each kind is closed where nobody says more."""


def edge_distance(kind: str, diameter: float, thickness: float) -> float:
    """Least distance from the centre of a hole of a kind to an edge, mm; 0 for a stop hole, which lies on the cut.

    The larger of two hole diameters and two leather thicknesses, at least 10 mm for an eyelet (from memory), and no
    less than half the flange that comes over it and BESIDE_FLANGE; LEAST_STITCH_EDGE for a stitch. A slot's rim keeps
    LEAST_EDGE or two thicknesses from an edge.
    """
    if kind == "stop":
        return 0.0
    if kind == "stitch":
        return LEAST_STITCH_EDGE
    if kind == "slot":
        return 0.5 * diameter + max(LEAST_EDGE, 2.0 * thickness)
    flange = 0.5 * flange_of(kind, diameter) + BESIDE_FLANGE
    return max(2.0 * diameter, 2.0 * thickness, flange, LEAST_EDGE if kind == "eyelet" else 0.0)


def hole_distance(kind: str, diameter: float, thickness: float) -> float:
    """Least distance from the centre of a hole of a kind to another's, mm: as to an edge, two diameters for stitches.

    Around a stop hole, whose rim is an edge, it is its radius.
    """
    if kind == "stop":
        return 0.5 * diameter
    return 2.0 * diameter if kind == "stitch" else edge_distance(kind, diameter, thickness)


def stitch_distance(kind: str, diameter: float) -> float:
    """Least distance from a stitch of an edge to the centre of a hole of a kind, mm: clear of what is set into it.

    It goes through one layer and pulls on nothing, so that less leather will do than between holes that hold: from the
    flange, or the rim where there is none, BESIDE_FLANGE.
    """
    return 0.5 * max(diameter, flange_of(kind, diameter)) + BESIDE_FLANGE
