"""What the work order does not take: where it stands in the job, and why, without a word of the job file."""

from __future__ import annotations

import re
from fnmatch import fnmatchcase
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from flatten.findings import message
from flatten.job.errors import JobError
from flatten.job.settings import Job
from flatten.words import say

Path = tuple[str | int, ...]
"""Where a value stands in a job: ("seam", 0, "gap")."""

_FILE_WORDS = re.compile(
    r"[\[{=]|\b\w+_\w+\b|'(?:auto|solid|all|no|by|where|start|gap)'|\bleave '|\b(?:height and by|around begins)\b"
)
"""What only who writes a job file can read: its brackets and equal signs, its keys, and names that stand for values."""

_ENTRY = re.compile(r"\[\[(\w+)\]\] (\d+), (\w+): (.*)", re.DOTALL)
"""How an error of the whole job begins that is about a key of one of several entries."""

_OWN_WORDS = (
    ("leather", message("page.refused.hardening")),
    ("edges.*", message("page.refused.edge")),
    ("plate.*.around", message("page.refused.around")),
    ("plate.*.heights", message("page.refused.heights")),
    ("plate.*.curve", message("page.refused.curve")),
    ("plate.*.rivets", message("page.refused.sides")),
    ("plate.*", message("page.refused.plate")),
    ("lames.*", message("page.refused.lames")),
    ("hide.*", message("page.refused.hide")),
    ("former.wall", message("page.refused.wall")),
    ("former.bed", message("page.refused.bed")),
    ("", message("page.refused.grounds")),
)
"""Where an error's own words are those of a job file: its place as a pattern, and the page's words for it."""


_CHOSEN = ("literal_error", "shape", "kind_of_limb")
"""Kinds of errors of what the page lets choose from a list: their own words list it as a job file writes it."""


class OrderError(JobError):
    """A value that the work order does not take; `path` is where it stands, empty where it is about several."""

    def __init__(self, sentence: str, *, path: Path) -> None:
        """`sentence` holds no key of the job file: the page shows it beside the field of that path."""
        super().__init__(sentence)
        self.path = path


def ordered(table: dict[str, Any]) -> Job:
    """The job in a table of the work order's values. Raises OrderError where one makes no sense."""
    try:
        return Job.model_validate(table)
    except ValidationError as error:
        raise _refusal(error.errors(include_url=False)[0]) from error


def _refusal(problem: ErrorDetails) -> OrderError:
    path: Path = tuple(problem["loc"])
    if problem["type"] in _CHOSEN:
        return OrderError(say.text(message("page.refused.choice", found=_shown(problem["input"]))), path=path)
    if problem["type"] != "value_error":
        wanted = problem["msg"].replace("Input should be", "it must be")
        return OrderError(_worded(path, f"{_shown(problem['input'])} does not do; {wanted}"), path=path)
    reason = str(problem["ctx"]["error"])
    entry = _ENTRY.fullmatch(reason)
    if entry:
        path, reason = (entry[1], int(entry[2]) - 1, entry[3]), entry[4]
    return OrderError(_worded(path, reason), path=path)


def _worded(path: Path, reason: str) -> str:
    """An error's own words where they are not those of a job file; else the page's, or what is wrong without the way to
    write it, which the field's hint says."""
    if not _FILE_WORDS.search(reason):
        return reason
    place = ".".join(str(part) for part in path)
    own = next((words for pattern, words in _OWN_WORDS if fnmatchcase(place, pattern)), None)
    if own is not None:
        return say.text(own)
    wrong = reason.partition(";")[0]
    return say.text(message("page.refused")) if _FILE_WORDS.search(wrong) else wrong


def _shown(found: Any) -> str:
    """A value as the page shows it in an error."""
    return f"'{found}'" if isinstance(found, str | int | float) and not isinstance(found, bool) else "that"
