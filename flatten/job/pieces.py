"""From a design to its pieces: cut, laid flat, drawn. What makes the files and what tries a change both go this way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import zip_longest

from flatten.findings import Finding
from flatten.forming.way import Forming
from flatten.job.design import Design
from flatten.leather.bending import tightest_bend
from flatten.leather.model import LeatherLimits
from flatten.leather.shrinking import cut_larger
from flatten.leather.stretch import stretch_report
from flatten.leather.tooling import beyond_tooling
from flatten.limb.model import Landmark
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.surface import Floats
from flatten.pattern.added import NOTHING, Added
from flatten.pattern.holes import rows_inside
from flatten.pattern.model import Attachment, Join, Piece
from flatten.pattern.piece import NO_WISHES, Pattern, TitleBlock, pattern_from
from flatten.pattern.symmetry import Evened, evened
from flatten.report.model import MovedRow, PanelReport
from flatten.sheet.tiles import joints_on
from flatten.steps import Announce, Step
from flatten.tolerances import EDGE_PREVIEW
from flatten.unwrap.apart import overlaps_undone
from flatten.unwrap.dart_openings import check_dart_openings
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.unwrap.mates import mated_boundaries, mates_of
from flatten.unwrap.model import Attainable, FlatPanel
from flatten.unwrap.panel import flatten_panel
from flatten.unwrap.symmetric import flatten_symmetric
from flatten.unwrap.together import seams_made_equal
from flatten.words.english import ENGLISH
from flatten.words.language import Language
from flatten.words.say import name
from flatten.worn.cut import cut_panels
from flatten.worn.neutral import Neutral, neutral_surface
from flatten.worn.panel import Panel
from flatten.worn.rise import check_lips
from flatten.worn.wearing import Wearing, wearing_of

WORTH = 0.7
"""Edge length, as a share of EDGE_PREVIEW, up to which a coarser mesh first saves time."""


@dataclass(frozen=True, eq=False)
class Flats:
    """The panels of a design laid flat together, and which were made symmetrical and what that took.

    `coarse` are the panels of coarser meshes, each laid flat by itself; empty where they were not needed.
    """

    panels: tuple[FlatPanel, ...]
    even: tuple[Evened, ...]
    coarse: tuple[FlatPanel, ...] = ()


@dataclass(frozen=True, eq=False)
class Lined:
    """A lining's panels laid flat, and which were made symmetrical and what that took; none without a lining."""

    panels: tuple[PanelReport, ...] = ()
    even: tuple[Evened, ...] = ()


UNLINED = Lined()
"""No lining."""


@dataclass(frozen=True, eq=False)
class Laid:
    """A design laid flat: the surface that the leather lies on, what each panel asks of it, and what `Flats` tells.

    `panels` are the base's, and `parts` those of the parts beside it, laid flat each by itself. `added` are the holes
    and lines that they want, one for each panel of the base and then for each part, empty where there are no parts, and
    `held` tells how those are riveted on. The lining's panels come after all others. `rows` are
    those of lames, and `bought` what holds all parts on. `findings` tell of a pattern that was to form itself.
    """

    design: Design
    neutral: Neutral
    panels: tuple[PanelReport, ...]
    even: tuple[Evened, ...] = ()
    coarse: tuple[FlatPanel, ...] = ()
    parts: tuple[PanelReport, ...] = ()
    added: tuple[Added, ...] = ()
    held: tuple[Attachment, ...] = ()
    lined: Lined = UNLINED
    rows: tuple[MovedRow, ...] = ()
    bought: tuple[Join, ...] = ()
    findings: tuple[Finding, ...] = ()

    @property
    def all_panels(self) -> tuple[PanelReport, ...]:
        """The base's panels, then those of the parts beside it, then the lining's."""
        return (*self.panels, *self.parts, *self.lined.panels)

    @property
    def fits(self) -> bool:
        """Whether every panel lies within the leather's limits in force."""
        return all(panel.stretch.fits for panel in self.all_panels)


@dataclass(frozen=True, eq=False)
class Drawn:
    """The pieces of a limb, their mirror images for the opposite one where a pair is cut so, and how they close.

    The base's pieces come first, in both.
    """

    pieces: tuple[Piece, ...]
    mirrored: tuple[Piece, ...]
    joins: tuple[Join, ...]

    @property
    def cut(self) -> tuple[Piece, ...]:
        """All pieces that are cut."""
        return (*self.pieces, *self.mirrored)


def dressed(design: Design) -> Neutral:
    """The neutral surface of a design, over the heights that it needs.

    Raises LayersError where its layers fold or make no sense on the limb, CutError where the limb is too short.
    """
    return neutral_surface(design.skin, design.wear, heights=design.heights)


