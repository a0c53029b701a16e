"""`calfskin ornament JOB`: the sheets of a job's ornament alone."""

from __future__ import annotations

from pathlib import Path

import click

from cli.files import check_folder, write_files
from cli.kept import tell_kept
from cli.progress import Times, shown_steps
from flatten.adorning import adorn
from flatten.findings import message
from flatten.job.text import read_job
from flatten.report.ornaments import shown_ornaments
from flatten.steps import TO_LAY, TO_WRITE
from flatten.words import say


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for the files; by default one beside the job file, called as it is.",
)
def ornament(job: Path, out: Path | None) -> int:
    """Make the sheets of ornament for the job file JOB, without the rest: quicker than make while you draw.

    \b
    Into the folder go:
      field.pdf     the space that ornament has on each piece, at true size, with squares to draw on
      field.svg     the same for a drawing program
      tooling.pdf   lines to trace, and the look of over and under, where the job has a [[motif]]

    Files of these names are replaced, and no others are touched; a field.pdf or field.svg that somebody has
    drawn in stays as it is, and the new one is put beside it.
    """
    settings = read_job(job)
    folder = out or job.with_suffix("")
    check_folder(folder)
    with shown_steps(len((*TO_LAY, *TO_WRITE)), Times()) as announce:
        made = adorn(settings, folder=job.parent, announce=announce)
    kept = write_files(folder, made.files)
    for each in made.findings:
        click.echo(say.text(each))
    for shown in shown_ornaments(made.report):
        click.echo(shown.piece)
        for told in shown.told:
            click.echo(f"  {say.text(told)}")
    new = {each.name: each.beside for each in kept}
    names = ", ".join(new.get(name, name) for name, _ in made.files)
    click.echo(say.text(message("terminal.sheets", folder=str(folder), names=names)))
    tell_kept(kept)
    return 0
