"""The one truth about what lies on the bench; whatever a browser shows is made from here."""

from __future__ import annotations

import asyncio
from dataclasses import dataclass, field, replace
from importlib.resources import files
from typing import Any

from cli.demo import SCANS
from cli.page.dart import dart_added, dart_removed
from cli.page.edge import edge_told, point_added, point_removed
from cli.page.edits import (
    Changes,
    seam_added,
    seam_removed,
    with_limits,
    with_scan,
    with_seams_reaching,
    with_sure,
    with_values,
)
from cli.page.folder import Folder, SessionNote
from cli.page.readings import USUAL_NAME, readings_text
from cli.page.stages import names_strips
from cli.page.updates import (
    Done,
    Failure,
    JobMade,
    LeatherLaid,
    LimbFound,
    ScanRead,
    StageBegun,
    Update,
    WorkRequest,
    WornReady,
)
from cli.page.upload import shown_name
from cli.page.verdict import stop_of, sure_with, sure_without, verdict_now
from cli.page.worker import Worker
from flatten.errors import CalfskinError
from flatten.job.errors import JobError
from flatten.job.resolve import edges_of, resolve
from flatten.job.settings import Job, ScanSettings
from flatten.job.text import job_from, job_of, job_table
from flatten.report.verdict import Verdict
from flatten.worn.curves import Edge
from flatten.worn.cut import check_cuts

MOST_UNDO = 100
"""Steps that can be undone."""

SETTLE = 0.4
"""s. The fine result is begun after so long without a change, so that a row of drags does not start it each time."""


class SessionError(CalfskinError, ValueError):
    """What a browser asks for cannot be done as the bench stands."""


@dataclass
class SessionState:
    """What is on the bench and what is known about it. None: not there, or not known yet.

    `payloads` numbers what a browser fetches apart ("scan", "worn", "leather"), anew whenever it is another.
    """

    job: Job | None = None
    scan_name: str | None = None
    scan_number: int = 0
    strips_name: str | None = None
    front_agreed: bool = False
    past: list[Job] = field(default_factory=list)
    future: list[Job] = field(default_factory=list)
    receiving: tuple[int, int] | None = None
    stage: StageBegun | None = None
    stopped: bool = False
    failure: Failure | None = None
    scan: ScanRead | None = None
    limb: LimbFound | None = None
    worn: WornReady | None = None
    leather: LeatherLaid | None = None
    leather_job: Job | None = None
    made: JobMade | None = None
    made_job: Job | None = None
    payloads: dict[str, int] = field(default_factory=dict)


