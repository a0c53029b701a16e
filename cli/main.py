"""The command `calfskin`: its verbs, and how it ends."""

from __future__ import annotations

import sys

import click

from cli.card import card
from cli.demo import demo
from cli.make import make
from cli.measure import measure
from cli.page.verb import page
from cli.start import start
from flatten.errors import CalfskinError
from flatten.job.text import JobError

CANNOT, USAGE, OVER = 1, 2, 3
"""Exit codes beside 0: it cannot be done; the call or the job file is wrong; done, but over the leather's limits."""


@click.group(context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
@click.version_option(package_name="calfskin", prog_name="calfskin")
def calfskin() -> None:
    """From a 3D scan of a limb to flat leather pieces, with the stretch told before you cut.

    \b
    A first try without a scan of your own:   calfskin demo
    With your own scan:
      1  calfskin measure leg.ply             is it read well? compare a girth with your tape
      2  calfskin start leg.ply               writes leg.toml, the job file: read it, change it
      3  calfskin make leg.toml --out leg     pattern to cut, sheets to print, report to read
      4  try the printed sheets on the limb before you cut leather

    \b
    It ends with 0 when all is well, 1 when something cannot be done, 2 when the call or the
    job file is wrong, and 3 when the files are made but ask more stretch than the leather's limits allow.
    """


for verb in (demo, start, make, measure, page, card):
    calfskin.add_command(verb)


def main() -> None:
    """Run the command; every error that Calfskin raises on purpose is one sentence on standard error."""
    try:
        code = calfskin.main(standalone_mode=False)
    except click.exceptions.Abort:
        click.echo("stopped; nothing was written", err=True)
        sys.exit(CANNOT)
    except click.ClickException as error:
        error.show()
        sys.exit(USAGE)
    except CalfskinError as error:
        click.echo(f"calfskin: {error}", err=True)
        sys.exit(USAGE if isinstance(error, JobError) else CANNOT)
    sys.exit(code if isinstance(code, int) else 0)
