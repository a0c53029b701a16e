"""The long work in stages, done in a process of its own: scan read, limb found, leather laid flat, files made.

What has been done is kept, so that a request begins at the first stage that has changed.
"""

from __future__ import annotations

import json
import pickle
from dataclasses import dataclass, replace
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TypeGuard

import numpy as np

from cli.page.carved import carved_payload
from cli.page.companions import CompanionError, check_companions
from cli.page.display import leather_payload, meant_payload, scan_payload
from cli.page.edge_answers import raised_where
from cli.page.kept import renamed
from cli.page.trial import tried, tried_payload
from cli.page.updates import (
    Done,
    Failure,
    Goal,
    JobMade,
    LeatherLaid,
    LeatherTried,
    LimbFound,
    ScanRead,
    Send,
    StageBegun,
    Update,
    WorkRequest,
    WornReady,
)
from flatten import making
from flatten.advice.judge import UNJUDGED, judge
from flatten.advice.judge import steps_of as judge_steps_of
from flatten.drawing.kerf import KerfError
from flatten.errors import CalfskinError
from flatten.former.model import FormerError
from flatten.job.design import Design
from flatten.job.errors import JobError
from flatten.job.laid_out import grounds_of
from flatten.job.ornamented import MotifError, drawings_of
from flatten.job.pieces import Laid
from flatten.job.resolve import resolve
from flatten.job.settings import OtherScan, ScanSettings
from flatten.job.shop import prices_of
from flatten.job.text import job_text
from flatten.leather.limits import leather_limits
from flatten.leather.model import LeatherError, LeatherLimits
from flatten.limb.girths.girth import girth_table
from flatten.limb.kind import KINDS
from flatten.limb.model import FrontError, KindError, LimbError, SeveralLimbsError
from flatten.limb.which.told import other_side
from flatten.measuring import Found, find, read
from flatten.ornament.model import OrnamentError
from flatten.scan.clean import drop_unused
from flatten.scan.model import Scan, ScanError, SeveralPartsError
from flatten.scan.unit import AmbiguousUnitError, NoSizeError
from flatten.sheet.ground import HideError
from flatten.steps import TO_JUDGE, TO_LAY, TO_WRITE, Step, quietly
from flatten.threads import one_thread
from flatten.tolerances import EDGE_SHOWN
from flatten.units import NO_UNIT
from flatten.unwrap.limits import TO_CUT, TO_SHOW
from flatten.unwrap.model import UNSOUGHT
from flatten.worn.defaults import JointError, JointHiddenError
from flatten.worn.lames import LameError
from flatten.worn.neutral import Neutral, Wear, neutral_surface
from flatten.worn.panel import CutError, DartCutError, LayersError, SeamCutError
from flatten.worn.plates import PlateError

MOST_FACES = 1_000_000
"""Faces of a scan: more take longer to read than a maker waits."""

CLICK_ONE = "click the one that is meant"
"""What is to be done about several limbs on the bench."""

MARGINS = (100.0, 40.0, 15.0)
"""mm. Where the worn surface cannot be had over the whole limb, it is shown so far past the edges, or less."""


class WorkError(CalfskinError, RuntimeError):
    """The work cannot be gone on with; `question` names the place of the work order that it is about."""

    def __init__(self, sentence: str, *, question: str) -> None:
        """`question` is one of the work order's."""
        super().__init__(sentence)
        self.question = question


class WhichLimbError(WorkError):
    """The scan shows several limbs or parts, and a click must tell the one that is meant."""

    def __init__(self, seen: str) -> None:
        """`seen` says what the scan shows."""
        super().__init__(f"{seen}; {CLICK_ONE}", question="limb")


