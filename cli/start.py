"""`calfskin start SCAN`: a job file for a scan, with suggestions and what each setting means."""

from __future__ import annotations

import json
import os
import shlex
from pathlib import Path
from typing import Any

import click

from cli.files import write_files
from cli.options import scan_options
from cli.progress import Times, shown_steps
from cli.template import AUTO_EDGES, TAPE, TEXT
from flatten.errors import CalfskinError
from flatten.findings import gravest_first, message
from flatten.job.amounts import length_text
from flatten.job.points import Point
from flatten.job.resolve import edges_of
from flatten.job.settings import AUTO, Job
from flatten.job.text import job_from, job_of
from flatten.limb.girths.girth import Girth, girth_table
from flatten.limb.kind import QUARTERS, USUAL, DistalLimb, LimbKind, kind_named
from flatten.limb.model import FrontError
from flatten.measuring import Found, measure
from flatten.words import say
from flatten.worn.panel import CutError


class StartError(CalfskinError, FileExistsError):
    """The job file to write is already there."""


@click.command()
@click.argument("scan", type=click.Path(path_type=Path))
@scan_options
@click.option("--job", type=click.Path(path_type=Path), help="The job file to write; by default beside the scan.")
def start(scan: Path, job: Path | None, **known: Any) -> int:
    """Write a job file for SCAN with suggestions that fit the limb, and remarks on every setting.

    A job file that is already there is left as it is.
    """
    target = job or scan.with_suffix(".toml")
    if target.exists():
        raise StartError(f"{target} is already there; change it by hand, or name another with --job")
    base = job_of({"scan": {"file": scan.name, **known}}, name="the command")
    with shown_steps(2, Times()) as announce:
        try:
            found = measure(base.scan, folder=scan.parent, announce=announce)
        except FrontError as error:
            measured, missing_front = None, error.asked
        else:
            measured, missing_front = found, ""
    text = _text(base, target=target, scan=scan, found=measured)
    job_from(text, name=target.name)
    write_files(target.parent, ((target.name, text.encode()),))
    click.echo(say.text(message("terminal.wrote", file=str(target))))
    if missing_front:
        click.echo(say.text(message("start.no front", reason=missing_front)))
    for sentence in say.texts(gravest_first(measured.findings) if measured else ()):
        click.echo(sentence)
    return 0


def _text(base: Job, *, target: Path, scan: Path, found: Found | None) -> str:
    settings = base.scan
    beside = Path(os.path.relpath(scan.resolve(), target.resolve().parent)).as_posix()
    front = settings.front if isinstance(settings.front, tuple) else "auto"
    kind = _kind(base, found)
    return TEXT.format(
        command_name=shlex.quote(target.name),
        found=_remarks(found) if found else "",
        file=json.dumps(beside, ensure_ascii=False),
        unit=found.scan.unit if found and found.scan.unit_from != "guessed" else settings.unit,
        limb=settings.limb,
        side=settings.side,
        front=f'"{front}"' if front == "auto" else list(front),
        joint=_joint(base, kind),
        joint_words=say.name(f"measure joint.{kind.name}"),
        pick="# pick = [0.1, 0.4, 0.2]" if settings.pick == "auto" else f"pick = {list(settings.pick)}",
        tape=_tape(base, found, kind),
        zero=say.name(kind.zero_place),
        sides=_sides(kind),
        at=kind.tape_places[0],
        edges=_edges(base, found),
    )


def _kind(base: Job, found: Found | None) -> LimbKind:
    """The kind that was found; before that the one that was named, or the usual one."""
    if found is not None:
        return found.limb.kind
    return USUAL if base.scan.limb == AUTO else kind_named(base.scan.limb)


def _sides(kind: LimbKind) -> str:
    """The words for the four sides of a limb, its own ones where it has any."""
    own = tuple(name for name in kind.sides if name not in QUARTERS)
    return ", ".join((*QUARTERS, *own))


def _remarks(found: Found) -> str:
    lines = [say.text(message("start.found", side=found.limb.side, kind=found.limb.kind.name))]
    lines += say.texts(
        message("start.girth", girth=girth.name, length=girth.tape, height=girth.height) for girth in _named(found)
    )
    lines += say.texts(found.scan.repairs)
    return "".join(f"# {line}\n" for line in lines)


def _named(found: Found) -> list[Girth]:
    """The girths at the limb's landmarks."""
    names = {mark.name for mark in found.limb.landmarks}
    return [girth for girth in girth_table(found.limb, found.skin) if girth.name in names]


def _tape(base: Job, found: Found | None, kind: LimbKind) -> str:
    if base.scan.tape:
        entries = ("at = {}\ngirth = {}\n".format(*map(json.dumps, (t.at, f"{t.girth:g} mm"))) for t in base.scan.tape)
        return "".join(f"[[scan.tape]]\n{entry}" for entry in entries)
    girths = {girth.name: girth.tape for girth in _named(found)} if found else {}
    least = kind.tape_places[0]
    return TAPE.format(least=least, girth=f"{girths.get('widest', 386.0):.0f} mm")


def _joint(base: Job, kind: LimbKind) -> str:
    """The joint as it was given, or an example of what to give on this kind of limb as a remark."""
    given = base.scan.joint
    if isinstance(given, Point):
        return f"joint = {{ point = {list(given.point)} }}"
    if isinstance(given, float):
        return f'joint = "{length_text(given)}"'
    return '# joint = "340 mm"' if isinstance(kind, DistalLimb) else "# joint = { point = [0.1, 0.4, 0.2] }"


def _edges(base: Job, found: Found | None) -> str:
    """The two edges as "auto", with the heights that this comes to as a remark."""
    if found is None:
        return AUTO_EDGES
    lines = []
    try:
        edges = edges_of(base, found.limb, trusted=found.skin.trusted)
    except CutError as error:
        return f"{AUTO_EDGES}# {say.text(message('start.but', reason=str(error)))}\n"
    for edge, curve in zip(("bottom", "top"), edges, strict=True):
        heights = ", ".join(
            f"{quarter} = {height:.0f}" for quarter, height in zip(QUARTERS, curve.heights, strict=True)
        )
        remark = say.text(message("start.edges", heights=f"{{ {heights} }}"))
        lines.append(f'{edge} = "auto"'.ljust(25) + f"# {remark}\n")
    return "".join(reversed(lines))
