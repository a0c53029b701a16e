"""The long work, done in a process of its own: a scan read, its limb found, its leather laid flat, its files made.

A desk keeps what it has done, so that an order begins at the first step that has changed.
"""

from __future__ import annotations

import json
import pickle
from collections.abc import Callable
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Literal, TypeGuard

import numpy as np

from cli.page.folder import renamed
from cli.page.shown import leather_parcel, scan_parcel
from flatten import make as house
from flatten.advice.judge import STEPS as JUDGE_STEPS
from flatten.advice.judge import UNJUDGED, Judged, judge
from flatten.advice.judge import steps_of as judge_steps_of
from flatten.errors import CalfskinError
from flatten.job.errors import JobError
from flatten.job.settings import Job, ScanSettings
from flatten.job.steps import edges_of, reach_of, wear_of
from flatten.job.text import job_text
from flatten.leather.limits import leather_limits
from flatten.leather.model import LeatherError, LeatherLimits
from flatten.limb.girths.girth import Girth, girth_table
from flatten.limb.model import FrontError, KindError, Limb, LimbError, SeveralLimbsError
from flatten.limb.surface.model import LimbSurface
from flatten.measure import Found, find, read
from flatten.scan.clean import drop_unused
from flatten.scan.model import Scan, ScanError, SeveralPartsError
from flatten.scan.unit import AmbiguousUnitError
from flatten.threads import one_thread
from flatten.tolerances import EDGE_SHOWN
from flatten.unwrap.limits import TO_CUT, TO_SHOW
from flatten.unwrap.model import UNSOUGHT
from flatten.worn.neutral import Neutral, Wear, neutral_surface
from flatten.worn.panel import CutError, LayersError, SeamCutError

MOST_FACES = 1_000_000
"""Faces of a scan: more take longer to read than a maker waits."""

CLICK_ONE = "click the one that is meant"
"""What is to be done about several limbs on the bench."""

ROOMS = (100.0, 40.0, 15.0)
"""mm. Where the worn surface cannot be had over the whole limb, it is shown so far past the edges, or less."""


class DeskError(CalfskinError, RuntimeError):
    """The work cannot be gone on with; `question` names the place of the work order that it is about."""

    def __init__(self, sentence: str, *, question: str) -> None:
        """`question` is one of the work order's."""
        super().__init__(sentence)
        self.question = question


@dataclass(frozen=True)
class Order:
    """What is wanted: the job, where its scan is kept, and how fine. `kept` changes with every new scan.

    `strips` is where the strip test that the job names is kept, None where it is not there.
    `found` is the finding that another desk sent as `LimbSeen.found`, so that it need not be made again.
    """

    job: Job
    path: Path
    kept: int
    fine: bool
    strips: Path | None = None
    found: bytes | None = None


Aim = Literal["look", "pattern", "advice"]
"""What work leads to."""


@dataclass(frozen=True)
class Step:
    """A step that has begun, its number among so many, and what it leads to."""

    name: str
    number: int
    of: int
    towards: Aim


@dataclass(frozen=True, eq=False)
class ScanSeen:
    """A scan that was read, as it is shown: a parcel, and the scan without its points."""

    parcel: bytes
    faces: int
    scan: Scan


@dataclass(frozen=True, eq=False)
class LimbSeen:
    """The limb that was found, `scan` without its points; `found` is the whole finding for another desk."""

    scan: Scan
    limb: Limb
    skin: LimbSurface
    girths: tuple[Girth, ...]
    cautions: tuple[str, ...]
    found: bytes


@dataclass(frozen=True, eq=False)
class WornSeen:
    """The surface that the leather lies on, as far as it can be had."""

    surface: LimbSurface


@dataclass(frozen=True, eq=False)
class LeatherSeen:
    """The leather laid flat: its parcel, and what it asks."""

    parcel: bytes
    fine: bool
    laid: house.Laid


@dataclass(frozen=True, eq=False)
class Made:
    """The finished job: its files by name, and what was judged of it, None until that is done."""

    result: house.Result
    judged: Judged | None = None


@dataclass(frozen=True)
class Trouble:
    """One sentence about what cannot be done, and the question of the work order that it is about."""

    sentence: str
    question: str


@dataclass(frozen=True)
class Done:
    """The order is done, or was left for a newer one."""


News = Step | ScanSeen | LimbSeen | WornSeen | LeatherSeen | Made | Trouble | Done
Tell = Callable[[News], None]


