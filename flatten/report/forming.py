"""How a job's leather is formed: cased, where it must give and in which order, tied, dried, hardened."""

from __future__ import annotations

import numpy as np

from flatten.findings import Message, message
from flatten.leather.amount import leather_mass
from flatten.leather.giving import Giving
from flatten.limb.kind import LimbKind, quarter_at
from flatten.pattern.model import Piece
from flatten.report.cutting import piece_area
from flatten.report.letting_go import held_down
from flatten.report.limbs import of_each
from flatten.report.model import JobReport, LimbReport

SOAKING = (2.0, 5.0)
"""Minutes in water for each mm of thickness, until no more bubbles rise. From memory; leathers differ widely."""

DRYING = (24.0, 48.0)
"""Hours in which leather of DRIED_BY mm dries in a room: a strip in the home stretch test takes a day, and a piece that
lies on its former gives off water on one side alone. From memory; thicker leather takes longer, in proportion."""

DRIED_BY = 3.2
"""mm."""

UP, ROUND = np.cos(np.radians(30.0)), np.cos(np.radians(60.0))
"""Share of a line that leads up the limb from which on it runs up the limb, and below which it runs round it."""

HARDENED = (0.10, 0.125)
"""Share of its length that leather loses in water of 76 to 82 °C within 30 to 80 s. [published: D. Friedman, "The
Perfect Armor Improved": 7/8 of the length is left; practice: a tenth is lost]"""


def formed_wet(report: JobReport) -> bool:
    """Whether a job's leather is cased: not where it is held to what leather takes dry."""
    limits = [panel.stretch.limits for panel in report.panels]
    return any(own.in_force != own.dry for own in limits)


def casing(report: JobReport) -> list[Message]:
    """How the pieces are cased; nothing where they are formed dry."""
    if not formed_wet(report):
        return []
    told = [message("order.weigh", mass=_mass(report))]
    thickness = tuple(dict.fromkeys(piece.thickness for piece in formed_pieces(report)))
    least, most = (tuple(rate * own for own in thickness) for rate in SOAKING)
    told.append(message("order.soak", thickness=thickness, least=least, most=most))
    return [*told, message("order.rest")]


def forming(report: JobReport) -> list[Message]:
    """Over what the pieces are formed, and where they must give, in the order in which that is done."""
    wear = report.wear
    own = bool(report.formers)
    told = [message("order.form", wet=formed_wet(report), least=min(wear.under), most=max(wear.under), own=own)]
    told += of_each(report.limbs, _places)
    if any(limb.mirrored for limb in report.limbs):
        told.append(message("order.likewise"))
    rows = dict.fromkeys(moved.row.name for limb in report.limbs for moved in limb.rows)
    told += [message("order.form lames", name=name) for name in rows]
    return [*told, *of_each(report.limbs, _lips), *_springback(report)]


def _places(limb: LimbReport) -> list[Message]:
    """Where a limb's pieces bend most, and then each place where one must give."""
    told = []
    names = limb.names if len(limb.names) > 1 else (None,) * len(limb.names)
    for panel, name, gives in zip(limb.panels, names, limb.gives, strict=True):
        if panel.part == "lining":
            continue
        bend, kind = panel.bend, limb.limb.kind
        beneath = next((one.on for one in limb.held if one.part == panel.flat.panel.name), None)
        if beneath is not None and name is not None:
            told.append(message("order.form over", piece=name, on=beneath))
        told.append(message("order.bend", piece=name, where=_at(bend.height, bend.bearing, kind), radius=bend.radius))
        told += [_gives(give, number, kind) for number, give in enumerate(gives, 1)] or [message("order.gives little")]
    return told


def _gives(give: Giving, number: int, kind: LimbKind) -> Message:
    """One place where the leather must give: how far over which length, and which way."""
    return message(
        "order.gives",
        number=number,
        where=_at(give.spot.height, give.spot.bearing, kind),
        grows=give.grows,
        length=give.length,
        way="up" if give.up >= UP else "round" if give.up <= ROUND else "slanting",
        most=give.spot.stretch - 1.0,
    )


def _at(height: float, bearing: float, kind: LimbKind) -> Message:
    """A place on a limb: its side, and towards which other side it lies where it is nearer to that than to the middle
    of its own."""
    quarter = quarter_at(bearing)
    off = float(np.mod(bearing - quarter * np.pi / 2 + np.pi, 2 * np.pi) - np.pi)
    beside = kind.sides[(quarter + (1 if off > 0.0 else -1)) % 4]
    return message(
        "order.at",
        zero=kind.zero_name,
        side=kind.sides[quarter],
        beside=beside if abs(off) > np.pi / 8 else None,
        height=height,
    )


def _lips(limb: LimbReport) -> list[Message]:
    return [
        message("order.lip", edge=rim.edge, flare=rim.flare, depth=rim.depth, worn=rim.worn, flat=rim.flat)
        for rim in limb.rims
    ]


def _springback(report: JobReport) -> list[Message]:
    """How far leather springs back that a strip test was made of; nothing where none tells."""
    test = report.limbs[0].panels[0].stretch.limits.test
    read = [] if test is None or not formed_wet(report) else [each for each in test.springback if each is not None]
    return (
        [message("order.springs back", least=min(r.mean for r in read), most=max(r.mean for r in read))] if read else []
    )


def tying(report: JobReport) -> list[Message]:
    """Where the pieces are tied or clamped until they are dry; nothing where they are formed dry."""
    if not formed_wet(report):
        return []

    def of_one(limb: LimbReport) -> list[Message]:
        lifts = [lift for lifts in limb.lifts for lift in lifts]
        worst_first = sorted(lifts, key=lambda lift: -lift.pull)
        return [message("order.tie", where=_at(lift.height, lift.bearing, limb.limb.kind)) for lift in worst_first]

    told = of_each(report.limbs, of_one)
    wound = [message("order.wrap")] if any(held_down(limb) for limb in report.limbs) else []
    return [message("order.tie rims"), *([message("order.pulled off"), *told] if told else []), *wound]


def drying(report: JobReport) -> list[Message]:
    """How long the pieces dry, how that is seen, and what they shrink by; nothing where they are formed dry."""
    if not formed_wet(report):
        return []
    thickest = max(piece.thickness for piece in formed_pieces(report))
    least, most = (hours * max(1.0, thickest / DRIED_BY) for hours in DRYING)
    told = [message("order.dry", thickness=thickest, least=least, most=most, mass=_mass(report))]
    limits = report.limbs[0].panels[0].stretch.limits
    along, across = limits.shrinkage
    if not (along or across):
        return told
    return [*told, message("order.shrinks", along=along, across=across, hardened=any(limits.hardening))]


def hardening(report: JobReport) -> list[Message]:
    """What to know before leather is hardened by heat; nothing where the job does not harden it."""
    along, across = report.limbs[0].panels[0].stretch.limits.hardening
    if along or across:
        return [message("order.harden to size", along=along, across=across)]
    return [message("order.harden", least=HARDENED[0], most=HARDENED[1])] if report.hardened else []


def formed_pieces(report: JobReport) -> list[Piece]:
    """The pieces that are formed: all but linings."""
    return [piece for piece in report.cut if piece.part != "lining"]


def _mass(report: JobReport) -> float:
    """What the pieces weigh before they are cased, g."""
    return sum(leather_mass(piece_area(piece), thickness=piece.thickness) for piece in formed_pieces(report))