class Stages:
    """What one process has done so far."""

    def __init__(self) -> None:
        """Start with nothing."""
        self._read: tuple[int, ScanSettings, Scan] | None = None
        self._found: tuple[tuple[int, ScanSettings], Found] | None = None
        self._pair: tuple[tuple[Found, OtherScan, str], tuple[Found, ...]] | None = None
        self._worn: _Worn | None = None

    @one_thread
    def run(self, request: WorkRequest, send: Send) -> None:
        """Do what is wanted and not yet done, and send each result as it is there."""
        job = request.job
        self._begin(request, send)
        found, *others = self._founds(request)
        design = resolve(job, found.limb, skin=found.skin)
        if request.trial:
            self._announce(Step.DRESSING)
            neutral = self._dressed_for(found, design)
            panels = tried(design, neutral.surface, limits=_limits(request), announce=self._announce)
            send(LeatherTried(tried_payload(panels, mirrored=found.limb.frame.mirrored)))
            return
        laid = making.lay(
            design,
            limits=_limits(request),
            edge_length=None if request.fine else EDGE_SHOWN,
            neutral=None if request.fine else self._dress(found, design, send),
            known=None if request.fine else UNSOUGHT,
            accuracy=TO_CUT if request.fine else TO_SHOW,
            announce=self._announce,
        )
        send(LeatherLaid(leather_payload(laid, mirrored=found.limb.frame.mirrored), request.fine, laid))
        if request.fine:
            beside = _companions(request)
            limbs = [(found, laid), *((other, self._laid(request, other)) for other in others)]
            result = making.finish(
                job,
                limbs,
                text=job_text(job),
                grounds=grounds_of(job, folder=beside),
                prices=prices_of(job.shop, folder=beside),
                drawings=drawings_of(job, folder=beside),
                announce=self._announce,
            )
            carved = carved_payload(result.report.limbs[0])
            send(JobMade(result, carved=carved))
            # What takes longest comes last: the files are there meanwhile, and a new edit stops it.
            judged = judge(job, limbs, limits=_limits(request), announce=self._announce)
            send(JobMade(result if judged is UNJUDGED else making.retold(result, judged), judged, carved))

    def _begin(self, request: WorkRequest, send: Send) -> None:
        more = (*TO_WRITE, *judge_steps_of(request.job)) if request.fine else ()
        steps = (*TO_LAY, *more)
        self._send = send

        def announce(step: str) -> None:
            goal: Goal = "preview" if not request.fine else "advice" if step in TO_JUDGE else "pattern"
            send(StageBegun(step, steps.index(step) + 1, len(steps), goal))

        self._announce = announce

    def _laid(self, request: WorkRequest, found: Found) -> Laid:
        """The other limb's design laid flat, to be cut."""
        design = resolve(request.job, found.limb, skin=found.skin)
        return making.lay(design, limits=_limits(request), announce=quietly)

    def _founds(self, request: WorkRequest) -> tuple[Found, ...]:
        """The limbs that the job makes pieces for: that of its scan, that of the other's too, or the mean of both."""
        first, job = self._find(request), request.job
        if not job.other_scan.file:
            return (first,)
        key = (first, job.other_scan, job.piece.pair)
        if self._pair is None or self._pair[0] != key:
            _companions(request)
            side = other_side(first.limb.side)
            try:
                other = making.other_limb(job, first, side=side, folder=_companions(request))
                founds = (making.mean_found(first, other),) if job.piece.pair == "mean" else (first, other)
            except (ScanError, LimbError) as error:
                raise WorkError(f"of the other limb's scan: {error}", question="pieces") from None
            self._pair = (key, founds)
        return self._pair[1]

    def _find(self, request: WorkRequest) -> Found:
        settings = request.job.scan
        if request.found is not None:
            # Bytes from our own other process, never from outside.
            self._found = ((request.scan_number, settings), pickle.loads(request.found))
        if self._found is not None and self._found[0] == (request.scan_number, settings):
            return self._found[1]
        if not self._has_read(request):
            self._read = None
            _check_alone(request.path, settings.file)
            scan = self._named(request)
            if scan.faces_read > MOST_FACES:
                raise WorkError(
                    f"{settings.file} has {scan.faces_read} faces, and the page takes up to {MOST_FACES}; "
                    "export it with fewer, or use: calfskin make",
                    question="scan",
                )
            self._read = (request.scan_number, settings, scan)
            self._send(ScanRead(scan_payload(scan), len(scan.faces), bare(scan)))
        assert self._read is not None
        try:
            found = find(self._read[2], settings, announce=self._announce)
        except SeveralLimbsError as error:
            raise WhichLimbError(error.seen) from None
        self._found = ((request.scan_number, settings), found)
        girths = tuple(girth_table(found.limb, found.skin))
        meant = meant_payload(self._read[2], found.scan)
        pickled = pickle.dumps(found)
        self._send(LimbFound(bare(found.scan), found.limb, found.skin, girths, found.findings, pickled, meant))
        return found

    def _named(self, request: WorkRequest) -> Scan:
        """The scan, called by the name that its maker knows it by, in errors too."""
        settings, path = request.job.scan, request.path
        try:
            scan = read(settings, path=path, announce=self._announce)
        except SeveralPartsError as error:
            self._send(_parts_seen(error))
            raise WhichLimbError(error.seen) from None
        except ScanError as error:
            raise renamed(error, path, settings.file) from None
        return replace(scan, file=settings.file)

    def _has_read(self, request: WorkRequest) -> bool:
        """Whether the scan that was read still does for the request: a unit found by the tape hangs on all of it."""
        if self._read is None:
            return False
        number, settings, scan = self._read
        wanted = request.job.scan
        if number != request.scan_number or settings.pick != wanted.pick:
            return False
        return settings == wanted if scan.unit_from in ("tape", NO_UNIT) else settings.unit == wanted.unit

    def _dress(self, found: Found, design: Design, send: Send) -> Neutral:
        """The neutral surface over all of the limb, or over the edges' surroundings where it folds elsewhere.

        A drag changes neither skin nor layers: one surface does for all drags.
        """
        wear, needed = design.wear, design.heights
        if self._worn is None or not self._worn.does_for(found, wear, needed):
            self._worn = _worn(found, wear, needed)
            send(WornReady(self._worn.neutral.surface))
        return self._worn.neutral

    def _dressed_for(self, found: Found, design: Design) -> Neutral:
        """The neutral surface that is kept, or, where it does not do, one for this design alone: what is kept is what
        the page shows."""
        worn = self._worn
        if worn is None or not worn.does_for(found, design.wear, design.heights):
            worn = _worn(found, design.wear, design.heights)
        return worn.neutral


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
    for heights in (None, *((low - margin, high + margin) for margin in MARGINS)):
        try:
            return _Worn(found, wear, heights, neutral_surface(found.skin, wear, heights=heights))
        except CutError:
            continue
    return _Worn(found, wear, needed, neutral_surface(found.skin, wear, heights=needed))