class Desk:
    """What one process has done so far."""

    def __init__(self) -> None:
        """Start with nothing."""
        self._read: tuple[int, ScanSettings, Scan] | None = None
        self._found: tuple[tuple[int, ScanSettings], Found] | None = None
        self._worn: _Worn | None = None

    @one_thread
    def carry_out(self, order: Order, tell: Tell) -> None:
        """Do what is wanted and not yet done, and tell each thing as it is there."""
        job = order.job
        if job.other_scan.file:
            raise DeskError(
                "the bench takes one limb's scan, and the job has [other_scan] too; use: calfskin make", question="scan"
            )
        self._begin(order, tell)
        found = self._find(order)
        laid = house.lay(
            job,
            found,
            limits=_limits(order),
            edge_length=None if order.fine else EDGE_SHOWN,
            neutral=None if order.fine else self._dress(job, found, tell),
            known=None if order.fine else UNSOUGHT,
            care=TO_CUT if order.fine else TO_SHOW,
            announce=self._announce,
        )
        tell(LeatherSeen(leather_parcel(laid, mirrored=found.limb.frame.mirrored), order.fine, laid))
        if order.fine:
            result = house.finish(job, found, laid, text=job_text(job), announce=self._announce)
            tell(Made(result))
            # What takes longest comes last: the files are there meanwhile, and a new edit stops it.
            subject = house.to_judge(found, laid)
            judged = judge(job, subject, limits=_limits(order), announce=self._announce)
            tell(Made(result if judged is UNJUDGED else house.retold(result, judged), judged))

    def _begin(self, order: Order, tell: Tell) -> None:
        more = (*house.STEPS[-2:], *judge_steps_of(order.job)) if order.fine else ()
        steps = (*house.STEPS[:6], *more)
        self._tell = tell

        def announce(step: str) -> None:
            towards: Aim = "look" if not order.fine else "advice" if step in JUDGE_STEPS else "pattern"
            tell(Step(step, steps.index(step) + 1, len(steps), towards))

        self._announce = announce

    def _find(self, order: Order) -> Found:
        settings = order.job.scan
        if order.found is not None:
            # Bytes from our own other process, never from outside.
            self._found = ((order.kept, settings), pickle.loads(order.found))
        if self._found is not None and self._found[0] == (order.kept, settings):
            return self._found[1]
        if not self._has_read(order):
            self._read = None
            _check_alone(order.path, settings.file)
            scan = self._named(order)
            if scan.faces_read > MOST_FACES:
                raise DeskError(
                    f"{settings.file} has {scan.faces_read} faces, and the page takes up to {MOST_FACES}; "
                    "export it with fewer, or use: calfskin make",
                    question="scan",
                )
            self._read = (order.kept, settings, scan)
            self._tell(ScanSeen(scan_parcel(scan), len(scan.faces), bare(scan)))
        assert self._read is not None
        try:
            found = find(self._read[2], settings, announce=self._announce)
        except SeveralLimbsError as error:
            raise DeskError(f"{error.seen}; {CLICK_ONE}", question="limb") from None
        self._found = ((order.kept, settings), found)
        girths = tuple(girth_table(found.limb, found.skin))
        self._tell(LimbSeen(bare(found.scan), found.limb, found.skin, girths, found.cautions, pickle.dumps(found)))
        return found

    def _named(self, order: Order) -> Scan:
        """The scan, called by the name that its maker knows it by, in errors too."""
        settings, path = order.job.scan, order.path
        try:
            scan = read(settings, path=path, announce=self._announce)
        except SeveralPartsError as error:
            self._tell(_parts_seen(error))
            raise DeskError(f"{error.seen}; {CLICK_ONE}", question="limb") from None
        except ScanError as error:
            raise renamed(error, path, settings.file) from None
        return replace(scan, file=settings.file)

    def _has_read(self, order: Order) -> bool:
        """Whether the scan that was read is still as the order wants it: a unit told by the tape hangs on all of it."""
        if self._read is None:
            return False
        kept, settings, scan = self._read
        wanted = order.job.scan
        if kept != order.kept or settings.pick != wanted.pick:
            return False
        return settings == wanted if scan.unit_from == "tape" else settings.unit == wanted.unit

    def _dress(self, job: Job, found: Found, tell: Tell) -> Neutral:
        """The neutral surface over all of the limb, or over the edges' surroundings where it folds elsewhere.

        A drag changes neither skin nor layers: one surface does for all drags.
        """
        wear = wear_of(job)
        needed = reach_of(job, edges=edges_of(job, limb=found.limb, trusted=found.skin.trusted))
        if self._worn is None or not self._worn.does_for(found, wear, needed):
            self._worn = _worn(found, wear, needed)
            tell(WornSeen(self._worn.neutral.surface))
        return self._worn.neutral


