"""The parts beside a design's base, on it or beneath it: laid flat, and what they add to every piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from flatten.findings import Finding, finding
from flatten.job.design import Design
from flatten.job.laming import lames_laid
from flatten.job.plating import check_apart, choices, grounds_of, placed, riveted
from flatten.leather.bending import tightest_bend
from flatten.leather.model import LeatherLimits
from flatten.leather.stretch import stretch_report
from flatten.mesh.surface import Floats
from flatten.pattern.added import NOTHING, Added
from flatten.pattern.ground import Ground
from flatten.pattern.model import Attachment, Join
from flatten.report.model import MovedRow, PanelReport
from flatten.unwrap.dart_openings import check_dart_openings
from flatten.unwrap.limits import TO_CUT, Accuracy
from flatten.unwrap.model import Attainable, FlatPanel
from flatten.unwrap.panel import flatten_panel
from flatten.worn.neutral import Neutral
from flatten.worn.part import Part
from flatten.worn.plates import plate_panel


@dataclass(frozen=True, eq=False)
class Beside:
    """The parts beside the base's panels, and how they are held.

    `added` are the holes and lines that they want, one for each panel of the base and then for each part. `rows` are
    those of lames, and `joins` what is bought for all.
    """

    parts: tuple[PanelReport, ...]
    added: tuple[Added, ...]
    held: tuple[Attachment, ...]
    rows: tuple[MovedRow, ...] = ()
    joins: tuple[Join, ...] = ()


def parts_beside(
    design: Design,
    base: Sequence[FlatPanel],
    *,
    neutral: Neutral,
    limits: LeatherLimits,
    edge_length: float,
    known: Attainable | None = None,
    accuracy: Accuracy = TO_CUT,
) -> Beside:
    """The parts that a design has beside its base, which is laid flat as `base`; meshes, `known` and `accuracy` are as
    for it.

    Raises PlateError where a plate cannot lie where it is asked for, LameError where a row of lames cannot,
    PatternError where rivets have no room or the base lies over itself, UnwrapError where a part cannot be laid flat or
    a dart beneath parts does not open, StretchError where a face is turned over, LeatherError where one bends more
    sharply than its leather can.
    """
    surface, share = neutral.surface, design.wear.neutral
    grounds: list[Ground] = []
    if design.plates or design.lames:
        check_dart_openings(base)
        grounds += grounds_of(design, base)
    added = [NOTHING] * len(base)
    parts: list[PanelReport] = []
    held: list[Attachment] = []
    lying: dict[int, dict[str, Floats]] = {}
    for settings in design.plates:
        thickness = design.wear.thickness if settings.thickness is None else settings.thickness
        plate, ground = placed(settings, choices(settings, grounds), thickness=thickness)
        there = lying.setdefault(ground.number, {})
        check_apart(there, plate.name, plate.chart, ground)
        there[plate.name] = plate.chart
        beyond = ground.panel.beyond + (1.0 - share) * ground.thickness + share * thickness
        panel = plate_panel(surface, plate, on=ground.panel, beyond=beyond, edge_length=edge_length)
        report = part_laid(
            design, Part("plate", panel, thickness), neutral=neutral, limits=limits, known=known, accuracy=accuracy
        )
        rivets = riveted(report.flat, ground, settings, plate=plate, surface=surface)
        added[ground.number] += rivets.under
        added.append(rivets.own)
        keep = (rivets.keep,) * len(panel.boundaries)
        grounds.append(Ground(report.flat, thickness, len(base) + len(parts), keep, "plate"))
        parts.append(report)
        held.append(rivets.held)
    joins = tuple(one.join for one in held)
    if not design.lames:
        return Beside(tuple(parts), tuple(added), tuple(held), joins=joins)

    def lay(part: Part) -> PanelReport:
        return part_laid(design, part, neutral=neutral, limits=limits, known=known, accuracy=accuracy)

    lames = lames_laid(design, grounds[: len(base)], surface, edge_length=edge_length, lay=lay)
    for number, more in lames.on_base.items():
        added[number] += more
    return Beside((*parts, *lames.parts), (*added, *lames.added), tuple(held), lames.rows, (*joins, *lames.joins))


def plate_findings(design: Design) -> tuple[Finding, ...]:
    """What is to be known of a design's plates: they follow the limb where the base's halves are made equal."""
    if not (design.symmetrical and design.plates):
        return ()
    return (finding("part.own shape", "note", plates=tuple(plate.name for plate in design.plates)),)


def part_laid(
    design: Design,
    part: Part,
    *,
    neutral: Neutral,
    limits: LeatherLimits,
    known: Attainable | None = None,
    accuracy: Accuracy = TO_CUT,
) -> PanelReport:
    """A part beside the base laid flat by itself within the limits, and what it asks of its leather.

    Raises UnwrapError where it cannot be laid flat, StretchError where a face is turned over, LeatherError where it
    bends more sharply than its leather can.
    """
    flat = flatten_panel(
        part.panel,
        limits=limits.in_force,
        grain_angle=design.grain_angle,
        room=design.room,
        known=known,
        accuracy=accuracy,
    )
    stretch = stretch_report(flat, kind=design.limb.kind, limits=limits)
    bend = tightest_bend(part.panel, surface=neutral.surface, thickness=part.thickness, neutral=design.wear.neutral)
    return PanelReport(flat, stretch, bend, least_spread=None, fits_girth=None, part=part.kind)
