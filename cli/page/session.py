"""The one truth about what lies on the bench; whatever a browser shows is told from here."""

from __future__ import annotations

import asyncio
from collections.abc import Iterable
from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np

from cli.demo import SCANS
from cli.page.desk import (
    Done,
    LeatherSeen,
    LimbSeen,
    Made,
    News,
    Order,
    ScanSeen,
    Step,
    Trouble,
    WornSeen,
)
from cli.page.folder import Folder, Kept
from cli.page.seam import reaching
from cli.page.upload import shown_name
from cli.page.work import Worker
from flatten.errors import CalfskinError
from flatten.job.settings import QUARTERS, Job, ScanSettings, SeamSettings
from flatten.job.steps import bearing_of, edges_of
from flatten.job.text import JobError, job_from, job_of

MOST_UNDO = 100
"""Steps that can be undone."""

SETTLE = 0.4
"""s. The fine result is begun after so long without a change, so that a row of drags does not start it each time."""


class BenchError(CalfskinError, ValueError):
    """What a browser asks for cannot be done as the bench stands."""


@dataclass
class Bench:
    """What is on the bench and what is known about it. None: not there, or not known yet.

    `parcels` numbers what a browser fetches apart ("scan", "worn", "leather"), anew whenever it is another.
    """

    job: Job | None = None
    scan_name: str | None = None
    scan_kept: int = 0
    front_agreed: bool = False
    past: list[Job] = field(default_factory=list)
    future: list[Job] = field(default_factory=list)
    receiving: tuple[int, int] | None = None
    step: Step | None = None
    stopped: bool = False
    trouble: Trouble | None = None
    scan: ScanSeen | None = None
    limb: LimbSeen | None = None
    worn: WornSeen | None = None
    leather: LeatherSeen | None = None
    leather_job: Job | None = None
    made: Made | None = None
    made_job: Job | None = None
    parcels: dict[str, int] = field(default_factory=dict)


