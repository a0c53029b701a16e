"""What is on the bench, and what is known about it by now."""

from __future__ import annotations

from dataclasses import dataclass, field

from cli.page.kept import AgreedFront, KeptJob
from cli.page.remembered import Remembered
from cli.page.updates import Failure, JobMade, LeatherLaid, LimbFound, ScanRead, StageBegun, WornReady
from flatten.advice.model import Advice
from flatten.job.settings import Job


@dataclass(frozen=True, eq=False)
class Followed:
    """A piece of advice that was taken, and the job before it."""

    advice: Advice
    before: Job


@dataclass
class SessionState:
    """What is on the bench and what is known about it. None: not there, or not known yet.

    `kept` is where the job is kept; `front` is the one that the maker agreed to; `before` and `after` are the jobs that
    an undo and a redo lead to where no step of its own is left. `refused` is what was not laid down or kept, by the
    revision at which that was. `payloads` numbers what a browser fetches apart ("scan", "worn", "leather",
    "carved"), anew whenever it is another. `told` is what the page was told last.
    """

    kept: KeptJob | None = None
    job: Job | None = None
    scan_name: str | None = None
    scan_number: int = 0
    strips_name: str | None = None
    front: AgreedFront | None = None
    past: list[Job] = field(default_factory=list)
    future: list[Job] = field(default_factory=list)
    before: str | None = None
    after: str | None = None
    refused: tuple[int, str] | None = None
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
    followed: Followed | None = None
    payloads: dict[str, int] = field(default_factory=dict)
    told: Remembered = field(default_factory=dict)
