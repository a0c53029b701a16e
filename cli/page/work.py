"""A desk in a process of its own, ordered about from the page's server."""

from __future__ import annotations

import asyncio
import contextlib
import gc
import multiprocessing
import os
import signal
import sys
from collections.abc import AsyncIterator
from multiprocessing.connection import Connection

from cli.page.desk import Done, News, Order, Trouble, work

_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")

PRELOADED = ["cli.page.desk", "matplotlib.figure", "matplotlib.tri"]
"""What every new process of a desk has loaded from the first: all that it needs, with what only a report draws with."""

BROKEN_OFF = Trouble("the work broke off by a fault of the program; the terminal says more", "scan")
"""What is told where the process ended by itself."""


class Worker:
    """One process that carries out one order at a time."""

    def __init__(self) -> None:
        """Start the process, so that it is ready when it is needed."""
        for name in _THREADS:
            os.environ.setdefault(name, "1")
        self.run = object()
        self._orders: Connection | None = None
        self._start()

    def _start(self) -> Connection:
        """A new process, with its pipe for orders."""
        # Never a copy of the running server, whose locks it would take along. On Linux it is a copy of a process that
        # has loaded the libraries and does nothing else: they share that memory, and a stopped one is replaced at once.
        if sys.platform == "linux":
            context = multiprocessing.get_context("forkserver")
            context.set_forkserver_preload(PRELOADED)
        else:
            context = multiprocessing.get_context("spawn")
        orders, theirs = context.Pipe()
        self._newer, their_newer = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, their_newer), daemon=True)
        self._process.start()
        theirs.close()
        their_newer.close()
        self._orders = orders
        return orders

    async def carry_out(self, order: Order) -> AsyncIterator[News]:
        """The news of an order as they come, `Done` or `Trouble` last; nothing more after `stop`."""
        pipe, run = self._orders or self._start(), self.run
        try:
            await asyncio.to_thread(pipe.send, order)
            while True:
                news = await asyncio.to_thread(pipe.recv)
                if self.run is not run:
                    return
                yield news
                if isinstance(news, Done | Trouble):
                    return
        except (EOFError, OSError):
            if self.run is run:
                self.stop()
                yield BROKEN_OFF

    def give_way(self) -> None:
        """Let what is being done be left at its next step, `Done` told, for an order that comes next."""
        with contextlib.suppress(OSError):  # it has ended by itself, which `carry_out` tells
            self._newer.send(None)

    def stop(self) -> None:
        """End what is being done, at once and without waiting; the next order has a process of its own again."""
        self.run, self._orders = object(), None
        self._process.terminate()

    def close(self) -> None:
        """End the process."""
        self.stop()
        self._process.join()


def _serve(orders: Connection, newer: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # What is loaded stays: looking through it for garbage takes time, and would copy the memory that is shared.
    gc.freeze()
    work(orders, newer)
