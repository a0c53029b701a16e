"""`calfskin card`: the page that tells somebody far away how to measure and scan a limb."""

from __future__ import annotations

from pathlib import Path

import click

from cli.files import write_files
from flatten.findings import message
from flatten.report.card import measuring_card
from flatten.sheet.paper import HOME
from flatten.words import say


@click.command()
@click.option(
    "--out",
    type=click.Path(path_type=Path, dir_okay=False),
    default=Path("measuring-card.pdf"),
    show_default=True,
    help="The PDF file to write.",
)
@click.option("--paper", type=click.Choice(sorted(HOME)), default="A4", show_default=True, help="Paper size.")
def card(out: Path, paper: str) -> int:
    """Write a page to print or to send: where the tape goes, how to stand, how to scan, and lines for its girths."""
    write_files(out.parent, [(out.name, measuring_card(paper=paper))])
    click.echo(say.text(message("terminal.wrote", file=str(out))))
    return 0
