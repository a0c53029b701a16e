"""What lies on the bench, and what is kept of it: jobs laid down, taken up again, changed and put away without loss."""

from __future__ import annotations

import asyncio
import time
from collections import OrderedDict, deque
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from cli.files import OutputError
from cli.page.folder import Folder
from cli.page.kept import KeptError, KeptJob, SessionNote, Steps, StepsError
from cli.page.known import SessionState
from cli.page.updates import Failure, ScanRead, StageBegun, Update
from cli.page.work import Wanted, Work
from flatten.errors import CalfskinError
from flatten.job.settings import Job

MOST_UNDO = 100
"""Steps that can be undone."""

AT_HAND = 4
"""Jobs of which all that is known stays at hand, so that going from one to the other takes no time: a pair and two
more. Each takes some tens of MB."""


class SessionError(CalfskinError, ValueError):
    """What a browser asks for cannot be done as the bench stands."""


class NotKeptError(SessionError):
    """A change is not made, because it cannot be kept."""

    def __init__(self, error: BaseException) -> None:
        """`error` is the OSError, or what was raised from it."""
        cause = error.__cause__
        reason = (cause.strerror if isinstance(cause, OSError) else None) or getattr(error, "strerror", None) or error
        super().__init__(
            f"nothing was changed, because it could not be kept: {reason}; make room on the disk or the folder "
            "writable, and do it again"
        )


class NotReadError(SessionError):
    """A scan is not laid down, because the work on it broke off again and again."""

    def __init__(self, name: str) -> None:
        """`name` is the scan's shown name."""
        super().__init__(
            f"{name} was not laid down, because reading it broke off twice; close what takes the computer's memory, or "
            "bring it with fewer faces"
        )


@dataclass(frozen=True)
class Arrival:
    """A scan that has arrived and is read before it is laid down: its place, the job for it, the scan's shown name, its
    number, and the job that waits for it (None: it is one more)."""

    kept: KeptJob
    job: Job
    scan_name: str
    scan_number: int
    strips_name: str | None
    awaiting: KeptJob | None


