"""What the report's folded parts tell while they are folded: the main figure of each."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.findings import Finding, Message, message
from flatten.leather.messages import WASTE_SHARE
from flatten.report.cutting import amounts, piece_area, piece_size
from flatten.report.messages import girth_name, landmark_girths
from flatten.report.model import JobReport


@dataclass(frozen=True)
class Folds:
    """The figure beside each folded part's heading; None for a part that the job has not."""

    look: Message
    buy: Message
    mockup: Message | None
    fittings: Message
    pieces: Message
    ornament: Message
    order: Message
    former: Message
    closing: Message
    fits: Message | None
    regions: Message
    binding: Message | None
    girths: Message
    scan: Message
    settings: Message
    curious: Message


def folds_of(report: JobReport, *, found: tuple[Finding, ...], steps: int) -> Folds:
    """The figures of a job's folded parts; `found` is what there is to look at, `steps` the order of work's length.

    Raises LeatherError where a leather has no thickness.
    """
    first, wear = report.limbs[0], report.wear
    looks = sum(each.severity == "look" for each in found)
    largest = max(report.cut, key=piece_area)
    width, height = piece_size(largest)
    limits = first.panels[0].stretch.limits.in_force
    bounds = [panel.least_spread for panel in first.panels if panel.least_spread is not None]
    named = landmark_girths(first.limb, first.girths)
    return Folds(
        look=message("fold.look", looks=looks, notes=len(found) - looks),
        buy=_buy(report),
        mockup=None
        if first.mockup is None
        else message("fold.mock-up", sheet=first.mockup.sheet, thickness=first.mockup.thickness),
        fittings=message("fold.count", count=max(len(limb.fittings) for limb in report.limbs)),
        pieces=message("fold.pieces", count=len(report.cut), width=width, height=height),
        ornament=message(
            "fold.ornament",
            area=sum(each.size.area for limb in report.limbs for each in limb.ornaments),
            motifs=sum(len(each.motifs) for limb in report.limbs for each in limb.ornaments),
        ),
        order=message("fold.steps", count=steps),
        former=message(
            "fold.former",
            parts=sum(len(former.parts) for former in report.formers),
            ribs=sum(len(former.ribs.ribs) for former in report.formers if former.ribs is not None),
        ),
        closing=message("fold.closing", ways=_ways(report)),
        fits=None
        if first.wearing is None or first.wearing.fit is None
        else message("fold.fits", least=first.wearing.fit.least, most=first.wearing.fit.most),
        regions=message(
            "fold.regions",
            stretch=min(limits.stretch_along, limits.stretch_across),
            squeeze=min(limits.squeeze_along, limits.squeeze_across),
        ),
        binding=next((panel.binding.cause for panel in first.panels if panel.binding is not None), None),
        girths=message(
            "fold.girths",
            names=tuple(message("fold.girth", girth=girth_name(first.limb, each), length=each.tape) for each in named),
        ),
        scan=message("fold.scan", unit=first.scan.unit, done=len(first.scan.repairs)),
        settings=message("fold.settings", thickness=wear.thickness, under=max(wear.under), ease=wear.ease),
        curious=message("fold.curious", least=max(bounds) if bounds else None),
    )


def _ways(report: JobReport) -> tuple[str, ...]:
    """How pieces are joined, each way once."""
    return tuple(dict.fromkeys(join.kind for limb in report.limbs for join in (*limb.joins, *limb.fastened)))


def _buy(report: JobReport) -> Message:
    """Leather of each thickness and how much hardware, in a line."""
    leather = tuple(
        message("fold.leather", area=each.area * (1.0 + WASTE_SHARE), thickness=each.thickness)
        for each in amounts(report.cut)
    )
    counts: dict[str, int] = {}
    for one in report.shopping:
        counts[one.name] = counts.get(one.name, 0) + one.count
    hardware = tuple(message("fold.item", item=name, count=count) for name, count in counts.items())
    return message("fold.buy", leather=leather, hardware=hardware)
