"""The command `calfskin`: its verbs, and how it ends."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from importlib import import_module

import click

from flatten.errors import CalfskinError
from flatten.findings import message
from flatten.job.errors import JobError
from flatten.words import say

CANNOT, USAGE = 1, 2
"""Exit codes beside 0 and those of the verbs: it cannot be done; the call or the job file is wrong."""


@dataclass(frozen=True)
class Verb:
    """A verb: the module in which it is called as on the command line, and what it does."""

    module: str
    help: str


VERBS = {
    "demo": Verb("cli.demo", help="Make a pair of shin guards from a bundled scan."),
    "measure": Verb("cli.measure", help="Read a scan and tell its girths."),
    "start": Verb("cli.start", help="Write a job file for a scan."),
    "make": Verb("cli.make", help="Make pattern, sheets and report from a job file."),
    "ornament": Verb("cli.ornament", help="Make the sheets to draw and to carve ornament by, alone."),
    "leather": Verb("cli.leather", help="Read strips of your leather and tell its limits."),
    "finished": Verb("cli.finished", help="Keep what a finished piece measured, and learn from it."),
    "prices": Verb("cli.prices", help="List what a job needs, for your own prices."),
    "page": Verb("cli.page.command", help="Open the bench in the browser: all of it with the mouse."),
    "card": Verb("cli.card", help="Print a card for measuring somebody far away."),
}


class _Verbs(click.Group):
    """Verbs that are imported when they are called: none waits for what only another one needs."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(VERBS)

    def get_command(self, ctx: click.Context, name: str) -> click.Command | None:
        if name not in VERBS:
            return None
        verb: click.Command = getattr(import_module(VERBS[name].module), name)
        return verb

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, verb.help) for name, verb in VERBS.items()])


@click.group(cls=_Verbs, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100})
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
    job file is wrong, and 3 when the files are made but are not to be cut as they are.
    """


def main() -> None:
    """Run the command; every error that Calfskin raises on purpose is one sentence on standard error."""
    try:
        code = calfskin.main(prog_name="calfskin", standalone_mode=False)
    except click.exceptions.Abort:
        click.echo(say.text(message("terminal.stopped")), err=True)
        sys.exit(CANNOT)
    except click.ClickException as error:
        error.show()
        sys.exit(USAGE)
    except CalfskinError as error:
        click.echo(f"calfskin: {error}", err=True)
        sys.exit(USAGE if isinstance(error, JobError) else CANNOT)
    sys.exit(code if isinstance(code, int) else 0)