def _limits(request: WorkRequest) -> LeatherLimits:
    """The leather's limits; a strip test's are read from where it is kept, whatever the job calls it."""
    limits, hardening = request.job.leather.limits, request.job.leather.hardening
    if not names_strips(limits):
        return leather_limits(limits, folder=request.path.parent, hardening=hardening)
    if request.strips is None:
        raise WorkError(
            f"the leather's limits come from the strip test “{limits}”: bring that file too, or choose other limits",
            question="leather",
        )
    try:
        return leather_limits(request.strips.name, folder=request.strips.parent, hardening=hardening)
    except LeatherError as error:
        raise renamed(error, request.strips, limits) from None


def _companions(request: WorkRequest) -> Path:
    """The folder of the files that the job names beside its scan. Raises CompanionError where one is not there."""
    folder = request.companions or request.path.parent
    check_companions(folder, request.job)
    return folder


def names_strips(limits: str | dict[str, str | float]) -> TypeGuard[str]:
    """Whether a job's limits are the name of a strip test's file."""
    return isinstance(limits, str) and limits.endswith(".toml")


def _parts_seen(error: SeveralPartsError) -> ScanRead:
    """All parts of a scan, as they are shown for one of them to be clicked."""
    points, faces, _ = drop_unused(error.points, error.faces)
    scan = Scan("", points, np.zeros_like(points), faces, error.unit, "", error.scale, len(faces), ())
    return ScanRead(scan_payload(scan), len(faces), bare(scan))


