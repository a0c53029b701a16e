"""The one truth about what lies on the bench; whatever a browser shows is made from here."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from cli.page.asked import front_found
from cli.page.bench import MOST_UNDO, NotKeptError, SessionError
from cli.page.companions import Companion, at_path, keep_companion, naming, with_companions
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
from cli.page.intake import Intake
from cli.page.kept import KeptJob
from cli.page.known import Followed
from cli.page.readings import USUAL_NAME, readings_text
from cli.page.remembered import remembered
from cli.page.stages import names_strips
from cli.page.upload import shown_name
from cli.page.verdict import stop_of, sure_with, sure_without, verdict_now
from flatten.advice.model import Advice
from flatten.errors import CalfskinError
from flatten.job.errors import JobError
from flatten.job.resolve import edges_of, resolve
from flatten.job.settings import Job
from flatten.job.text import job_of, job_table
from flatten.report.verdict import Verdict
from flatten.worn.curves import Edge
from flatten.worn.cut import check_cuts
from flatten.worn.panel import CutError


class Session(Intake):
    """What a user does with the job on the bench, and brings to it."""

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

    async def tried(self, changes: Changes) -> bytes | None:
        """The payload of the leather that changes would make, coarse; None where something newer came before it.

        Job, undo and files stay as they are. What is being made finely gives way, and begins anew after a while.

        Raises as `change` does, SessionError also where no leather lies on the bench or the scan would be read anew,
        TrialError where the leather cannot be laid.
        """
        job = self.with_changes(changes)
        if self.state.scan_name is None or self.state.worn is None or job.scan != self._job().scan:
            raise SessionError("only what is on the bench can be tried; wait until the leather lies on it")
        return await self.work.tried(job) if self.arrival is None else None

    def add_seam(self) -> None:
        """One more seam, as the first one is, where most leather is. Raises SessionError where there is no job yet."""
        self._change_to(seam_added(self._job(), fits=self._fits))

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
        if self.state.failure is None and job.dart != self._job().dart:
            self._check(job)
        return job

    def _fits(self, job: Job) -> bool:
        try:
            self._check(job)
        except CutError:
            return False
        return True

    def _check(self, job: Job) -> None:
        """See that a job's lines can be cut on the limb, once it is dressed. Raises CutError where they cannot."""
        limb, worn = self.state.limb, self.state.worn
        if limb is not None and worn is not None:
            cuts, leather = resolve(job, limb.limb, skin=limb.skin).cuts, job.leather
            check_cuts(worn.surface, cuts, thickness=leather.thickness, side_names=limb.limb.kind.sides)

    def use_advice(self, number: int) -> None:
        """Make the change that a piece of advice names, counted from 0. Raises SessionError where there is none."""
        advice, before = self.advice(number), self._job()
        self._change_to(advice.job)
        self.state.followed = Followed(advice, before)

    def advice(self, number: int) -> Advice:
        """A piece of advice for the job as it stands, counted from 0. Raises SessionError where there is none."""
        made = self.state.made
        current = made is not None and self.state.made_job == self.state.job
        given = made.judged.advice if made is not None and made.judged is not None and current else None
        if not given or not 0 <= number < len(given):
            raise SessionError("there is no such advice for the job as it stands; wait until it is there")
        return given[number]

    def followed(self) -> Followed | None:
        """The advice that the last change followed, while the job is still the one that it made."""
        followed = self.state.followed
        return followed if followed is not None and followed.advice.job == self.state.job else None

    def give_back_advice(self) -> None:
        """Undo the change that followed a piece of advice. Raises SessionError where the job has changed since."""
        followed = self.followed()
        if followed is None or self.state.past[-1:] != [followed.before]:
            raise SessionError("the job has been changed since the advice was taken; undo those changes one by one")
        self.undo()

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
        known = state.job, state.limb, state.leather, state.made
        return remembered(state.told, "stands", known, lambda: verdict_now(*known))

    def undo(self) -> None:
        """Go back to the job before the last change. Raises SessionError where there is none."""
        state = self.state
        if state.past:
            job, past, future = state.past[-1], state.past[:-1], [*state.future, self._job()]
            self._set(job, past=past, future=future)
            return
        before = self.folder.job(state.before)
        if before is None:
            raise SessionError("there is nothing to be undone")
        left = state.kept
        self.open(before.key)
        if left is not None:
            self.keep(after=left.key)

    def redo(self) -> None:
        """Go forward again. Raises SessionError where nothing was undone."""
        state = self.state
        if state.future:
            job, past, future = state.future[-1], [*state.past, self._job()], state.future[:-1]
            self._set(job, past=past, future=future)
            return
        after = self.folder.job(state.after)
        if after is None:
            raise SessionError("there is nothing to be done again")
        self.open(after.key)

    @property
    def can_undo(self) -> bool:
        """Whether a step of the job can be undone, or its laying down."""
        return bool(self.state.past) or self.folder.job(self.state.before) is not None

    @property
    def can_redo(self) -> bool:
        """Whether what was undone can be done again."""
        return bool(self.state.future) or self.folder.job(self.state.after) is not None

    def agree_front(self) -> None:
        """The user has looked at the front that was found and agrees. Raises SessionError where none is found yet."""
        job, limb = self._job(), self.state.limb
        if limb is None:
            raise SessionError("the limb is not found yet; wait until it stands on the bench")
        self.keep(front=front_found(job, limb.limb))
        self.changed()

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
            self.take_job(job_of(table, name=name))

    def take_companion(self, path: tuple[str | int, ...], *, sent_name: str, data: bytes) -> None:
        """Keep a file that was brought for a place of the job which names one, and let the job name it.

        Raises OrderError where the job has no such place, CompanionError, OrnamentError, HideError or JobError where it
        is none of its sort, SessionError where it cannot be kept or there is no job yet.
        """
        job, state = self._job(), self.state
        assert state.kept is not None
        companion = at_path(job, path)
        try:
            name = keep_companion(state.kept.companions, job, companion, sent_name=sent_name, data=data)
        except OSError as error:
            raise NotKeptError(error) from None
        self._change_to(with_values(job, naming(companion, name)))

    def take_readings(self, form: Any) -> None:
        """Keep the readings of strips that were typed in as the strip test, and take the leather's limits from it.

        Raises LeatherError where they make no sense, SessionError where there is no job yet.
        """
        self._take_strips(readings_text(form), self.state.strips_name or USUAL_NAME)

    def take_job(self, job: Job, companions: Iterable[tuple[Companion, str, bytes]] = ()) -> None:
        """Lay a job down with the `companions` that came with it: its scan stays if it is the one on the bench, else it
        must be brought; so with its strip test.

        Raises as `keep_companion` does, SessionError where it cannot be kept.
        """
        name = shown_name(job.scan.file)
        job = with_scan(job, file=name)
        if names_strips(job.leather.limits):
            job = with_limits(job, shown_name(job.leather.limits))
        if self.state.scan_name == name and self.state.kept is not None:
            try:
                job = with_companions(self.state.kept.companions, job, companions)
            except OSError as error:
                raise NotKeptError(error) from None
            self._change_to(job)
            return
        made: KeptJob | None = None
        try:
            made = self.folder.new_job()
            if self.state.kept is not None:
                made.copy_strips(self.state.kept)
            job = with_companions(made.companions, job, companions)
        except (OSError, CalfskinError) as error:
            if made is not None:
                made.delete()
            raise NotKeptError(error) if isinstance(error, OSError) else error from None
        self.lay_down(self.new_state(made, job, strips_name=self.state.strips_name))

    def _take_strips(self, text: str, name: str) -> None:
        job, state = self._job(), self.state
        assert state.kept is not None
        try:
            state.kept.keep_strips(text, name=name)
        except OSError as error:
            raise NotKeptError(error) from None
        self.keep(strips_name=name)
        state.leather_job, state.made_job = None, None
        if job.leather.limits == name:
            self._want()
        else:
            self._change_to(with_limits(job, name))

    def stop(self) -> None:
        """Stop the work under way; what was good before stays."""
        self.work.stop()
        self.state.stage, self.state.stopped = None, True
        self.changed()

    def go_on(self) -> None:
        """Take up work that was stopped."""
        self._want()

    def rename(self, key: str | None, name: str) -> None:
        """Give a kept job a title, on the bench or not, which is a step of its own that can be undone.

        Raises SessionError where it is no longer kept or cannot be read or written, JobError where that is no title.
        """
        state = self.known(key)
        assert state.job is not None
        titled: Changes = [(["output", "title"], name)]
        if state is self.state:
            self.change(titled)
        elif (job := with_values(state.job, titled)) != state.job:
            self.keep_of(state, job=job, past=[*state.past[1 - MOST_UNDO :], state.job], future=[])
            self.state.refused = state.refused or self.state.refused
            self.changed()

    def clear(self) -> None:
        """Delete the job on the bench, its scan and its steps for good. Raises SessionError where there is none."""
        self._job()
        self.delete(self.state.kept.key if self.state.kept else None)

    def _job(self) -> Job:
        if self.state.job is None:
            raise SessionError("there is nothing on the bench yet; bring a scan first")
        return self.state.job

    def _change_to(self, job: Job) -> None:
        old = self._job()
        if job != old:
            self._set(job, past=[*self.state.past[1 - MOST_UNDO :], old], future=[])

    def _set(self, job: Job, *, past: list[Job], future: list[Job]) -> None:
        self._job()
        self.keep(job=job, past=past, future=future)
        self._want()

    def _want(self) -> None:
        self.work.give_way()
        self.state.failure, self.state.stopped, self.state.refused = None, False, None
        self.work.begin()
        self.changed()
