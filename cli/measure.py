"""`calfskin measure SCAN`: the limb in a scan, its girths, and what was done to the scan."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click
import numpy as np

from cli.files import write_files
from cli.options import scan_options
from cli.progress import Times, shown_steps
from flatten.findings import gravest_first, message
from flatten.job.text import job_of
from flatten.limb.girths.girth import Girth, girth_table
from flatten.limb.model import SeenLimb, SeveralLimbsError
from flatten.limb.which.naming import limbs_of_parts
from flatten.measuring import measure as measure_scan
from flatten.mesh.surface import Floats
from flatten.report.limbspicture import limbs_picture
from flatten.report.messages import front_message, girth_name, joint_messages, zero_message
from flatten.report.numbers import json_text, limb_numbers, scan_numbers
from flatten.report.scanpicture import bridge_messages, scan_picture
from flatten.report.verdict import verdict_on
from flatten.scan.model import SeveralPartsError
from flatten.units import inches
from flatten.words import say


@click.command()
@click.argument("scan", type=click.Path(path_type=Path))
@scan_options
@click.option(
    "--picture", type=click.Path(path_type=Path, dir_okay=False), help="Write a picture of what was found, a PNG file."
)
@click.option("--json", "as_json", is_flag=True, help="Print the parts 'scan' and 'limb' of report.json instead.")
def measure(scan: Path, picture: Path | None, as_json: bool, **known: object) -> int:
    """Read SCAN, find the limb in it and tell its girths as a tape reads them.

    Measure the limb at one of the places told and compare: a scan from a phone can be off by many per cent.
    Give your own girth with --tape and the scan is scaled to it.
    """
    settings = job_of({"scan": {"file": scan.name, **known}}, name="the command").scan
    with shown_steps(2, Times()) as announce:
        try:
            found = measure_scan(settings, folder=scan.parent, announce=announce)
        except SeveralLimbsError as error:
            _draw_limbs(picture, error.limbs, error.view)
            raise
        except SeveralPartsError as error:
            limbs, facing = limbs_of_parts(error.parts)
            _draw_limbs(picture, limbs, np.stack([facing.across, facing.up]))
            raise
    girths = girth_table(found.limb, found.skin)
    if picture is not None:
        drawn = scan_picture(found.scan, found.limb, found.skin, girths=girths)
        write_files(picture.parent, [(picture.name, drawn)])
    if as_json:
        parts = {
            "scan": scan_numbers(found.scan, found.limb),
            "limb": limb_numbers(found.limb, found.skin, girths=girths),
        }
        click.echo(json_text(parts), nl=False)
        return 0
    limb = found.limb
    stops = verdict_on(found.findings, sure=(), side=limb.side).stops
    if stops:
        click.echo(say.text(message("terminal.stopped by", count=len(stops))))
        for number, stop in enumerate(stops, 1):
            click.echo(f"  {number}. {say.stop(stop.finding)}")
        click.echo()
    lead = (
        message("terminal.limb", side=limb.side, kind=limb.kind.name, front=front_message(limb)),
        message("terminal.unit", unit=found.scan.unit, unit_from=found.scan.unit_from),
    )
    for line in say.texts(lead):
        click.echo(line)
    for repair in say.texts(found.scan.repairs):
        click.echo(f"- {repair}")
    heads = (message("terminal.place"), message("terminal.height"), message("terminal.tape girth"))
    place, height, tape = say.texts(heads)
    click.echo(f"\n{place:<18}{height:>8}{tape:>14}")
    for girth in table_rows(girths):
        figures = (message("mm", value=girth.height), message("mm", value=girth.tape))
        name, height, tape = say.texts((girth_name(limb, girth), *figures))
        click.echo(f"{name:<18}{height:>8}{tape:>11}{inches(girth.tape):>9.1f} in")
    for sentence in say.texts(
        [
            zero_message(limb, girths),
            *joint_messages(limb),
            *bridge_messages(limb, found.skin),
            *gravest_first(found.findings),
        ]
    ):
        click.echo(f"\n{sentence}")
    return 0


def _draw_limbs(picture: Path | None, limbs: Sequence[SeenLimb], view: Floats) -> None:
    """The picture of several limbs, where one is wanted."""
    if picture is not None:
        write_files(picture.parent, [(picture.name, limbs_picture(limbs, view=view))])


def table_rows(girths: Sequence[Girth]) -> list[Girth]:
    """The rows to print, from the body's end down: a plain row at a named one's height would say it twice."""
    named = [girth.height for girth in girths if girth.name]
    plain = (girth for girth in girths if not girth.name and all(abs(girth.height - at) >= 1.0 for at in named))
    return sorted([*plain, *(girth for girth in girths if girth.name)], key=lambda girth: -girth.height)
