"""What the command line may say about a scan, shared by the verbs that read one."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

import click

from flatten.job.settings import AUTO
from flatten.limb.kind import KINDS, SIDES
from flatten.units import MM_PER_UNIT, NO_UNIT

Verb = TypeVar("Verb", bound=Callable[..., Any])


def _vector(ctx: click.Context, param: click.Parameter, value: str) -> Any:
    """ "auto", or three numbers with commas between as a tuple."""
    if value == "auto":
        return value
    try:
        x, y, z = (float(part) for part in value.split(","))
    except ValueError:
        raise click.BadParameter(f"'{value}' is no direction or point; write three numbers such as 0,0,1") from None
    return (x, y, z)


def _joint(ctx: click.Context, param: click.Parameter, value: str) -> Any:
    """ "auto", a height as it is, or three numbers with commas between as a point."""
    return value if value.count(",") < 2 else {"point": _vector(ctx, param, value)}


def _tapes(ctx: click.Context, param: click.Parameter, value: tuple[str, ...]) -> tuple[dict[str, str], ...]:
    """Girths, each with its place in front where it is not the widest: "392 mm", "ankle=228 mm", "120 mm=260 mm"."""
    parts = (entry.rpartition("=") for entry in value)
    return tuple({"at": place or "widest", "girth": girth} for place, _, girth in parts)


def scan_options(verb: Verb) -> Verb:
    """Add the options about a scan, --limb to --tape, to a verb; they arrive as keys of the [scan] table."""
    for option in (
        click.option(
            "--tape",
            metavar="[PLACE=]GIRTH",
            multiple=True,
            callback=_tapes,
            help="A girth by tape, once for each: '392 mm' at the widest, 'ankle=228 mm', '120 mm=260 mm' (height).",
        ),
        click.option(
            "--joint",
            metavar="HEIGHT|X,Y,Z",
            default="auto",
            callback=_joint,
            help="Where knee or elbow are, where the scan does not show it: '247 mm' by tape from ankle or wrist, or a "
            "point on the kneecap or the elbow.",
        ),
        click.option(
            "--front",
            metavar="X,Y,Z",
            default="auto",
            callback=_vector,
            help="Where the front looks, in the scan's own axes; found from the foot or hand where not said.",
        ),
        click.option(
            "--pick",
            metavar="X,Y,Z",
            default="auto",
            callback=_vector,
            help="A point on the limb, in the file's own unit and axes, where the scan shows several.",
        ),
        click.option(
            "--unit",
            type=click.Choice(["auto", *MM_PER_UNIT, NO_UNIT]),
            default="auto",
            help="Unit of the file; none: it has no size of its own, and tapes give it.",
        ),
        click.option(
            "--side",
            type=click.Choice([AUTO, *SIDES]),
            default=AUTO,
            show_default=True,
            help="The wearer's left or right limb; told by foot or hand where not said, or assumed.",
        ),
        click.option(
            "--limb",
            type=click.Choice([AUTO, *KINDS]),
            default=AUTO,
            show_default=True,
            help="Which limb; told by foot or hand where not said, or assumed.",
        ),
    ):
        verb = option(verb)
    return verb