class Session:
    """The bench, the two processes that work for it, and who must hear of a change."""

    def __init__(self, folder: Folder) -> None:
        """Take up what the folder keeps."""
        self.folder = folder
        self.state = SessionState()
        self.revision = 0
        self.ended = False
        self._listeners: set[asyncio.Event] = set()
        self._wanted = asyncio.Event()
        self._quick, self._fine = Worker(), Worker()
        self._quick_busy = self._fine_busy = False
        self._fine_task: asyncio.Task[None] | None = None
        self._fine_last: tuple[object, int, ScanSettings] | None = None
        self._restore()

    def _restore(self) -> None:
        kept = self.folder.kept()
        if kept is None:
            return
        job, note = kept
        name = note.scan_name
        there = name is not None and self.folder.scan_path(name).exists()
        self.state = SessionState(
            job=job,
            scan_name=name if there else None,
            scan_number=1,
            strips_name=note.strips_name if self.folder.strips.exists() else None,
            front_agreed=note.front_agreed and there,
        )
        self._wanted.set()

    # Who hears of a change

    def listen(self) -> asyncio.Event:
        """An event that is set at every change, until it is given back to `forget`."""
        event = asyncio.Event()
        event.set()
        self._listeners.add(event)
        return event

    def forget(self, event: asyncio.Event) -> None:
        """No longer set an event of `listen`."""
        self._listeners.discard(event)

    def end_events(self) -> None:
        """Let everybody who listens know that nothing more will come."""
        self.ended = True
        self.changed()

    def changed(self) -> None:
        """Let everybody hear that something is new."""
        self.revision += 1
        for event in self._listeners:
            event.set()

    # What the user does

    def change(self, changes: Changes) -> None:
        """Set values in the job, each by its path.

        Raises JobError or SeamError where one is wrong, SessionError where there is no job; and changes nothing then.
        """
        self._change_to(self.with_changes(changes))

    def with_changes(self, changes: Changes) -> Job:
        """The job with values set, a drawn seam run on past its edges. Raises as `change` does."""
        job = with_values(self._job(), changes)
        limits = job.leather.limits
        if names_strips(limits) and limits not in (self._job().leather.limits, self.state.strips_name):
            raise JobError(f"the strip test “{shown_name(limits)}” is not on the bench; bring its file")
        limb = self.state.limb
        return self._with_room(job if limb is None else with_seams_reaching(job, limb.limb, limb.skin))

    def add_seam(self) -> None:
        """One more seam, as the first one is, where most leather is. Raises SessionError where there is no job yet."""
        self._change_to(seam_added(self._job()))

    def remove_seam(self, number: int) -> None:
        """Take a seam away, counted from 0.

        Raises EditError where it is the last one, or none, and SessionError where there is no job yet.
        """
        self._change_to(seam_removed(self._job(), number))

    def add_dart(self, bearing: float, height: float) -> None:
        """A dart from the nearer edge at a place of the limb: degrees from the front, mm up it.

        Raises DartError or CutError where none can be there, SessionError where no limb is known yet.
        """
        bottom, top = self._edges()
        job = dart_added(self._job(), bearing=bearing, height=height, bottom=bottom, top=top)
        self._change_to(self._with_room(job))

    def remove_dart(self, number: int) -> None:
        """Take a dart away, counted from 0. Raises DartError where there is none, SessionError without a job."""
        self._change_to(dart_removed(self._job(), number))

    def tell_edge(self, name: str, way: str) -> None:
        """Tell an edge in another way, where it is. Raises EdgeError, or SessionError where no limb is known yet."""
        self._change_to(edge_told(self._job(), name, way, edge=self._edge(name)))

    def add_edge_point(self, name: str, bearing: float, height: float) -> None:
        """Lead an edge through one more point, degrees from the front and mm up the limb. Raises as `tell_edge`."""
        self._change_to(point_added(self._job(), name, bearing=bearing, height=height, edge=self._edge(name)))

    def remove_edge_point(self, name: str, number: int) -> None:
        """Take a point of an edge away, counted from 0. Raises EdgeError where there is none, or too few stay."""
        self._change_to(point_removed(self._job(), name, number))

    def _edges(self) -> tuple[Edge, Edge]:
        """The bottom and the top edge as they are on the limb."""
        limb = self.state.limb
        if limb is None:
            raise SessionError("the limb is not found yet; wait until it stands on the bench")
        return edges_of(self._job(), limb.limb, trusted=limb.skin.trusted)

    def _edge(self, name: str) -> Edge:
        return self._edges()[name == "top"]

    def _with_room(self, job: Job) -> Job:
        """The same job, once its darts are seen to have room. Where the job as it stands cannot be cut, a dart may be
        what is mended: then it is taken as it is.

        Raises CutError where one comes too near a seam, an edge or another dart.
        """
        limb, worn = self.state.limb, self.state.worn
        if limb is not None and worn is not None and self.state.failure is None and job.dart != self._job().dart:
            cuts, leather = resolve(job, limb.limb, skin=limb.skin).cuts, job.leather
            check_cuts(worn.surface, cuts, thickness=leather.thickness, side_names=limb.limb.kind.sides)
        return job

    def use_advice(self, number: int) -> None:
        """Make the change that a piece of advice names, counted from 0. Raises SessionError where there is none."""
        made = self.state.made
        current = made is not None and self.state.made_job == self.state.job
        given = made.judged.advice if made is not None and made.judged is not None and current else None
        if not given or not 0 <= number < len(given):
            raise SessionError("there is no such advice for the job as it stands; wait until it is there")
        self._change_to(given[number].job)

    def be_sure(self, key: str, figure: str) -> None:
        """Settle the stop of a key by the figure that was looked at, as a job file has it.

        Raises SessionError where that is not what stands against cutting any more.
        """
        verdict = self.verdict()
        stop = None if verdict is None else stop_of(verdict, key, figure)
        if verdict is None or stop is None:
            raise SessionError("what you were sure of is no longer what is in doubt; look at it again")
        self._change_to(with_sure(self._job(), sure_with(self._job(), stop, verdict=verdict)))

    def be_unsure(self, key: str, figure: str) -> None:
        """Take back what was said of a stop. Raises SessionError where there is no such stop."""
        verdict = self.verdict()
        stop = None if verdict is None else stop_of(verdict, key, figure)
        if stop is None:
            raise SessionError("that is no longer in doubt; there is nothing to be taken back")
        self._change_to(with_sure(self._job(), sure_without(self._job(), stop)))

    def verdict(self) -> Verdict | None:
        """What stands against cutting what lies on the bench; None while no limb is known."""
        state = self.state
        if state.job is None or state.limb is None:
            return None
        return verdict_now(state.job, state.limb, leather=state.leather, made=state.made)

    def undo(self) -> None:
        """Go back to the job before the last change. Raises SessionError where there is none."""
        self._undo_step(self.state.past, self.state.future, "undone")

    def redo(self) -> None:
        """Go forward again. Raises SessionError where nothing was undone."""
        self._undo_step(self.state.future, self.state.past, "done again")

    def agree_front(self) -> None:
        """The user has looked at the front and agrees."""
        self.state.front_agreed = True
        self._keep()
        self.changed()

    def receive(self, so_far: int, of: int) -> None:
        """Send how much of a scan has arrived."""
        self.state.receiving = (so_far, of)
        self.changed()

    def stop_receiving(self) -> None:
        """A scan has arrived, or will not."""
        self.state.receiving = None
        self.changed()

    def take_scan(self, sent_name: str) -> None:
        """The scan that has arrived is the one on the bench. A job that was opened and waits for it is kept."""
        name = shown_name(sent_name)
        old = self.state
        if old.job is not None and old.scan_name is None:
            job = with_scan(old.job, file=name)
        else:
            job = Job(scan=ScanSettings(file=name))
            if old.job is not None:
                job = job.model_copy(update={"wear": old.job.wear, "leather": old.job.leather})
        self._start_with(job, name)

    def take_demo(self) -> None:
        """The demo leg and its job are on the bench."""
        demo = SCANS[0].bare
        self.folder.arriving.write_bytes((files("cli.meshes") / demo.file).read_bytes())
        self._start_with(job_from(demo.text, name=demo.job), demo.file)

    def take_text(self, text: str, *, sent_name: str) -> None:
        """Take a job file, or the readings of a strip test: the content decides.

        Raises JobError where it is neither, LeatherError where the readings make no sense, SessionError where they come
        before there is a job to use them.
        """
        name = shown_name(sent_name)
        table = job_table(text, name=name)
        if "strip" in table and "scan" not in table:
            self._take_strips(text, f"{name[:-5] if name.lower().endswith('.toml') else name}.toml")
        else:
            self._open_job(job_of(table, name=name))

    def take_readings(self, form: Any) -> None:
        """Keep the readings of strips that were typed in as the strip test, and take the leather's limits from it.

        Raises LeatherError where they make no sense, SessionError where there is no job yet.
        """
        self._take_strips(readings_text(form), self.state.strips_name or USUAL_NAME)

    def _open_job(self, job: Job) -> None:
        """Its scan stays if it is the one on the bench, else it must be brought; so with its strip test."""
        name = shown_name(job.scan.file)
        job = with_scan(job, file=name)
        if names_strips(job.leather.limits):
            job = with_limits(job, shown_name(job.leather.limits))
        if self.state.scan_name == name:
            self._change_to(job)
            return
        self._stop_all()
        self.state = SessionState(job=job, scan_number=self.state.scan_number + 1, strips_name=self.state.strips_name)
        self._keep()
        self.changed()

    def _take_strips(self, text: str, name: str) -> None:
        job = self._job()
        self.folder.keep_strips(text, name=name)
        state = self.state
        state.strips_name, state.leather_job, state.made_job = name, None, None
        if job.leather.limits == name:
            self._want()
        else:
            self._change_to(with_limits(job, name))

    def stop(self) -> None:
        """Stop the work under way; what was good before stays."""
        self._stop_all()
        self.state.stage, self.state.stopped = None, True
        self.changed()

    def go_on(self) -> None:
        """Take up work that was stopped."""
        self._want()

    def clear(self) -> None:
        """Delete the session from the bench and from the disk."""
        self._stop_all()
        self.folder.clear()
        self.state = SessionState(scan_number=self.state.scan_number + 1)
        self.changed()

    def _job(self) -> Job:
        if self.state.job is None:
            raise SessionError("there is nothing on the bench yet; bring a scan first")
        return self.state.job

    def _start_with(self, job: Job, name: str) -> None:
        self._stop_all()
        self.folder.keep_scan(name)
        self.state = SessionState(
            job=job, scan_name=name, scan_number=self.state.scan_number + 1, strips_name=self.state.strips_name
        )
        self._want()

    def _change_to(self, job: Job) -> None:
        old = self._job()
        if job == old:
            return
        self.state.past = [*self.state.past[1 - MOST_UNDO :], old]
        self.state.future = []
        self._set(job)

    def _undo_step(self, source: list[Job], target: list[Job], what: str) -> None:
        if not source:
            raise SessionError(f"there is nothing to be {what}")
        target.append(self._job())
        self._set(source.pop())

    def _set(self, job: Job) -> None:
        old = self._job()
        if (old.scan.front, old.scan.limb, old.scan.side) != (job.scan.front, job.scan.limb, job.scan.side):
            self.state.front_agreed = False
        self.state.job = job
        self._want()

    def _want(self) -> None:
        self._stop_fine()
        if self._quick_busy:
            self._quick.give_way()
        self.state.failure, self.state.stopped = None, False
        self._keep()
        self._wanted.set()
        self.changed()

    def _keep(self) -> None:
        self.folder.keep(self.state.job, self._note())

    def _note(self) -> SessionNote:
        return SessionNote(self.state.scan_name, self.state.front_agreed, self.state.strips_name)

    # The work

    async def run(self) -> None:
        """Bring what is known up to the job, again and again, until cancelled."""
        try:
            while True:
                await self._wanted.wait()
                self._wanted.clear()
                await self._update()
        finally:
            self._stop_fine()
            self._quick.close()
            self._fine.close()

    async def _update(self) -> None:
        job, name = self.state.job, self.state.scan_name
        if job is None or name is None:
            return
        request = self._request(job, name, fine=False)
        last: Update | None = None
        self._quick_busy = True
        async for last in self._quick.updates(request):
            self._apply(last, request)
        self._quick_busy = False
        # Where something newer is wanted, even the same job again, its own preview comes first.
        if isinstance(last, Done) and not self._wanted.is_set() and self.state.job is job and not self.state.stopped:
            self._fine_task = asyncio.create_task(self._finish(job, name))

    def _request(self, job: Job, name: str, *, fine: bool) -> WorkRequest:
        strips = self.folder.strips if job.leather.limits == self.state.strips_name else None
        return WorkRequest(job, self.folder.scan_path(name), self.state.scan_number, fine=fine, strips=strips)

    async def _finish(self, job: Job, name: str) -> None:
        await asyncio.sleep(SETTLE)
        assert self.state.limb is not None
        run = (self._fine.generation, self.state.scan_number, job.scan)
        found = None if self._fine_last == run else self.state.limb.found
        self._fine_last = run
        request = replace(self._request(job, name, fine=True), found=found)
        self._fine_busy = True
        async for update in self._fine.updates(request):
            self._apply(update, request)
        self._fine_busy, self._fine_task = False, None

    def _apply(self, update: Update, request: WorkRequest) -> None:
        state = self.state
        match update:
            case StageBegun():
                state.stage = update
            case ScanRead():
                state.scan, state.limb, state.worn, state.leather = update, None, None, None
                state.made, state.payloads["scan"] = None, self.revision
            case LimbFound():
                state.limb = update
            case WornReady():
                state.worn, state.payloads["worn"] = update, self.revision
            case LeatherLaid():
                state.leather, state.leather_job, state.payloads["leather"] = update, request.job, self.revision
            case JobMade():
                state.made, state.made_job = update, request.job
            case Failure():
                state.stage, state.failure = None, update
            case Done():
                state.stage = None
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
            self._fine_busy, self.state.stage = False, None