@dataclass(frozen=True, eq=False)
class _Worn:
    """A neutral surface, what it was made from, and over which heights (None: all of the limb)."""

    found: Found
    wear: Wear
    heights: tuple[float, float] | None
    neutral: Neutral

    def does_for(self, found: Found, wear: Wear, needed: tuple[float, float]) -> bool:
        """Whether it is also the neutral surface of this limb and these layers, over the heights that are needed."""
        reaches = self.heights is None or (self.heights[0] <= needed[0] and needed[1] <= self.heights[1])
        return self.found is found and self.wear == wear and reaches


def _worn(found: Found, wear: Wear, needed: tuple[float, float]) -> _Worn:
    low, high = needed
    for heights in (None, *((low - room, high + room) for room in ROOMS)):
        try:
            return _Worn(found, wear, heights, neutral_surface(found.skin, wear, heights=heights))
        except CutError:
            continue
    return _Worn(found, wear, needed, neutral_surface(found.skin, wear, heights=needed))


def _limits(order: Order) -> LeatherLimits:
    """The leather's limits; a strip test's are read from where it is kept, whatever the job calls it."""
    limits = order.job.leather.limits
    if not names_strips(limits):
        return leather_limits(limits, folder=order.path.parent)
    if order.strips is None:
        raise DeskError(
            f"the leather's limits come from the strip test “{limits}”: bring that file too, or choose other limits",
            question="leather",
        )
    try:
        return leather_limits(order.strips.name, folder=order.strips.parent)
    except LeatherError as error:
        raise renamed(error, order.strips, limits) from None


def names_strips(limits: str | dict[str, str | float]) -> TypeGuard[str]:
    """Whether a job's limits are the name of a strip test's file."""
    return isinstance(limits, str) and limits.endswith(".toml")


def _parts_seen(error: SeveralPartsError) -> ScanSeen:
    """All parts of a scan, as they are shown for one of them to be clicked."""
    points, faces, _ = drop_unused(error.points, error.faces)
    scan = Scan("", points, np.zeros_like(points), faces, error.unit, "", 1.0, len(faces), ())
    return ScanSeen(scan_parcel(scan), len(faces), bare(scan))


def _check_alone(path: Path, name: str) -> None:
    """Raises DeskError where a glTF text names other files: only what was sent is read, nothing beside it."""
    with path.open("rb") as file:
        if file.read(64).lstrip(b"\xef\xbb\xbf \t\r\n")[:1] != b"{":
            return
    try:
        buffers = json.loads(path.read_bytes()).get("buffers", [])
        alone = all(str(buffer.get("uri", "data:")).startswith("data:") for buffer in buffers)
    except (AttributeError, RecursionError, ValueError):
        return  # broken: the reader says how
    if not alone:
        raise DeskError(f"{name} keeps its points in another file; export it as GLB, which is one", question="scan")


def bare(scan: Scan) -> Scan:
    """The scan without its points and faces: what is told about it."""
    none = np.empty((0, 3))
    return replace(scan, points=none, normals=none, faces=np.empty((0, 3), np.int64), dropped=none, colours=None)


_QUESTIONS: tuple[tuple[type[CalfskinError], str], ...] = (
    (AmbiguousUnitError, "size"),
    (ScanError, "scan"),
    (KindError, "limb"),
    (FrontError, "front"),
    (LimbError, "scan"),
    (JobError, "under"),
    (LeatherError, "leather"),
    (LayersError, "under"),
    (SeamCutError, "opening"),
)


def question_of(error: CalfskinError) -> str:
    """The question of the work order that an error is about."""
    if isinstance(error, DeskError):
        return error.question
    return next((question for kind, question in _QUESTIONS if isinstance(error, kind)), "edges")


class _SupersededError(Exception):
    """A newer order has come: the one under way goes no further."""


def work(orders: Connection, newer: Connection) -> None:
    """Carry out orders from a pipe until it closes, and send back the news of each, `Done` or `Trouble` last.

    Where anything comes by `newer` meanwhile, an order is left before its next step; what it has done so far is kept.
    Runs in a process of its own; an error that Calfskin did not raise on purpose ends the process.
    """

    def tell(news: News) -> None:
        if isinstance(news, Step) and newer.poll():
            raise _SupersededError
        orders.send(news)

    desk = Desk()
    while True:
        try:
            order = orders.recv()
            while newer.poll():
                newer.recv()  # it was for an earlier order
        except EOFError:
            return
        try:
            desk.carry_out(order, tell)
        except CalfskinError as error:
            orders.send(Trouble(str(error), question_of(error)))
            continue
        except _SupersededError:
            pass
        orders.send(Done())
