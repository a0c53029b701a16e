"""`calfskin leather FILE...`: strips of leather read into limits, with what so few of them are worth."""

from __future__ import annotations

from pathlib import Path

import click

from cli.files import write_files
from flatten.drawing.striptest import strip_test_sheet
from flatten.findings import message
from flatten.leather.strips import read_strip_test
from flatten.leather.striptold import job_lines, strip_findings, strip_lines
from flatten.sheet.paper import PAPERS
from flatten.words import say


@click.command()
@click.argument("files", metavar="[FILE...]", nargs=-1, type=click.Path(path_type=Path))
@click.option(
    "--sheet",
    type=click.Path(path_type=Path, dir_okay=False),
    help="First: write a page to print into this PDF file, with the strips at true size, what to do, and a table for "
    "what you read.",
)
@click.option(
    "--paper", type=click.Choice(sorted(PAPERS)), default="A4", show_default=True, help="Paper size of the sheet."
)
def leather(files: tuple[Path, ...], sheet: Path | None, paper: str) -> int:
    """Read strips of your leather from FILE... and tell how far it may be stretched, and how sure that is.

    A file is TOML as README shows it, or CSV from a spreadsheet: its first line names the columns, direction, L0, L1,
    L2, L3, L4, load, width, thickness, and hide if you like; for strips that dried without a load wet and dried, for
    hardened ones before and after. Numbers are mm and kg. Strips of several files are taken together.

    At the end stand the lines for your job file.
    """
    if sheet is not None:
        write_files(sheet.parent, [(sheet.name, strip_test_sheet(paper=paper))])
        click.echo(say.text(message("terminal.wrote", file=str(sheet))))
        if not files:
            return 0
    if not files:
        raise click.UsageError("Name a file with the readings of strips, or a sheet to print: --sheet strip-test.pdf")
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
