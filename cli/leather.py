"""`calfskin leather FILE...`: strips of leather read into limits, with what so few of them are worth."""

from __future__ import annotations

from pathlib import Path

import click

from flatten.findings import message
from flatten.leather.strips import read_strip_test
from flatten.leather.striptold import job_lines, strip_findings, strip_lines
from flatten.words import say


@click.command()
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=click.Path(path_type=Path))
def leather(files: tuple[Path, ...]) -> int:
    """Read strips of your leather from FILE... and tell how far it may be stretched, and how sure that is.

    A file is TOML as README shows it, or CSV from a spreadsheet: its first line names the columns, direction, L0, L1,
    L2, L3, L4, load, width, thickness, and hide if you like; for strips that dried without a load wet and dried, for
    hardened ones before and after. Numbers are mm and kg. Strips of several files are taken together.

    At the end stand the lines for your job file.
    """
    test = read_strip_test(*files)
    for line in say.texts(strip_lines(test)):
        click.echo(line)
    found = say.texts(strip_findings(test))
    for line in found:
        click.secho(line, bold=True)
    single = files[0].as_posix() if len(files) == 1 else None
    click.echo(f"\n{say.text(message('strips.lines', several=single is None))}\n")
    click.echo(job_lines(test, single), nl=False)
    return 0
