"""Everything to buy for a job in one list: leather, what it is closed with, what it is formed on."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flatten.findings import Message, message
from flatten.leather.messages import WASTE_SHARE
from flatten.pattern.hardware import Hardware
from flatten.report.cutting import piece_area, piece_size
from flatten.report.hardware import total_message
from flatten.report.model import JobReport
from flatten.report.prices import Measure

MEASURES: Mapping[str, Measure] = MappingProxyType(
    {
        "leather": "area",
        "lining": "area",
        "binding": "area",
        "eyelet": "count",
        "rivet": "count",
        "snap": "count",
        "buckle": "count",
        "strap leather": "length",
        "lace": "count",
        "thread": "length",
        "board": "area",
        "print": "volume",
    }
)
"""Sorts of things to buy in the order of the list, and what each is bought by."""

SPARE_OF = 10
"""One more of what is set with a tool for each so many, and for each part of them: some are spoilt in setting. Common
practice."""

_SET = ("eyelet", "rivet", "snap")
"""What is set with a tool."""


@dataclass(frozen=True)
class Item:
    """One line of the list: of which `sort` (a key of MEASURES), what prices call it, and how it is told.

    `needed` is what the pieces take, `spare` what is bought on top: things, mm, mm² or mm³ by its measure.
    """

    sort: str
    key: str
    needed: float
    spare: float
    told: Message

    @property
    def measure(self) -> Measure:
        """What it is bought by."""
        return MEASURES[self.sort]

    @property
    def buy(self) -> float:
        """What to buy, spares and offcuts with it."""
        return self.needed + self.spare


def shopping_list(report: JobReport) -> tuple[Item, ...]:
    """What to buy for all pieces of all limbs, each thing once, in the order of MEASURES.

    Board is that of the rectangles round a former's ribs and spines, a print's volume that of its closed bodies.
    """
    items = [*_leather(report), *(_hardware(one) for one in report.shopping), *_former(report)]
    order = list(MEASURES)
    return tuple(sorted(items, key=lambda item: order.index(item.sort)))


def thickness_key(sort: str, thickness: float) -> str:
    """What prices call leather, or board, of a thickness, "leather 3.2 mm": to a tenth of a millimetre, as 8 oz are."""
    return f"{sort} {thickness:.1f} mm"


def _leather(report: JobReport) -> list[Item]:
    """Leather, linings and bindings by thickness, with the share that is lost in offcuts."""
    areas = {
        **_summed(
            ("lining" if piece.part == "lining" else "leather", piece.thickness, piece_area(piece))
            for piece in report.cut
        ),
        **_summed(
            ("binding", one.thickness, one.length * one.width)
            for piece in report.cut
            for one in piece.finished
            if one.kind == "bound"
        ),
    }
    return [
        _sheet(sort, thickness_key(sort, thickness), area, thickness, WASTE_SHARE * area)
        for (sort, thickness), area in areas.items()
    ]


def _sheet(sort: str, key: str, area: float, thickness: float, spare: float) -> Item:
    told = message("shopping.sheet", sort=sort, thickness=thickness, area=area, bought=area + spare)
    return Item(sort, key, area, spare, told)


def _summed(found: Iterable[tuple[str, float, float]]) -> dict[tuple[str, float], float]:
    """Areas by sort and thickness, to a tenth of a millimetre, in the order in which each first appears."""
    areas: dict[tuple[str, float], float] = {}
    for sort, thickness, area in found:
        key = (sort, round(thickness, 1))
        areas[key] = areas.get(key, 0.0) + area
    return areas


def _hardware(one: Hardware) -> Item:
    """One sort of hardware in all: counted, with spares, or as long as it is cut from."""
    told = total_message(one)
    if MEASURES[one.name] == "length":
        return Item(one.name, hardware_key(one), one.length, one.sold - one.length, told)
    spare = -(-one.count // SPARE_OF) if one.name in _SET else 0
    return Item(one.name, hardware_key(one), one.count, spare, told)


def hardware_key(one: Hardware) -> str:
    """What prices call hardware, by what a shop asks for: what is set into holes by the hole and its barrel or post."""
    return {
        "eyelet": f"eyelet {one.hole:g} x {one.sold:g} mm",
        "rivet": f"rivet {one.hole:g} x {one.sold:g} mm",
        "snap": f"snap {one.hole:g} x {one.sold:g} mm",
        "buckle": f"buckle {one.width:g} mm",
        "strap leather": f"strap leather {one.width:g} mm",
        "lace": f"lace {one.sold:.0f} mm",
        "thread": "thread",
    }[one.name]


def _former(report: JobReport) -> list[Item]:
    """What formers are made of: board for ribs, and what is printed."""
    items = []
    boards = _summed(
        ("board", former.plan.board, width * height)
        for former in report.formers
        if former.ribs is not None
        for width, height in map(piece_size, (*former.ribs.ribs, *former.ribs.spines))
    )
    for (sort, thickness), area in boards.items():
        items.append(_sheet(sort, thickness_key(sort, thickness), area, thickness, 0.0))
    volume = sum(part.volume for former in report.formers for part in former.parts)
    if volume:
        items.append(Item("print", "print", volume, 0.0, message("shopping.print", volume=volume)))
    return items
