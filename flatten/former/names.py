"""What the files of formers are called."""

from __future__ import annotations

from collections.abc import Sequence

from flatten.former.model import Former


def part_names(former: Former, formers: Sequence[Former]) -> tuple[str, ...]:
    """The files of a former's parts: former.stl, of several parts former_1.stl and so on from the bottom up, of the
    formers for two sides former_left.stl."""
    stem = f"former{_of_side(former, formers)}"
    if len(former.parts) == 1:
        return (f"{stem}.stl",)
    return tuple(f"{stem}_{number}.stl" for number in range(1, len(former.parts) + 1))


def rib_names(former: Former, formers: Sequence[Former]) -> tuple[str, str]:
    """The drawing and the sheets of a former's ribs."""
    stem = f"former-ribs{_of_side(former, formers)}"
    return f"{stem}.dxf", f"{stem}.pdf"


def _of_side(former: Former, formers: Sequence[Former]) -> str:
    return f"_{former.side}" if len(formers) > 1 else ""
