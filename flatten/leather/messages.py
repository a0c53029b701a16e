"""What is told of a leather, of what it takes and of what is asked of it."""

from __future__ import annotations

from flatten.findings import Finding, Message, Place, finding, message
from flatten.leather.bending import LEAST_RADIUS
from flatten.leather.lips import FlaredRim
from flatten.leather.model import Bend, LeatherLimits, Reading, Region, Spot, StretchReport, StripTest
from flatten.leather.waves import WINDOW, Wave
from flatten.limb.kind import LimbKind
from flatten.unwrap.model import Limits

NO_STRETCH = 0.0005
"""Share of stretch or squeeze that is told as none: it would be written as 0.0 %."""


def verdict_message(report: StretchReport) -> Message:
    """Whether the leather takes the shape of one panel."""
    return message("leather.verdict", verdict=report.verdict, fits=report.fits)


def limits_finding(report: StretchReport, *, piece: str | Message | None) -> Finding | None:
    """That a panel asks for more than the limits in force; None where it does not. `piece` names it where there are
    several."""
    if report.fits:
        return None
    return finding("leather.over limits", "stop", place=Place(part=report.panel), piece=piece, verdict=report.verdict)


def hardening_findings(limits: LeatherLimits) -> tuple[Finding, ...]:
    """That pieces are cut larger by what hardening takes off, to be tried on a scrap first; none where they are not."""
    along, across = limits.hardening
    return (finding("leather.hardening", "look", along=along, across=across),) if along or across else ()


def stretch_message(report: StretchReport, *, piece: str | Message | None = None) -> Message:
    """Stretch and squeeze of one panel, and its share beyond the limits; `piece` names it where there are several."""
    stretch, squeeze = report.most.stretch - 1.0, 1.0 - report.least.stretch
    return message(
        "leather.stretch",
        piece=piece,
        stretch=stretch if stretch >= NO_STRETCH else None,
        stretched=_spot(report.most, report.kind),
        squeeze=squeeze if squeeze >= NO_STRETCH else None,
        squeezed=_spot(report.least, report.kind),
        beyond=report.over_share,
        fits=report.fits,
    )


def _spot(spot: Spot, kind: LimbKind) -> Message:
    return message("at place", zero=kind.zero_name, side=spot.side, height=spot.height)


def region_name(region: Region) -> Message:
    """What a region is called."""
    return message("leather.region", side=region.side, level=region.level)


def region_figures(region: Region) -> tuple[Message, Message, Message]:
    """Growth of a region along the grain and across it, and its share beyond the limits."""
    return (
        message("leather.stretch range", low=region.along_min, high=region.along_max),
        message("leather.stretch range", low=region.across_min, high=region.across_max),
        message("leather.beyond", share=region.over_share),
    )


def asked_message(region: Region) -> Message:
    """The least and the greatest growth in a region, along the grain or across it."""
    low, high = min(region.along_min, region.across_min), max(region.along_max, region.across_max)
    return message("leather.stretch range", low=low, high=high)


def formed_message(region: Region) -> Message:
    """How a region can be formed, in a few words."""
    return message("leather.formed", verdict=region.verdict)


def limits_message(limits: Limits) -> Message:
    """The limits in force and where they come from."""
    return message(
        "leather.limits",
        stretch_along=limits.stretch_along,
        stretch_across=limits.stretch_across,
        squeeze_along=limits.squeeze_along,
        squeeze_across=limits.squeeze_across,
        source=limits.source,
    )


def strip_messages(test: StripTest) -> tuple[Message, ...]:
    """What the home stretch test found: the load, and each figure that was read."""
    figures = (
        ("dry", test.dry),
        ("wet", test.wet),
        ("kept", test.kept),
        ("springback", test.springback),
        ("shrinkage", test.shrinkage),
        ("hardening", test.hardening),
    )
    load = message("leather.strips", width=test.width, thickness=test.thickness, load=test.load_kg, stress=test.stress)
    return (
        load,
        *(
            message("leather.strips found", what=what, along=_reading(along), across=_reading(across))
            for what, (along, across) in figures
            if along is not None or across is not None
        ),
    )


def _reading(reading: Reading | None) -> Message | None:
    if reading is None:
        return None
    return message(
        "leather.reading", mean=reading.mean, least=reading.least, greatest=reading.greatest, strips=reading.strips
    )


def least_message(
    least: float, spread: float, *, cause: Message | None = None, piece: str | Message | None = None
) -> Message:
    """What no pattern with these cuts can do without, beside what this one asks for (both log-ratios).

    `cause` is what asks for it; `piece` names the piece where there are several.
    """
    return message("leather.least", piece=piece, spread=spread, least=least, cause=cause)


def bend_message(bend: Bend, *, kind: LimbKind) -> Message:
    """The tightest bend round the limb against the leather's thickness."""
    return message(
        "leather.bend",
        where=kind.at(bend.height, bend.bearing),
        radius=bend.radius,
        judged=bend_judged(bend.radius, thickness=bend.thickness),
    )


def bend_finding(bend: Bend, *, kind: LimbKind, piece: str | Message | None) -> Finding | None:
    """That a panel bends more sharply round the limb than even cased leather takes; None where it does not.

    `piece` names it where there are several.
    """
    if bend.radius >= LEAST_RADIUS["cased"] * bend.thickness:
        return None
    return finding(
        "leather.too tight",
        "stop",
        place=kind.place(height=bend.height, bearing=bend.bearing),
        piece=piece,
        where=kind.at(bend.height, bend.bearing),
        radius=bend.radius,
        thicknesses=bend.radius / bend.thickness,
        takes=bend.radius / LEAST_RADIUS["cased"],
    )


def bend_judged(radius: float, *, thickness: float) -> Message:
    """An inside radius of a bend as a multiple of the leather's thickness, and whether leather takes it."""
    share = radius / thickness
    way = "dry" if share >= LEAST_RADIUS["dry"] else "cased" if share >= LEAST_RADIUS["cased"] else "not"
    return message("leather.bend judged", thicknesses=share, bends=way)


def lip_message(rim: FlaredRim, *, thickness: float) -> Message:
    """What a flared lip asks of the leather, along its rim and where it leaves the limb."""
    return message(
        "leather.lip",
        edge=rim.edge,
        flare=rim.flare,
        depth=rim.depth,
        worn=rim.worn,
        flat=rim.flat,
        radius=rim.radius,
        judged=bend_judged(rim.radius, thickness=thickness),
    )


def wave_finding(wave: Wave, *, piece: str, flared: bool, kind: LimbKind) -> Finding:
    """An edge of a flat piece that comes out in waves; `flared` where it is a lip's."""
    return finding(
        "leather.waves",
        "look",
        place=kind.place(height=wave.height, bearing=wave.bearing, part=wave.edge),
        edge=wave.edge,
        piece=piece,
        window=WINDOW,
        size=wave.size,
        where=kind.at(wave.height, wave.bearing),
        flared=flared,
    )


def amount_message(area: float, *, mass: float, thickness: float) -> Message:
    """How much leather to buy for pieces of `area` mm² together, and what they weigh."""
    return message("leather.amount", area=area, thickness=thickness, mass=mass, bought=area * (1 + WASTE_SHARE))


WASTE_SHARE = 0.25
"""Share of the pieces' area that is bought on top, for offcuts and flaws of the hide. From memory."""