def laid_flat(
    design: Design,
    worn: LimbSurface,
    *,
    limits: LeatherLimits,
    edge_length: float,
    known: Attainable | None,
    accuracy: Accuracy,
    announce: Announce,
) -> Flats:
    """The panels that a design cuts from the neutral surface `worn`, on meshes of `edge_length` mm, laid flat.

    `known` is what is known to be attainable for each panel; None finds it, on a coarse mesh where that saves time.
    `accuracy` is as for `flatten_panel`.

    Raises CutError or MeshError where edges, seams and darts cut no panels, UnwrapError where one cannot be laid flat
    or made symmetrical, PatternError where a seam's holes cannot be.
    """
    announce(Step.CUTTING)
    panels = panels_of(design, worn, edge_length=edge_length)

    announce(Step.LAYING)
    coarse: tuple[FlatPanel, ...] = ()
    # On meshes that are not much finer it is found in the time that a coarse one would save.
    if known is None and edge_length <= WORTH * EDGE_PREVIEW:
        coarse = each_alone(design, panels_of(design, worn, edge_length=EDGE_PREVIEW), limits=limits)
    attainable = tuple(flat.attainable for flat in coarse) if known is None else (known,) * len(panels)
    flats, even = fitted(
        design, each_alone(design, panels, limits=limits, known=attainable, accuracy=accuracy), limits=limits
    )
    return Flats(flats, even, coarse)


def panels_of(design: Design, worn: LimbSurface, *, edge_length: float) -> tuple[Panel, ...]:
    """The panels that a design cuts from the neutral surface `worn`, on meshes of `edge_length` mm.

    Raises CutError where its edges, seams, darts and lips cut none, MeshError where one cannot be meshed.
    """
    check_lips(design.cuts.lips, thickness=design.wear.thickness, neutral=design.wear.neutral)
    return cut_panels(
        worn,
        design.cuts,
        edge_length=edge_length,
        thickness=design.wear.thickness,
        neutral=design.wear.neutral,
        side_names=design.limb.kind.sides,
    )


def each_alone(
    design: Design,
    panels: Sequence[Panel],
    *,
    limits: LeatherLimits,
    known: Sequence[Attainable] = (),
    accuracy: Accuracy = TO_CUT,
) -> tuple[FlatPanel, ...]:
    """Each panel laid flat by itself within the limits, of a symmetrical design each with its mirror image.

    `known` is what is known to be attainable for each panel, as for `flatten_panel`, empty where nothing is; `accuracy`
    as for it.

    Raises UnwrapError where one cannot be laid flat, or not be made symmetrical.
    """
    had = [attainable for _, attainable in zip_longest(panels, known)]
    if not design.symmetrical:
        return tuple(
            flatten_panel(
                panel,
                limits=limits.in_force,
                grain_angle=design.grain_angle,
                room=design.room,
                known=attainable,
                accuracy=accuracy,
            )
            for panel, attainable in zip(panels, had, strict=True)
        )
    found: dict[int, FlatPanel] = {}
    for mates in mates_of(panels):
        numbers = sorted(set(mates))
        flats = flatten_symmetric(
            [panels[i] for i in numbers],
            mated_boundaries(panels[mates[0]], panels[mates[1]]),
            limits=limits.in_force,
            grain_angle=design.grain_angle,
            room=design.room,
            known=[had[i] for i in numbers],
            accuracy=accuracy,
        )
        found |= dict(zip(numbers, flats, strict=True))
    return tuple(found[i] for i in range(len(panels)))


def fitted(
    design: Design, alone: Sequence[FlatPanel], *, limits: LeatherLimits
) -> tuple[tuple[FlatPanel, ...], tuple[Evened, ...]]:
    """Panels that were laid flat each by itself, fitted to each other, and what it took to make them symmetrical where
    that is asked for.

    Both sides of a stitched or riveted seam are made equally long, and a piece that lies over itself is parted, where
    the limits allow it.

    Raises UnwrapError where one cannot be made symmetrical, PatternError where a seam's holes cannot be.
    """
    insets = rows_inside(design.fastenings, design.wear.thickness)
    level = seams_made_equal(alone, limits=limits.in_force, insets=insets)
    flats = overlaps_undone(level, limits=limits.in_force, insets=insets)
    return evened(flats) if design.symmetrical else (flats, ())


def panel_reports(
    design: Design,
    flats: Sequence[FlatPanel],
    *,
    neutral: Neutral,
    limits: LeatherLimits,
    forming: Sequence[Forming | None] = (),
) -> tuple[PanelReport, ...]:
    """What each flat panel asks of its leather, on the neutral surface that it was cut from; `forming` is what each
    does when it is let go, empty where that is not looked at.

    Raises StretchError where a face is turned over, LeatherError where a panel bends more sharply than its leather can.
    """
    kind, wear = design.limb.kind, design.wear
    found = []
    for flat, let_go in zip_longest(flats, forming):
        stretch = stretch_report(flat, kind=kind, limits=limits)
        bend = tightest_bend(flat.panel, surface=neutral.surface, thickness=wear.thickness, neutral=wear.neutral)
        found.append(PanelReport(flat, stretch, bend, least_spread=None, fits_girth=None, forming=let_go))
    return tuple(found)


