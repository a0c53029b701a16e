"""What a job asks for on one limb, in the types that the rooms work with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from flatten.former.model import FormerPlan
from flatten.job.closings import DartSettings, SeamSettings
from flatten.job.fastenings import fastenings_of, with_skives
from flatten.job.lames import LamesSettings
from flatten.job.plates import PlateSettings
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.pattern.edging import USUAL, Edging
from flatten.pattern.fastening import DartClosing, Fastening
from flatten.sheet.paper import HOME_PRINTER, Printing
from flatten.worn.corrections import Fitting
from flatten.worn.cuts import Cuts
from flatten.worn.lining import Lining
from flatten.worn.neutral import Wear


@dataclass(frozen=True, eq=False)
class Design:
    """What a job asks for on one limb: `resolve` makes it, once, and all that cuts, lays flat and draws works from it.

    `title` stands on every piece, and `piece` is what each is called, None: as the kind of limb has it. Seams and darts
    of the `cuts` are in the job's order, and so are their settings, `parts`, and the `plates`: those may go by the flat
    base's own edges, so that they become curves when it is laid flat. `span` is the height (mm) of the lowest
    place of the bottom edge and of the highest of the top edge; `heights` are those over which the neutral surface is
    needed. `grain_angle` (rad) is the grain's direction on flat panels, `room` the share of the slack to the leather's
    limits that is left unused, `edge_length` (mm) that of the meshes that files are made from. `edging` is what the
    pieces' edges are given, and with `tooling` they bear where they are not to be carved or stamped. `symmetrical`
    pieces get two equal halves, and with `mirrored` the opposite limb gets their mirror images. A `lining` is glued in;
    None: it has none. `fittings` are what try-ons changed: `wear` and `cuts` are as they left them.
    `former` is what the leather is formed on, None where none is asked for. `printing` is what sheets are printed on:
    what is written on pieces keeps clear of their joints. `aim` is what the pattern is to be: "most even", or one that
    "forms itself".
    """

    limb: Limb
    skin: LimbSurface
    title: str
    piece: str | None
    wear: Wear
    cuts: Cuts
    span: tuple[float, float]
    heights: tuple[float, float]
    parts: tuple[SeamSettings | DartSettings, ...]
    plates: tuple[PlateSettings, ...]
    lames: tuple[LamesSettings, ...]
    grain_angle: float
    room: float
    symmetrical: bool
    mirrored: bool
    hardened: bool
    edge_length: float
    edging: Edging = USUAL
    tooling: bool = True
    lining: Lining | None = None
    fittings: tuple[Fitting, ...] = ()
    former: FormerPlan | None = None
    printing: Printing = HOME_PRINTER
    aim: str = "most even"

    @cached_property
    def fastenings(self) -> Mapping[str, Fastening | DartClosing]:
        """How seams and darts are closed, by their names; open seams are left out.

        Worked out where it is first wanted: leather whose holes cannot be is still shown on the limb.

        Raises PatternError where holes have no size or their pitch is none.
        """
        return with_skives(fastenings_of(self.parts), self.cuts.seams)
