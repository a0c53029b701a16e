"""`calfskin measure SCAN`: the limb in a scan, its girths, and what was done to the scan."""

from __future__ import annotations

from pathlib import Path

import click
from threadpoolctl import threadpool_limits

from cli.options import scan_options
from cli.progress import Times, telling
from flatten import make as house
from flatten.job.text import job_of
from flatten.limb.girth import girth_table
from flatten.report.numbers import json_text, limb_numbers, scan_numbers
from flatten.units import inches


@click.command(short_help="Read a scan and tell its girths.")
@click.argument("scan", type=click.Path(path_type=Path))
@scan_options
@click.option("--json", "as_json", is_flag=True, help="Print the parts 'scan' and 'limb' of report.json instead.")
def measure(scan: Path, as_json: bool, **known: object) -> int:
    """Read SCAN, find the limb in it and tell its girths as a tape reads them.

    Measure the limb at one of the places told and compare: a scan from a phone can be off by several per cent.
    Give your own girth with --tape and the scan is scaled to it.
    """
    settings = job_of({"scan": {"file": scan.name, **known}}, name="the command").scan
    with threadpool_limits(1), telling(2, Times()) as announce:
        found = house.measure(settings, folder=scan.parent, announce=announce)
    girths = girth_table(found.limb, found.skin)
    if as_json:
        parts = {
            "scan": scan_numbers(found.scan, found.limb),
            "limb": limb_numbers(found.limb, found.skin, girths=girths),
        }
        click.echo(json_text(parts), nl=False)
        return 0
    click.echo(f"{found.limb.side} {found.limb.kind}, front found by the {found.limb.front_from}")
    click.echo(f"unit of the file: {found.scan.unit} ({found.scan.unit_from})")
    for repair in found.scan.repairs:
        click.echo(f"- {repair.text}")
    click.echo(f"\n{'place':<14}{'height':>10}{'tape girth':>14}{'':>12}")
    for girth in girths:
        click.echo(f"{girth.name:<14}{girth.height:>7.0f} mm{girth.tape:>11.0f} mm{inches(girth.tape):>9.2f} in")
    for caution in found.cautions:
        click.echo(f"\n{caution}")
    return 0
