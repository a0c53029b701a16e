"""Everything that a report tells, gathered once: from the scan to the pieces."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from flatten.findings import Finding, Message
from flatten.former.model import Former
from flatten.forming.way import Forming
from flatten.leather.giving import Giving, places_that_give
from flatten.leather.lifting import Lift, places_that_lift
from flatten.leather.lips import FlaredRim
from flatten.leather.model import Bend, StretchReport
from flatten.leather.trial_line import TrialLine, trial_line
from flatten.leather.unclosed import Unclosed
from flatten.leather.waves import Wave
from flatten.limb.girths.girth import Girth
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.ornament.result import Ornament
from flatten.pattern.hardware import Hardware, edge_thread, gathered, hardware_of, in_all
from flatten.pattern.model import Attachment, Join, Piece
from flatten.pattern.seam_names import called_seam
from flatten.pattern.symmetry import Evened
from flatten.report.prices import Prices
from flatten.report.sure import Sure
from flatten.scan.model import Scan
from flatten.sheet.laying import Laying
from flatten.unwrap.certificate.binding import Binding
from flatten.unwrap.model import FlatPanel
from flatten.worn.corrections import Fitting
from flatten.worn.lames import Pair, Row
from flatten.worn.neutral import Wear
from flatten.worn.panel import Panel
from flatten.worn.rings import Ring
from flatten.worn.wearing import Wearing


@dataclass(frozen=True, eq=False)
class PanelReport:
    """One panel laid flat, and what it asks of its leather; None for what was not computed.

    `least_spread` bounds from below the spread of every flat piece with these cuts, and `binding` tells where; both
    hold for the panel as meshed anew, with edges of 8 mm. `fits_girth` is the least and the greatest widest girth (mm)
    that the piece can be closed on by its laces and straps, `waves` where its flat edges leave a fair curve.
    `forming` is what it does when it is laid on the limb and let go.
    `part` is "base", or "plate", "lame" or "lining", for which no bound is sought.
    """

    flat: FlatPanel
    stretch: StretchReport
    bend: Bend
    least_spread: float | None
    fits_girth: tuple[float, float] | None
    binding: Binding | None = None
    waves: tuple[Wave, ...] = ()
    part: str = "base"
    forming: Forming | None = None


@dataclass(frozen=True)
class Advised:
    """What to change about a job: what is told of it, and TOML lines for the job file.

    Each key of the lines takes the place of the same key of the job file, and tables in double brackets take the place
    of all of that name.
    """

    messages: tuple[Message, ...]
    lines: str


@dataclass(frozen=True, eq=False)
class MovedRow:
    """A row of lames, how its pairs move, and how far (mm) off the joint's own way its far edge is when bent."""

    row: Row
    pairs: tuple[Pair, ...]
    off: float


@dataclass(frozen=True, eq=False)
class MockupReport:
    """A limb's mock-up: what `sheet` it is of, how thick (mm), what share of a length that `gives`, its pieces and
    their mirror images, and for each panel the regions where the sheet cannot close on the limb."""

    sheet: str
    thickness: float
    gives: float
    pieces: tuple[Piece, ...]
    mirrored: tuple[Piece, ...]
    unclosed: tuple[tuple[Unclosed, ...], ...]


@dataclass(frozen=True, eq=False)
class Before:
    """What the pieces were before any fitting: the panels of the base, laid flat, and their pieces."""

    flats: tuple[FlatPanel, ...]
    pieces: tuple[Piece, ...]


