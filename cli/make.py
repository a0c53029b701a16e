"""`calfskin make JOB`: a job file made into pattern, sheets and report."""

from __future__ import annotations

from pathlib import Path

import click

from cli.files import check_folder, write_files
from cli.kept import tell_kept
from cli.progress import Times, shown_steps
from flatten import making as house
from flatten.findings import message
from flatten.job.settings import Job
from flatten.job.text import read_job
from flatten.report.summary import summary_lines
from flatten.words import say

NOT_TO_BE_CUT = 3
"""Exit code where all is made, but not to be cut as it is: something stands against it that nobody has settled."""


@click.command()
@click.argument("job", type=click.Path(path_type=Path))
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    help="Folder for the files; by default one beside the job file, called as it is.",
)
@click.option("--times", is_flag=True, help="Tell how long each step took.")
def make(job: Path, out: Path | None, times: bool) -> int:
    """Make pattern, sheets and report from the job file JOB.

    It ends with 3 where something stands against cutting them as they are: the first lines on the screen, and the
    report's heading, say what, and what settles it.

    \b
    Into the folder go:
      pattern.dxf   true size in mm, for a laser or a plotter
      pattern.pdf   sheets to print at 100 % and to join, for a paper try-on and for the knife
      pattern.svg   the same drawing for a drawing program
      mockup.pdf    and mockup.dxf, for a try-on in paper or felt where [mockup] asks for it
      fitting.pdf   a page for what a try-on shows, where [output] asks for it
      report.html   stretch, girths, what was done to the scan: read it before you cut
      report.json   the same numbers for programs
      job.toml      the job with every default filled in
      former.stl, former-ribs.dxf, former-ribs.pdf
                    what the leather is formed on, where [former] asks for it:
                    to print (former_1.stl and so on in parts), and to cut from
                    board; of a pair former_left.stl, former-ribs_left.dxf, ...

    Files of these names are replaced, and no others are touched; a field.pdf or field.svg that somebody has
    drawn in stays as it is, and the new one is put beside it.
    """
    return run(read_job(job), folder=job.parent, out=out or job.with_suffix(""), times=times)


def run(job: Job, *, folder: Path, out: Path, times: bool) -> int:
    """Make a job with progress, write its files into `out`, print the summary; the exit code.

    Raises OutputError where the files cannot be written, and all that `flatten.making.make` raises.
    """
    check_folder(out)
    taken = Times()
    with shown_steps(len(house.steps_of(job)), taken) as announce:
        result = house.make(job, folder=folder, out=out, announce=announce)
    kept = write_files(out, result.files)
    head, *lines = summary_lines(result.report)
    stopped = not result.verdict.may_be_cut
    click.secho(head, bold=stopped, fg="red" if stopped else None)
    for line in lines:
        click.echo(line)
    click.echo(say.text(message("terminal.files", folder=str(out))))
    tell_kept(kept)
    if times:
        for step, seconds in taken.steps:
            click.echo(f"{seconds:7.2f} s  {say.name(step)}", err=True)
        in_all = say.text(message("terminal.in all"))
        click.echo(f"{sum(seconds for _, seconds in taken.steps):7.2f} s  {in_all}", err=True)
    return NOT_TO_BE_CUT if stopped else 0