class Session:
    """The bench, the two processes that work for it, and who must hear of a change."""

    def __init__(self, folder: Folder) -> None:
        """Take up what the folder keeps."""
        self.folder = folder
        self.bench = Bench()
        self.revision = 0
        self._heard: set[asyncio.Event] = set()
        self._wanted = asyncio.Event()
        self._quick, self._fine = Worker(), Worker()
        self._quick_busy = self._fine_busy = False
        self._fine_task: asyncio.Task[None] | None = None
        self._fine_run: tuple[object, int, ScanSettings] | None = None
        self._take_up()

    def _take_up(self) -> None:
        kept = self.folder.kept()
        if kept is None:
            return
        job, note = kept
        name = note.scan_name
        there = name is not None and self.folder.scan_path(name).exists()
        self.bench = Bench(
            job=job, scan_name=name if there else None, scan_kept=1, front_agreed=note.front_agreed and there
        )
        self._wanted.set()

    # What is heard of it

    def listen(self) -> asyncio.Event:
        """An event that is set at every change, until it is given back to `forget`."""
        event = asyncio.Event()
        event.set()
        self._heard.add(event)
        return event

    def forget(self, event: asyncio.Event) -> None:
        """No longer set an event of `listen`."""
        self._heard.discard(event)

    def changed(self) -> None:
        """Let everybody hear that something is new."""
        self.revision += 1
        for event in self._heard:
            event.set()

    # What a maker does

    def change(self, changes: Iterable[tuple[list[str | int], Any]]) -> None:
        """Set values in the job, each by its path.

        Raises JobError or SeamError, and changes nothing, where one is wrong.
        """
        self._go_to(self.with_changes(changes))

    def with_changes(self, changes: Iterable[tuple[list[str | int], Any]]) -> Job:
        """The job with values set, a drawn seam run on past its edges. Raises as `change` does."""
        table = self._job().model_dump(mode="json")
        for path, value in changes:
            _set_in(table, path, value)
        return self._reaching(job_of(table, name="the work order"))

    def add_seam(self) -> None:
        """One more seam, as the first one is, at the quarter of the limb that is farthest from all that are there."""
        job = self._job()
        there = np.radians([bearing_of(seam.along) for seam in job.seam])

        def apart(quarter: str) -> float:
            return float(np.arccos(np.cos(np.radians(QUARTERS[quarter]) - there).max()))

        along = max(QUARTERS, key=lambda quarter: round(apart(quarter), 6))
        names = {seam.name for seam in job.seam} | {dart.name for dart in job.dart}
        free = (along, *(f"{along} {number}" for number in range(2, len(names) + 3)))
        name = next(name for name in free if name not in names)
        self._go_to(_with_seams(job, (*job.seam, job.seam[0].model_copy(update={"name": name, "along": along}))))

    def remove_seam(self, number: int) -> None:
        """Take a seam away, counted from 0. Raises BenchError where it is the last one, or none."""
        job = self._job()
        if not 0 <= number < len(job.seam):
            raise BenchError(f"there is no seam {number + 1}")
        if len(job.seam) == 1:
            raise BenchError("one seam must stay: a closed tube cannot be laid flat")
        self._go_to(_with_seams(job, (*job.seam[:number], *job.seam[number + 1 :])))

    def undo(self) -> None:
        """Go back to the job before the last change. Raises BenchError where there is none."""
        self._step_over(self.bench.past, self.bench.future, "undone")

    def redo(self) -> None:
        """Go forward again. Raises BenchError where nothing was undone."""
        self._step_over(self.bench.future, self.bench.past, "done again")

    def agree_front(self) -> None:
        """The maker has looked at the front and agrees."""
        self.bench.front_agreed = True
        self._keep()
        self.changed()

    def receive(self, so_far: int, of: int) -> None:
        """Tell how much of a scan has arrived."""
        self.bench.receiving = (so_far, of)
        self.changed()

    def stop_receiving(self) -> None:
        """A scan has arrived, or will not."""
        self.bench.receiving = None
        self.changed()

    def take_scan(self, sent_name: str) -> None:
        """The scan that has arrived is the one on the bench. A job that was opened and waits for it is kept."""
        name = shown_name(sent_name)
        old = self.bench
        if old.job is not None and old.scan_name is None:
            job = _with_scan(old.job, file=name)
        else:
            job = Job(scan=ScanSettings(file=name))
            if old.job is not None:
                job = job.model_copy(update={"wear": old.job.wear, "leather": old.job.leather})
        self._lay_out(job, name)

    def take_demo(self) -> None:
        """The demo leg and its job are on the bench."""
        demo = SCANS[0]
        self.folder.arriving.write_bytes((files("cli.meshes") / demo.file).read_bytes())
        self._lay_out(job_from(demo.text, name=demo.job), demo.file)

    def open_job(self, text: str) -> None:
        """Take a job file. Its scan stays if it is the one on the bench, else it must be brought.

        Raises JobError where it is none, or names a strip test's file, which a browser does not bring along.
        """
        job = job_from(text, name="the job file")
        limits = job.leather.limits
        if isinstance(limits, str) and limits.endswith(".toml"):
            raise JobError(
                f"the job's limits come from the strip test “{shown_name(limits)}”, which the page does not read; "
                "make this job with: calfskin make, or put the four figures into it"
            )
        name = shown_name(job.scan.file)
        job = _with_scan(job, file=name)
        if self.bench.scan_name == name:
            self._go_to(job)
            return
        self._stop_all()
        self.bench = Bench(job=job, scan_kept=self.bench.scan_kept + 1)
        self._keep()
        self.changed()

    def stop(self) -> None:
        """Stop the work under way; what was good before stays."""
        self._stop_all()
        self.bench.step, self.bench.stopped = None, True
        self.changed()

    def go_on(self) -> None:
        """Take up work that was stopped."""
        self._want()

    def clear(self) -> None:
        """Delete the session from the bench and from the disk."""
        self._stop_all()
        self.folder.clear()
        self.bench = Bench(scan_kept=self.bench.scan_kept + 1)
        self.changed()

    def _job(self) -> Job:
        if self.bench.job is None:
            raise BenchError("there is nothing on the bench yet; bring a scan first")
        return self.bench.job

    def _lay_out(self, job: Job, name: str) -> None:
        self._stop_all()
        self.folder.keep_scan(name)
        self.bench = Bench(job=job, scan_name=name, scan_kept=self.bench.scan_kept + 1)
        self._want()

    def _go_to(self, job: Job) -> None:
        old = self._job()
        if job == old:
            return
        self.bench.past = [*self.bench.past[1 - MOST_UNDO :], old]
        self.bench.future = []
        self._set(job)

    def _step_over(self, source: list[Job], target: list[Job], what: str) -> None:
        if not source:
            raise BenchError(f"there is nothing to be {what}")
        target.append(self._job())
        self._set(source.pop())

    def _set(self, job: Job) -> None:
        old = self._job()
        if (old.scan.front, old.scan.limb, old.scan.side) != (job.scan.front, job.scan.limb, job.scan.side):
            self.bench.front_agreed = False
        self.bench.job = job
        self._want()

    def _want(self) -> None:
        self._stop_fine()
        self.bench.trouble, self.bench.stopped = None, False
        self._keep()
        self._wanted.set()
        self.changed()

    def _keep(self) -> None:
        self.folder.keep(self.bench.job, Kept(self.bench.scan_name, self.bench.front_agreed))

    def _reaching(self, job: Job) -> Job:
        """The job with every drawn seam run on past the edges."""
        limb = self.bench.limb
        if limb is None or not any(isinstance(seam.along, tuple) for seam in job.seam):
            return job
        bottom, top = edges_of(job, limb=limb.limb, trusted=limb.skin.trusted)
        seams = tuple(
            seam.model_copy(update={"along": reaching(seam.along, bottom=bottom, top=top)})
            if isinstance(seam.along, tuple)
            else seam
            for seam in job.seam
        )
        return job.model_copy(update={"seam": seams})

    # The work

    async def run(self) -> None:
        """Bring what is known up to the job, again and again, until cancelled."""
        try:
            while True:
                await self._wanted.wait()
                self._wanted.clear()
                await self._bring_up()
        finally:
            self._stop_fine()
            self._quick.close()
            self._fine.close()

    async def _bring_up(self) -> None:
        job, name = self.bench.job, self.bench.scan_name
        if job is None or name is None:
            return
        order = Order(job, self.folder.scan_path(name), self.bench.scan_kept, fine=False)
        last: News | None = None
        self._quick_busy = True
        async for last in self._quick.carry_out(order):
            self._take_in(last, order)
        self._quick_busy = False
        if isinstance(last, Done) and self.bench.job is job and not self.bench.stopped:
            self._fine_task = asyncio.create_task(self._finish(job, order.path))

    async def _finish(self, job: Job, path: Path) -> None:
        await asyncio.sleep(SETTLE)
        assert self.bench.limb is not None
        run = (self._fine.run, self.bench.scan_kept, job.scan)
        found = None if self._fine_run == run else self.bench.limb.found
        self._fine_run = run
        order = Order(job, path, self.bench.scan_kept, fine=True, found=found)
        self._fine_busy = True
        async for news in self._fine.carry_out(order):
            self._take_in(news, order)
        self._fine_busy, self._fine_task = False, None

    def _take_in(self, news: News, order: Order) -> None:
        bench = self.bench
        match news:
            case Step():
                bench.step = news
            case ScanSeen():
                bench.scan, bench.limb, bench.worn, bench.leather = news, None, None, None
                bench.made, bench.parcels["scan"] = None, self.revision
            case LimbSeen():
                bench.limb = news
            case WornSeen():
                bench.worn, bench.parcels["worn"] = news, self.revision
            case LeatherSeen():
                bench.leather, bench.leather_job, bench.parcels["leather"] = news, order.job, self.revision
            case Made():
                bench.made, bench.made_job = news, order.job
            case Trouble():
                bench.step, bench.trouble = None, news
            case Done():
                bench.step = None
        self.changed()

    def _stop_all(self) -> None:
        self._stop_fine()
        if self._quick_busy:
            self._quick.stop()

    def _stop_fine(self) -> None:
        task, self._fine_task = self._fine_task, None
        if task is not None:
            task.cancel()
        if self._fine_busy:
            self._fine.stop()
            self._fine_busy, self.bench.step = False, None


def _with_scan(job: Job, *, file: str) -> Job:
    return job.model_copy(update={"scan": job.scan.model_copy(update={"file": file})})


def _with_seams(job: Job, seams: tuple[SeamSettings, ...]) -> Job:
    """Raises JobError where the seams are none for one job."""
    return job_of(job.model_copy(update={"seam": seams}).model_dump(mode="json"), name="the work order")


def _set_in(table: Any, path: list[str | int], value: Any) -> None:
    """Set one value of nested tables and lists. Raises JobError where the path leads nowhere."""
    where = ".".join(str(part) for part in path)
    try:
        for part in path[:-1]:
            table = table[part]
        table[path[-1]] = value
    except (IndexError, KeyError, TypeError):
        raise JobError(f"the work order has no place '{where}'") from None