@dataclass(frozen=True, eq=False)
class LimbReport:
    """One limb that pieces are made for: what was found, what its panels ask, and the pieces.

    Piece number k is panel number k, and lies where that panel's uv lie (x negated where limb coordinates are
    mirrored); the base's come before those of all other parts. `mirrored` are their mirror images for the opposite
    limb, where a pair is cut so. `girths` are on the skin, `worn_girths` on the neutral surface `worn`; `findings` are
    what the scan gave reason for (a guessed unit, a bridged hole). `wearing` is how the pieces are worn, None where
    that was not computed. `joins` tell how seams and darts are closed, `held` how other parts are riveted on, and
    `fastened` what is bought for all that is riveted or stitched on; `even` tells which panels were made symmetrical
    and what that took, `rims` the flared lips. `mockup` is its mock-up, None where none is asked for,
    `fittings` what try-ons changed, and `before` what the pieces were without them. `rings` are those at which the
    finished piece is measured, with all gaps, `gaps` mm together, as they are drawn;
    the leather's flesh side lies `flesh` mm inside the neutral surface. `ornaments` tell of the pieces that have a
    field.
    """

    scan: Scan
    limb: Limb
    skin: LimbSurface
    girths: tuple[Girth, ...]
    worn: LimbSurface
    worn_girths: tuple[Girth, ...]
    panels: tuple[PanelReport, ...]
    pieces: tuple[Piece, ...]
    mirrored: tuple[Piece, ...] = ()
    joins: tuple[Join, ...] = ()
    fastened: tuple[Join, ...] = ()
    held: tuple[Attachment, ...] = ()
    rows: tuple[MovedRow, ...] = ()
    even: tuple[Evened, ...] = ()
    rims: tuple[FlaredRim, ...] = ()
    wearing: Wearing | None = None
    findings: tuple[Finding, ...] = ()
    mockup: MockupReport | None = None
    fittings: tuple[Fitting, ...] = ()
    before: Before | None = None
    rings: tuple[Ring, ...] = ()
    gaps: float = 0.0
    flesh: float = 0.0
    ornaments: tuple[Ornament, ...] = ()

    @cached_property
    def gives(self) -> tuple[tuple[Giving, ...], ...]:
        """For each panel the places where its leather must give, in the order in which they are formed; a lining is not
        formed."""
        return tuple(
            () if panel.part == "lining" else places_that_give(panel.flat, panel.stretch) for panel in self.panels
        )

    @cached_property
    def lifts(self) -> tuple[tuple[Lift, ...], ...]:
        """For each panel the places where its leather is pulled off what it is formed on."""
        return tuple(() if panel.part == "lining" else places_that_lift(panel.flat, self.worn) for panel in self.panels)

    @property
    def flat_panels(self) -> tuple[Panel, ...]:
        """Its panels as meshed."""
        return tuple(panel.flat.panel for panel in self.panels)

    def called(self, seam: str) -> str:
        """The key of what one of its seams is called to a person."""
        return called_seam(seam, kind=self.limb.kind, panels=self.flat_panels)

    @cached_property
    def trial(self) -> tuple[str, TrialLine] | None:
        """The line to draw on the base's leather before it is formed, and the piece that it is drawn on; None where no
        piece holds one."""
        found = [
            (piece.name, line)
            for piece, panel in zip(self.pieces, self.panels, strict=True)
            if panel.part == "base" and (line := trial_line(panel.flat, self.worn, inward=self.flesh)) is not None
        ]
        return max(found, key=lambda one: one[1].growth) if found else None

    @property
    def names(self) -> tuple[str, ...]:
        """What the limb's own pieces are called, in the order of its panels."""
        return tuple(piece.name for piece in self.pieces)


@dataclass(frozen=True)
class Setting:
    """One setting of the job as it was used: the job file's key and its value as text."""

    key: str
    value: str


@dataclass(frozen=True, eq=False)
class JobReport:
    """What a finished job is told by: its title `job`, and one limb, or two where a pair is cut to its own scans.

    What is told of one limb without its side is told of the first. `advice` is what to change, the best first, None
    where it was not looked for; `findings` are about what was asked for and could not be had. `sure` are the figures
    that the maker has looked at and settles stops by. `settings` are those that a maker looks for, and
    `lines` those that are not the usual ones, as a job file has them. `hardened` is whether the leather is hardened by
    heat. `finished` is the maker's own correction, the share by which the leather is drawn longer round the limb.
    `laying` is how its pieces lie on hides or a bed, None where the job has neither.
    `prices` are the maker's own, None where none are named, and `hours` those of work that are reckoned.
    """

    job: str
    limbs: tuple[LimbReport, ...]
    wear: Wear
    settings: tuple[Setting, ...]
    advice: tuple[Advised, ...] | None = None
    findings: tuple[Finding, ...] = ()
    sure: tuple[Sure, ...] = ()
    hardened: bool = False
    formers: tuple[Former, ...] = ()
    finished: float = 0.0
    laying: Laying | None = None
    lines: str = ""
    prices: Prices | None = None
    hours: float = 0.0

    @property
    def panels(self) -> tuple[PanelReport, ...]:
        """The panels of all limbs, the first limb's first."""
        return tuple(panel for limb in self.limbs for panel in limb.panels)

    @property
    def cut(self) -> tuple[Piece, ...]:
        """All pieces that are cut, each limb's own and then their mirror images."""
        return tuple(piece for limb in self.limbs for piece in (*limb.pieces, *limb.mirrored))

    @property
    def hardware(self) -> tuple[Hardware, ...]:
        """What is bought for all pieces of all limbs, by what it is for."""
        found: list[Hardware] = []
        for limb in self.limbs:
            sets = 2 if limb.mirrored else 1
            found += hardware_of((*limb.joins, *limb.fastened), sets=sets)
            found += edge_thread(limb.pieces, sets=sets)
        return gathered(found)

    @property
    def shopping(self) -> tuple[Hardware, ...]:
        """The same in all: equal things of one size counted once."""
        return in_all(self.hardware)