def pieces_of(laid: Laid, *, language: Language = ENGLISH) -> Drawn:
    """The pieces that are cut from leather laid flat: larger than it by what the leather shrinks in drying
    and in hardening.

    What is written on them is of a language.

    Raises UnwrapError where a dart does not open when flat, PatternError where a piece cannot be drawn, LimbError where
    the limb has no widest place, whose ring is drawn.
    """
    check_dart_openings(panel.flat for panel in (*laid.panels, *laid.lined.panels))
    own, joins = _drawn_all(laid, opposite=False, language=language)
    mirrored = _drawn_all(laid, opposite=True, language=language)[0] if laid.design.mirrored else ()
    return Drawn(own, mirrored, joins)


def _drawn_all(laid: Laid, *, opposite: bool, language: Language) -> tuple[tuple[Piece, ...], tuple[Join, ...]]:
    """The pieces of all panels, the base's first, and how the base's close."""
    flats = [cut_larger(panel.flat, panel.stretch.limits.lost) for panel in (*laid.panels, *laid.parts)]
    count = len(laid.panels)
    added = laid.added or (NOTHING,) * len(flats)
    base = drawn(
        laid.design,
        flats[:count],
        even=laid.even,
        added=added[:count],
        untooled=_beyond_tooling(laid) if laid.design.tooling else (),
        opposite=opposite,
        language=language,
    )
    parts = (
        drawn(laid.design, (flat,), even=(), added=(more,), part=panel, opposite=opposite, language=language).pieces
        for panel, flat, more in zip(laid.parts, flats[count:], added[count:], strict=True)
    )
    linings = _linings_drawn(laid, opposite=opposite, language=language) if laid.lined.panels else ()
    return (*base.pieces, *(piece for pieces in parts for piece in pieces), *linings), base.joins


def _beyond_tooling(laid: Laid) -> tuple[Floats, ...]:
    """How far the vertices of each of the base's panels lie beyond what tooling takes."""
    wear = laid.design.wear
    return tuple(
        beyond_tooling(
            panel.flat,
            limits=panel.stretch.limits.in_force,
            surface=laid.neutral.surface,
            thickness=wear.thickness,
            neutral=wear.neutral,
        )
        for panel in laid.panels
    )


def _linings_drawn(laid: Laid, *, opposite: bool, language: Language) -> tuple[Piece, ...]:
    """The pieces of the lining: larger than the leather by its allowance, and without the leather's holes."""
    flats = [panel.flat for panel in laid.lined.panels]
    first = laid.lined.panels[0]
    return drawn(laid.design, flats, even=laid.lined.even, part=first, opposite=opposite, language=language).pieces


def drawn(
    design: Design,
    flats: Sequence[FlatPanel],
    *,
    even: Sequence[Evened],
    added: Sequence[Added] = (),
    untooled: Sequence[Floats] = (),
    part: PanelReport | None = None,
    opposite: bool = False,
    sheet: str | None = None,
    language: Language = ENGLISH,
) -> Pattern:
    """The pieces of the design's limb, or their mirror images for the `opposite` one: the base's, or a `part`'s.

    `added` is what each piece has beside its seams' holes, and `untooled` where it is not to be tooled, as for
    `pattern_from`; `sheet` is what it is of where it is no leather.

    Raises PatternError where one cannot be drawn, LimbError where the limb has no widest place, whose ring is drawn.
    """
    limb = design.limb
    sides = ("left", "right")
    side = sides[(limb.side == "left") == opposite]
    lining = part is not None and part.part == "lining"
    return pattern_from(
        flats,
        TitleBlock(
            design.title,
            side,
            design.wear.thickness if part is None else part.bend.thickness,
            design.piece or name(limb.kind.piece, language),
            "base" if part is None else part.part,
            design.lining.allowance if lining and design.lining is not None else 0.0,
            design.wear.lining if part is None else 0.0,
            sheet,
        ),
        mirrored=limb.frame.mirrored != opposite,
        fastenings=NO_WISHES if lining else design.fastenings,
        girths=[Landmark(limb.kind.widest, limb.height_of("widest"))],
        even=even,
        added=added,
        edging=design.edging,
        kind=limb.kind,
        beyond_tooling=untooled,
        joints=lambda outline: joints_on(outline, design.printing),
        language=language,
    )


def worn_as(design: Design, worn: LimbSurface, *, points: Floats | None = None) -> Wearing:
    """How the pieces on the neutral surface `worn` are put on and worn.

    `points` (N,3) are the scan's, limb coordinates mm, for the foot or hand among them.

    Raises CutError where the edges leave no height between them, LimbError where the limb has no widest place.
    """
    return wearing_of(
        design.limb,
        design.skin,
        worn,
        cuts=design.cuts,
        wear=design.wear,
        hardened=design.hardened,
        points=points,
    )
