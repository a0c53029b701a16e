"""Steps shown while they run: a bar on a terminal, nothing elsewhere, and their times on request."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from flatten.steps import Announce
from flatten.words import say


class Times:
    """Seconds that each announced step took, in order."""

    def __init__(self) -> None:
        """Start without a step."""
        self.steps: list[tuple[str, float]] = []
        self._since = 0.0

    def begin(self, step: str) -> None:
        """End the step before, begin `step`."""
        self.end()
        self.steps.append((step, 0.0))

    def end(self) -> None:
        """End the last step."""
        now = time.perf_counter()
        if self.steps:
            name, _ = self.steps[-1]
            self.steps[-1] = (name, now - self._since)
        self._since = now


@contextmanager
def shown_steps(count: int, times: Times) -> Iterator[Announce]:
    """Announce steps (`count` of them) on standard error while it is a terminal; note their times."""
    console = Console(stderr=True)
    columns = (TextColumn("{task.description:<22}"), BarColumn(bar_width=28), TimeElapsedColumn())
    with Progress(*columns, console=console, transient=True, disable=not sys.stderr.isatty()) as bar:
        task = bar.add_task("", total=count)
        begun = 0

        def announce(step: str) -> None:
            nonlocal begun
            times.begin(step)
            bar.update(task, description=say.name(step), completed=begun)
            begun += 1

        yield announce
        times.end()
