"""The work on what lies on the bench: two processes bring what is known up to the job, one quick, one fine."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from cli.page.known import SessionState
from cli.page.updates import (
    Done,
    Failure,
    JobMade,
    LeatherLaid,
    LeatherTried,
    LimbFound,
    ScanRead,
    StageBegun,
    Update,
    WorkRequest,
    WornReady,
)
from cli.page.worker import Worker
from flatten.errors import CalfskinError
from flatten.job.settings import Job, ScanSettings

SETTLE = 0.4
"""s. The fine result is begun after so long without a change, so that a row of drags does not start it each time."""


class TrialError(CalfskinError, ValueError):
    """The leather of a change that is tried cannot be laid."""


@dataclass(frozen=True)
class Wanted:
    """A job that is to be worked on, the path and the number of its scan, the path of the strip test it names, and the
    folder of the other files that it names."""

    job: Job
    path: Path
    scan_number: int
    strips: Path | None
    companions: Path


class Bench(Protocol):
    """What work is done for: a bench that says what is wanted, and whose state is told what was found."""

    state: SessionState
    revision: int

    def wanted(self) -> Wanted | None:
        """What is to be worked on; None where there is nothing."""

    def is_for_bench(self, update: Update, scan_number: int) -> bool:
        """Whether what was found about the scan of a number is about what lies on the bench."""

    def changed(self) -> None:
        """Let everybody hear that something is new."""


class Work:
    """The two processes of one bench."""

    def __init__(self, bench: Bench) -> None:
        """Start the processes."""
        self._bench = bench
        self._wanted = asyncio.Event()
        self._quick, self._fine = Worker(), Worker()
        self._quick_alone = asyncio.Lock()
        self._fine_busy = False
        self._fine_task: asyncio.Task[None] | None = None
        self._fine_last: tuple[object, int, ScanSettings] | None = None

    def begin(self) -> None:
        """Let what is known be brought up to the job."""
        self._wanted.set()

    def give_way(self) -> None:
        """Leave what is being done for something newer."""
        self._stop_fine()
        if self._quick_alone.locked():
            self._quick.give_way()

    def stop(self) -> None:
        """End what is being done, at once."""
        self._stop_fine()
        if self._quick_alone.locked():
            self._quick.stop()

    async def run(self) -> None:
        """Bring what is known up to the job, again and again, until cancelled."""
        try:
            while True:
                await self._wanted.wait()
                async with self._quick_alone:
                    self._wanted.clear()
                    await self._update()
        finally:
            self._stop_fine()
            self._quick.close()
            self._fine.close()

    async def _update(self) -> None:
        wanted = self._bench.wanted()
        if wanted is None:
            return
        request = self._request(wanted, fine=False)
        last: Update | None = None
        async for last in self._quick.updates(request):
            self.apply(last, request)
        # Where something newer is wanted, even the same job again, its own preview comes first.
        state = self._bench.state
        if isinstance(last, Done) and not self._wanted.is_set() and state.job is wanted.job and not state.stopped:
            self._fine_task = asyncio.create_task(self._finish())

    async def tried(self, job: Job) -> bytes | None:
        """The payload of a job's leather, coarse, as `Session.tried` has it. Raises TrialError as that does."""
        state, wanted = self._bench.state, self._bench.wanted()
        if wanted is None:
            return None
        if self._fine_task is not None:
            self._stop_fine()
            self._fine_task = asyncio.create_task(self._finish())
        request = replace(self._request(replace(wanted, job=job), fine=False), trial=True)
        async with self._quick_alone:
            if self._wanted.is_set() or self._bench.state is not state:
                return None
            updates = [update async for update in self._quick.updates(request)]
        for update in updates:
            if isinstance(update, LeatherTried):
                return update.payload
            if isinstance(update, Failure):
                raise TrialError(update.sentence)
        return None

    def _request(self, wanted: Wanted, *, fine: bool) -> WorkRequest:
        return WorkRequest(
            wanted.job,
            wanted.path,
            wanted.scan_number,
            fine=fine,
            strips=wanted.strips,
            companions=wanted.companions,
        )

    async def _finish(self) -> None:
        await asyncio.sleep(SETTLE)
        state, wanted = self._bench.state, self._bench.wanted()
        assert state.limb is not None
        assert wanted is not None
        run = (self._fine.generation, wanted.scan_number, wanted.job.scan)
        found = None if self._fine_last == run else state.limb.found
        self._fine_last = run
        request = replace(self._request(wanted, fine=True), found=found)
        self._fine_busy = True
        async for update in self._fine.updates(request):
            self.apply(update, request)
        self._fine_busy, self._fine_task = False, None

    def apply(self, update: Update, request: WorkRequest) -> None:
        """Take what has been found for a request into what is known."""
        if not self._bench.is_for_bench(update, request.scan_number):
            return
        state, revision = self._bench.state, self._bench.revision
        match update:
            case StageBegun():
                state.stage = update
            case ScanRead():
                state.scan, state.limb, state.worn, state.leather = update, None, None, None
                state.made, state.payloads["scan"] = None, revision
            case LimbFound():
                state.limb, state.payloads["meant"] = update, revision
            case WornReady():
                state.worn, state.payloads["worn"] = update, revision
            case LeatherLaid():
                state.leather, state.leather_job, state.payloads["leather"] = update, request.job, revision
            case JobMade():
                if state.made is None or state.made.carved != update.carved:
                    state.payloads["carved"] = revision
                state.made, state.made_job = update, request.job
            case Failure():
                state.stage, state.failure, state.stopped = None, update, update.broke_off
            case Done():
                state.stage = None
        self._bench.changed()

    def _stop_fine(self) -> None:
        task, self._fine_task = self._fine_task, None
        if task is not None:
            task.cancel()
        if self._fine_busy:
            self._fine.stop()
            self._fine_busy, self._bench.state.stage = False, None
