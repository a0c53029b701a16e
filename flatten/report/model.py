"""Everything that a report tells, gathered once: from the scan to the pieces."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.leather.model import Bend, StretchReport
from flatten.limb.girths.girth import Girth
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.pattern.hardware import Hardware, hardware_of
from flatten.pattern.model import Join, Piece
from flatten.pattern.symmetry import Evened
from flatten.scan.model import Scan
from flatten.unwrap.certificate.binding import Binding
from flatten.unwrap.model import FlatPanel
from flatten.worn.neutral import Wear
from flatten.worn.rise import Lip
from flatten.worn.wearing import Wearing


@dataclass(frozen=True, eq=False)
class PanelReport:
    """One panel laid flat, and what it asks of its leather; None for what was not computed.

    `least_spread` bounds from below the spread of every flat piece with these cuts, and `binding` tells where; both
    hold for the panel as meshed anew, with edges of 8 mm. `fits_girth` is the least and the greatest widest girth (mm)
    that the piece can be closed on by its laces and straps.
    """

    flat: FlatPanel
    stretch: StretchReport
    bend: Bend
    least_spread: float | None
    fits_girth: tuple[float, float] | None
    binding: Binding | None = None


@dataclass(frozen=True)
class Advised:
    """What to change about a job: one to three sentences, and TOML lines for the job file.

    Each key of the lines takes the place of the same key of the job file, and tables in double brackets take the place
    of all of that name.
    """

    words: str
    lines: str


@dataclass(frozen=True, eq=False)
class OtherLimb:
    """The other limb of a pair where its pieces are cut to its own scan: what was found, asked and cut there."""

    scan: Scan
    limb: Limb
    girths: tuple[Girth, ...]
    panels: tuple[PanelReport, ...]
    pieces: tuple[Piece, ...]
    joins: tuple[Join, ...]
    even: tuple[Evened, ...]
    wearing: Wearing


@dataclass(frozen=True)
class Setting:
    """One setting of the job as it was used: the job file's key and its value as text."""

    key: str
    value: str


@dataclass(frozen=True, eq=False)
class JobReport:
    """What a finished job is told by.

    Piece number k is panel number k, and lies where that panel's uv lie (x negated where limb coordinates are
    mirrored). `girths` are on the skin, `worn_girths` on the neutral surface `worn`; `fit_cautions` are this job's own
    cautions, in full sentences (a guessed unit, a bridged hole under an edge). `wearing` is how the pieces are worn,
    None where that was not computed. `other_side` are the pieces of the other limb of a pair, mirrored, or cut to its
    own scan, of which `other` then tells; `joins` tell how seams and darts are closed, `even` which panels were made
    symmetrical and what that took, `lips` the flared edges. `advice` is what to change, the best first, None where it
    was not looked for.
    """

    job: str
    scan: Scan
    limb: Limb
    skin: LimbSurface
    girths: tuple[Girth, ...]
    worn: LimbSurface
    worn_girths: tuple[Girth, ...]
    wear: Wear
    panels: tuple[PanelReport, ...]
    pieces: tuple[Piece, ...]
    settings: tuple[Setting, ...]
    fit_cautions: tuple[str, ...]
    wearing: Wearing | None = None
    other_side: tuple[Piece, ...] = ()
    joins: tuple[Join, ...] = ()
    even: tuple[Evened, ...] = ()
    advice: tuple[Advised, ...] | None = None
    other: OtherLimb | None = None
    lips: tuple[Lip, ...] = ()

    @property
    def cut(self) -> tuple[Piece, ...]:
        """All pieces that are cut: those of the scanned limb, and those for the other one."""
        return (*self.pieces, *self.other_side)

    @property
    def hardware(self) -> tuple[Hardware, ...]:
        """What is bought to close all pieces."""
        if self.other is not None:
            return (*hardware_of(self.joins), *hardware_of(self.other.joins))
        return hardware_of(self.joins, sets=2 if self.other_side else 1)