class Bench:
    """The job that lies on the bench, those that are kept, the work that is done, and who must hear of a change."""

    def __init__(self, folder: Folder) -> None:
        """Take up what the folder keeps. Raises OutputError where that cannot be."""
        self.folder = folder
        self.state = SessionState()
        self.revision = 0
        self.ended = False
        self.arrival: Arrival | None = None
        self._waiting: deque[Arrival] = deque()
        self._turned_away: list[str] = []
        self._broke_off: Arrival | None = None
        self._numbers = 0
        self._at_hand: OrderedDict[str, SessionState] = OrderedDict()
        self._listeners: set[asyncio.Event] = set()
        self.work = Work(self)
        kept = folder.take_up()
        if kept is not None:
            try:
                self.state = self._state_of(kept)
            except KeptError:
                return  # it stands in the list with its trouble
            self.work.begin()

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
        """Let everybody who listens know that nothing more will come; what was put away is deleted for good."""
        self.ended = True
        self.folder.forget_put_away()
        self.changed()

    def changed(self) -> None:
        """Let everybody hear that something is new."""
        self.revision += 1
        for event in self._listeners:
            event.set()

    # The work

    def wanted(self) -> Wanted | None:
        """What is to be worked on: a scan that has arrived, else the job on the bench; None where there is neither."""
        if (arrival := self.arrival) is not None:
            job, kept, name, strips = arrival.job, arrival.kept, arrival.scan_name, arrival.strips_name
            strips_path = self._strips_of(job, kept, strips)
            return Wanted(job, kept.scan_path(name), arrival.scan_number, strips_path, kept.companions)
        state = self.state
        if state.job is None or state.kept is None or state.scan_name is None:
            return None
        strips_path, kept = self._strips_of(state.job, state.kept, state.strips_name), state.kept
        return Wanted(state.job, kept.scan_path(state.scan_name), state.scan_number, strips_path, kept.companions)

    def _strips_of(self, job: Job, kept: KeptJob, name: str | None) -> Path | None:
        return kept.strips if job.leather.limits == name else None

    def is_for_bench(self, update: Update, scan_number: int) -> bool:
        """Whether what was found is about the job on the bench, where a scan that has arrived is laid down first, or
        refused for good."""
        arrival = self.arrival
        if arrival is None or arrival.scan_number != scan_number:
            return scan_number == self.state.scan_number
        if isinstance(update, StageBegun):
            return True
        if isinstance(update, Failure) and update.broke_off and self._broke_off is not arrival:
            self._broke_off = arrival  # it is read again when the work is gone on with
            return True
        if isinstance(update, Failure) and update.broke_off:
            update = replace(update, sentence=str(NotReadError(arrival.scan_name)))
        if isinstance(update, Failure) and update.question == "scan":
            self._refuse(arrival, update)
            return False
        if isinstance(update, ScanRead | Failure):
            return self._laid_down(arrival)
        return False

    def _refuse(self, arrival: Arrival, failure: Failure) -> None:
        """What is no scan is not laid down; what lies there stays as it is, and what came with it comes next."""
        arrival.kept.delete()
        self.state.stage = None
        said = self._turn_away(failure.sentence)
        if self.state.job is None:
            self.state.failure, self.state.refused = replace(failure, sentence=said, broke_off=False), None
        self._read_next()
        self.work.begin()
        self.folder.tidy()
        self.changed()

    def _turn_away(self, sentence: str) -> str:
        """Say why a scan was not laid down, with what was said of those that came with it."""
        self._turned_away.append(sentence)
        said = "; ".join(self._turned_away)
        self.state.refused = (self.revision, said)
        return said

    def _read_next(self) -> None:
        """Let the next of the scans that arrived together be read, where one waits."""
        self.arrival = self._waiting.popleft() if self._waiting else None
        if self.arrival is None:
            self._turned_away = []
        else:
            self.work.give_way()
            self.work.begin()

    def _laid_down(self, arrival: Arrival) -> bool:
        """Whether a scan that was read could be laid down; the next that came with it is read then."""
        kept, waits = arrival.kept, self.folder.job(arrival.awaiting.key if arrival.awaiting else None)
        state = self.new_state(kept, arrival.job, scan_name=arrival.scan_name, strips_name=arrival.strips_name)
        state.scan_number = arrival.scan_number
        try:
            if waits is not None:
                old = self.known(waits.key)  # which may have left the bench meanwhile
                waits.take_scan(kept.scan_path(arrival.scan_name), arrival.scan_name)
                kept.delete()
                state.kept, state.before, state.after = waits, old.before, old.after
                state.past, state.future, state.refused = old.past, old.future, old.refused
            self.lay_down(state, at_work=True)
            if self._turned_away:
                state.refused = (self.revision, "; ".join(self._turned_away))
        except (SessionError, OSError) as error:
            kept.delete()
            self._turn_away(str(error))
            self.changed()
            return False
        finally:
            self._read_next()
        return True

    def arrived(self, made: KeptJob, job: Job, *, strips_name: str | None, awaiting: KeptJob | None) -> Arrival:
        """A scan that lies in its place, to be awaited by `await_scans`."""
        self._numbers += 1
        return Arrival(made, job, job.scan.file, self._numbers, strips_name, awaiting)

    def await_scans(self, arrivals: Iterable[Arrival]) -> None:
        """Let scans that have arrived be read and laid down one after another, in place of those that arrived before
        and are not read yet."""
        for one in [self.arrival, *self._waiting]:
            if one is not None:
                one.kept.delete()
        self._waiting, self._turned_away = deque(arrivals), []
        self.state.refused = None
        self._read_next()
        self.changed()

    # What is kept

    def new_state(
        self, kept: KeptJob, job: Job, *, scan_name: str | None = None, strips_name: str | None = None
    ) -> SessionState:
        """What a new job is laid down with."""
        self._numbers += 1
        return SessionState(kept=kept, job=job, scan_name=scan_name, scan_number=self._numbers, strips_name=strips_name)

    def keep(self, **changes: Any) -> None:
        """Change the state of what lies on the bench, once that is kept. Raises SessionError, and changes nothing,
        where it cannot be."""
        self.keep_of(self.state, **changes)

    def keep_of(self, state: SessionState, **changes: Any) -> None:
        """Change the state of a kept job, on the bench or not, once that is kept. Raises as `keep` does."""
        self._write(replace(state, **changes))
        for name, value in changes.items():
            setattr(state, name, value)

    def lay_down(self, state: SessionState, *, at_work: bool = False) -> None:
        """Lay a job on the bench; what lay there is kept, and comes back by an undo. Raises SessionError, and changes
        nothing, where it cannot be kept."""
        old = self.state
        if old.kept is not None and (state.kept is None or old.kept.key != state.kept.key):
            state.before = old.kept.key
        try:
            self._write(state)
        except SessionError:
            if state.kept is not None and state.kept.kept_at is None:
                state.kept.delete()
            raise
        self._put(state, at_work=at_work)

    def open(self, key: str | None) -> None:
        """Lay a kept job on the bench. Raises SessionError where there is none of this key, or it cannot be read."""
        kept = self._kept(key)
        if self.state.kept is not None and self.state.kept.key == kept.key:
            return
        try:
            state = self._at_hand.pop(kept.key, None) or self._state_of(kept)
        except KeptError as error:
            raise SessionError(str(error)) from None
        self._put(state)

    def put_away(self, key: str | None) -> None:
        """Delete a kept job, which can be put back until another is deleted or the bench is closed.

        Raises SessionError where there is none of this key, or it cannot be moved.
        """
        kept = self._kept(key)
        try:
            self.folder.put_job_away(kept)
        except OSError as error:
            raise NotKeptError(error) from None
        self._take_off(kept)
        self.changed()

    def put_back(self) -> None:
        """Keep the job again that was deleted last, and lay it on the bench where nothing lies there.

        Raises SessionError where there is none, or it cannot be moved.
        """
        try:
            kept = self.folder.put_back()
        except OSError as error:
            raise NotKeptError(error) from None
        if kept is None:
            raise SessionError("there is nothing that could be put back")
        self.changed()
        if self.state.job is None and self.arrival is None:
            self.open(kept.key)

    def delete(self, key: str | None) -> None:
        """Delete a kept job for good. Raises SessionError where there is none of this key."""
        kept = self._kept(key)
        self._take_off(kept)
        kept.delete()
        self.folder.tidy()
        self.changed()

    def clear_all(self) -> None:
        """Delete all jobs for good, and what was put away."""
        self.folder.forget_put_away()
        for kept in self.folder.jobs():
            self.delete(kept.key)

    def known(self, key: str | None) -> SessionState:
        """The state of a kept job, on the bench or not. Raises SessionError where there is none, or none to be read."""
        kept = self._kept(key)
        if self.state.kept is not None and self.state.kept.key == kept.key:
            return self.state
        try:
            return self._at_hand.get(kept.key) or self._state_of(kept)
        except KeptError as error:
            raise SessionError(str(error)) from None

    def _kept(self, key: str | None) -> KeptJob:
        kept = self.folder.job(key)
        if kept is None:
            raise SessionError("that job is no longer kept; choose another")
        return kept

    def _take_off(self, kept: KeptJob) -> None:
        """Let a job that is to be deleted lie on the bench no longer."""
        if self.state.kept is not None and self.state.kept.key == kept.key:
            self.work.stop()
            self._numbers += 1
            self.state = SessionState(scan_number=self._numbers)
        self._at_hand.pop(kept.key, None)

    def _put(self, state: SessionState, *, at_work: bool = False) -> None:
        """Let a state that is kept be the one on the bench, and be worked on, where it is not yet."""
        old = self.state
        if not at_work:
            self.work.give_way()
        if old.kept is not None and (state.kept is None or old.kept.key != state.kept.key):
            old.stage, old.refused, old.receiving = None, None, None
            self._at_hand[old.kept.key] = old
            while len(self._at_hand) >= AT_HAND:
                self._at_hand.popitem(last=False)
        self.state = state
        # What does not fit on the disk there is told at the next change; the job itself is kept already.
        try:
            self.folder.lay_down(state.kept)
        except OutputError as error:
            state.refused = (self.revision, str(NotKeptError(error)))
        if not at_work:
            self.work.begin()
        self.changed()

    def _state_of(self, kept: KeptJob) -> SessionState:
        """What a kept job is laid down with; it says so where its steps cannot be read.

        Raises KeptError where it cannot be read itself.
        """
        job, note = kept.read()
        steps, refused = Steps(), None
        try:
            steps = kept.steps()
        except StepsError as error:
            refused = (self.revision, str(error))
        there = note.scan_name is not None and kept.scan_path(note.scan_name).exists()
        self._numbers += 1
        return SessionState(
            kept=kept,
            job=job,
            scan_name=note.scan_name if there else None,
            scan_number=self._numbers,
            strips_name=note.strips_name if kept.strips.exists() else None,
            front=note.front if there else None,
            past=list(steps.past),
            future=list(steps.future),
            before=note.before,
            after=note.after,
            refused=refused,
        )

    def _write(self, state: SessionState) -> None:
        assert state.kept is not None
        assert state.job is not None
        note = SessionNote(
            state.scan_name, state.front, state.strips_name, state.before, state.after, worked_on=time.time()
        )
        try:
            state.kept.keep(state.job, note, Steps(tuple(state.past), tuple(state.future)))
        except OutputError as error:
            raise NotKeptError(error) from None
