"""A worker: a process of its own that works on the requests of the page's server."""

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

from cli.page.stages import serve_requests
from cli.page.updates import Done, Failure, Update, WorkRequest

_THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")

PRELOADED = ["cli.page.stages", "matplotlib.figure", "matplotlib.tri"]
"""What every new worker has loaded from the first: all that it needs, with what only a report draws with."""

BROKE_OFF = Failure(
    "the work broke off, and nothing that was asked for is lost; go on, and where it breaks off again, look into the "
    "terminal, close what takes the computer's memory, or bring the scan with fewer faces",
    "scan",
    broke_off=True,
)
"""What is said where the process ended by itself."""


class Worker:
    """One process that works on one request at a time."""

    def __init__(self) -> None:
        """Start the process, so that it is ready when it is needed."""
        for name in _THREADS:
            os.environ.setdefault(name, "1")
        self.generation = object()
        self._pipe: Connection | None = None
        self._start()

    def _start(self) -> Connection:
        """A new process, with its pipe for requests."""
        # Never a copy of the running server, whose locks it would take along. On Linux it is a copy of a process that
        # has loaded the libraries and does nothing else: they share that memory, and a stopped one is replaced at once.
        if sys.platform == "linux":
            context = multiprocessing.get_context("forkserver")
            context.set_forkserver_preload(PRELOADED)
        else:
            context = multiprocessing.get_context("spawn")
        pipe, theirs = context.Pipe()
        self._newer, their_newer = context.Pipe()
        self._process = context.Process(target=_serve, args=(theirs, their_newer), daemon=True)
        self._process.start()
        theirs.close()
        their_newer.close()
        self._pipe = pipe
        return pipe

    async def updates(self, request: WorkRequest) -> AsyncIterator[Update]:
        """The updates of a request as they come, `Done` or `Failure` last; nothing more after `stop`."""
        if self._pipe is not None and not self._process.is_alive():
            self.stop()  # it ended while it had nothing to do: another takes its place unheard
        pipe, generation = self._pipe or self._start(), self.generation
        try:
            await asyncio.to_thread(pipe.send, request)
            while True:
                update = await asyncio.to_thread(pipe.recv)
                if self.generation is not generation:
                    return
                yield update
                if isinstance(update, Done | Failure):
                    return
        except (EOFError, OSError):
            if self.generation is generation:
                self.stop()
                yield BROKE_OFF

    def give_way(self) -> None:
        """Let what is being done be left at its next step, answered by `Done`, for a request that comes next."""
        with contextlib.suppress(OSError):  # it has ended by itself, which `updates` says
            self._newer.send(None)

    def stop(self) -> None:
        """End what is being done, at once and without waiting; the next request has a process of its own again."""
        self.generation, self._pipe = object(), None
        self._process.terminate()

    def close(self) -> None:
        """End the process."""
        self.stop()
        self._process.join()


def _serve(pipe: Connection, newer: Connection) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # What is loaded stays: looking through it for garbage takes time, and would copy the memory that is shared.
    gc.freeze()
    # A server that was killed hears nothing more, and nobody has to be told of that.
    with contextlib.suppress(BrokenPipeError, ConnectionResetError):
        serve_requests(pipe, newer)
