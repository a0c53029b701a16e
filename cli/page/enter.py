"""Enter in the terminal: what is done each time a line comes in, while a server runs."""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import sys
import threading
import time
from collections.abc import Callable

_AGAIN = 1.0
"""s. A terminal that belongs to another job of its shell is asked again after so long."""


def on_enter(act: Callable[[], None]) -> None:
    """Call `act` in the running event loop at every line that comes in at standard input, until that ends.

    Where there is no standard input, or nothing in it, nothing is ever called.
    """
    try:
        line = sys.stdin.fileno()
    except (AttributeError, OSError, ValueError):  # no standard input at all, or one that is no file
        return
    if hasattr(signal, "SIGTTIN"):
        # Sent to the background of a shell, the page goes on: reading fails there instead of halting it.
        signal.signal(signal.SIGTTIN, signal.SIG_IGN)
    loop = asyncio.get_running_loop()
    threading.Thread(target=_read, args=(line, act, loop), daemon=True).start()


def _read(line: int, act: Callable[[], None], loop: asyncio.AbstractEventLoop) -> None:
    # Read by its number: a thread that waits in Python's own reader would hold its lock when the program ends.
    while True:
        try:
            came = os.read(line, 4096)
        except OSError:
            if not os.isatty(line):
                return
            time.sleep(_AGAIN)
            continue
        if not came:
            return
        if b"\n" in came or b"\r" in came:
            with contextlib.suppress(RuntimeError):  # the loop has ended, and with it the page
                loop.call_soon_threadsafe(act)
