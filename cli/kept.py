"""What is said of files that somebody had worked on, and that were therefore left as they are."""

from __future__ import annotations

from collections.abc import Iterable

import click

from cli.files import Kept
from flatten.findings import message
from flatten.words import say


def tell_kept(kept: Iterable[Kept]) -> None:
    """One line for each file that was kept, and where the new one is."""
    for each in kept:
        click.echo(say.text(message("terminal.kept", name=each.name, beside=each.beside)))