def _check_alone(path: Path, name: str) -> None:
    """Raises WorkError where a glTF text names other files: only what was sent is read, nothing beside it."""
    with path.open("rb") as file:
        if file.read(64).lstrip(b"\xef\xbb\xbf \t\r\n")[:1] != b"{":
            return
    try:
        buffers = json.loads(path.read_bytes()).get("buffers", [])
        alone = all(str(buffer.get("uri", "data:")).startswith("data:") for buffer in buffers)
    except (AttributeError, RecursionError, ValueError):
        return  # broken: the reader says how
    if not alone:
        raise WorkError(f"{name} keeps its points in another file; export it as GLB, which is one", question="scan")


def bare(scan: Scan) -> Scan:
    """The scan without its points and faces: what is said about it."""
    none = np.empty((0, 3))
    return replace(scan, points=none, normals=none, faces=np.empty((0, 3), np.int64), dropped=none, colours=None)


_QUESTIONS: tuple[tuple[type[CalfskinError], str], ...] = (
    (AmbiguousUnitError, "size"),
    (NoSizeError, "size"),
    (ScanError, "scan"),
    (KindError, "limb"),
    (FrontError, "front"),
    (LimbError, "scan"),
    (MotifError, "ornament"),
    (JobError, "under"),
    (LeatherError, "leather"),
    (LayersError, "under"),
    (JointError, "limb"),
    (SeamCutError, "opening"),
    (DartCutError, "darts"),
    (PlateError, "plates"),
    (LameError, "plates"),
    (HideError, "hides"),
    (OrnamentError, "ornament"),
    (FormerError, "former"),
    (KerfError, "files"),
)


_CLICKS: tuple[tuple[type[CalfskinError], str], ...] = (
    (WhichLimbError, "limb"),
    (FrontError, "front"),
    (JointError, "joint"),
)
"""What a click on the scan settles of each kind of error."""


def question_of(error: CalfskinError) -> str:
    """The question of the work order that an error is about."""
    if isinstance(error, WorkError | CompanionError):
        return error.question
    return next((question for kind, question in _QUESTIONS if isinstance(error, kind)), "edges")


def failure_of(error: CalfskinError) -> Failure:
    """What a browser is told of an error, and what may lift it."""
    return Failure(
        error.asked if isinstance(error, FrontError) else str(error),
        question_of(error),
        units=error.units if isinstance(error, AmbiguousUnitError) else (),
        kinds=tuple(KINDS) if isinstance(error, KindError) else (),
        pick=next((pick for kind, pick in _CLICKS if isinstance(error, kind)), ""),
        raised=raised_where(error),
        top_hidden=isinstance(error, JointHiddenError),
    )


class _SupersededError(Exception):
    """A newer request has come: the one under way goes no further."""


def serve_requests(pipe: Connection, newer: Connection) -> None:
    """Work on requests from a pipe until it closes, and send back the updates of each, `Done` or `Failure` last.

    Where anything comes by `newer` meanwhile, a request is left before its next stage; what it has done so far is kept.
    Runs in a process of its own; an error that Calfskin did not raise on purpose ends the process.
    """

    def send_unless_superseded(update: Update) -> None:
        if isinstance(update, StageBegun) and newer.poll():
            raise _SupersededError
        pipe.send(update)

    stages = Stages()
    while True:
        try:
            request = pipe.recv()
            while newer.poll():
                newer.recv()  # it was for an earlier request
        except EOFError:
            return
        try:
            stages.run(request, send_unless_superseded)
        except CalfskinError as error:
            pipe.send(failure_of(error))
            continue
        except _SupersededError:
            pass
        pipe.send(Done())
