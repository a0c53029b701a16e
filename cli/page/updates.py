"""What server and worker process send each other: a request, and updates while it is worked on."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from cli.page.edge_answers import Raised
from flatten.advice.judge import Judged
from flatten.findings import Finding
from flatten.job.pieces import Laid
from flatten.job.settings import Job
from flatten.limb.girths.girth import Girth
from flatten.limb.model import Limb
from flatten.limb.surface.model import LimbSurface
from flatten.making import Result
from flatten.scan.model import Scan


@dataclass(frozen=True)
class WorkRequest:
    """What is wanted: the job, the path of its scan, and how fine. `scan_number` changes with every new scan.

    `trial`: only the leather, coarser than a preview, of a line that is held by hand.

    `strips` is the path of the strip test that the job names, None where it is not there.
    `companions` is the folder of the other files that the job names.
    `found` is what another process sent as `LimbFound.found`, so that the limb need not be found again.
    """

    job: Job
    path: Path
    scan_number: int
    fine: bool
    trial: bool = False
    strips: Path | None = None
    companions: Path | None = None
    found: bytes | None = None


Goal = Literal["preview", "pattern", "advice"]
"""What a stage leads to."""


@dataclass(frozen=True)
class StageBegun:
    """A stage that has begun, its number among so many, and what it leads to."""

    name: str
    number: int
    of: int
    goal: Goal


@dataclass(frozen=True, eq=False)
class ScanRead:
    """A scan that was read: its payload for the browser, and the scan without its points."""

    payload: bytes
    faces: int
    scan: Scan


@dataclass(frozen=True, eq=False)
class LimbFound:
    """The limb that was found, `scan` without its points; `found` is the whole result, pickled for another process.

    `meant` is the payload that tells the limb from the rest of what the browser shows, empty where it is all.
    """

    scan: Scan
    limb: Limb
    skin: LimbSurface
    girths: tuple[Girth, ...]
    findings: tuple[Finding, ...]
    found: bytes
    meant: bytes = b""


@dataclass(frozen=True, eq=False)
class WornReady:
    """The surface that the leather lies on, as far as it can be had."""

    surface: LimbSurface


@dataclass(frozen=True, eq=False)
class LeatherLaid:
    """The leather laid flat: its payload for the browser, and its figures."""

    payload: bytes
    fine: bool
    laid: Laid


@dataclass(frozen=True, eq=False)
class LeatherTried:
    """The leather of a trial: its payload for the browser."""

    payload: bytes


@dataclass(frozen=True, eq=False)
class JobMade:
    """The finished job: its files by name, and what was judged of it, None until that is done.

    `carved` is the payload of what is carved of it, empty where nothing is.
    """

    result: Result
    judged: Judged | None = None
    carved: bytes = b""


@dataclass(frozen=True)
class Failure:
    """One sentence about what cannot be done, and the question of the work order that it is about.

    `units` are those that the scan may be in where it does not say, `kinds` the limbs that it may be one of; `pick` is
    what a click on the scan would settle ("limb", "front", "joint"), `raised` the edge that must be so many mm higher,
    and `top_hidden` whether the top edge hangs on a joint that the scan does not show.
    `broke_off` is whether the process that worked on it has ended, so that it may be gone on with by another.
    """

    sentence: str
    question: str
    units: tuple[str, ...] = ()
    kinds: tuple[str, ...] = ()
    pick: str = ""
    raised: Raised | None = None
    top_hidden: bool = False
    broke_off: bool = False


@dataclass(frozen=True)
class Done:
    """The request is done, or was left for a newer one."""


Update = StageBegun | ScanRead | LimbFound | WornReady | LeatherLaid | LeatherTried | JobMade | Failure | Done
Send = Callable[[Update], None]
