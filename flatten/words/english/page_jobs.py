"""The browser page in English: the jobs that are kept."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from flatten.words.language import Sentence

_MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


def worked_on(days: int, clock: str, day: int, month: int) -> str:
    """When a job was last worked on."""
    if days <= 0:
        return f"today at {clock}"
    return f"yesterday at {clock}" if days == 1 else f"on {day} {_MONTHS[month - 1]}"


SENTENCES: Mapping[str, Sentence] = MappingProxyType({"page.worked on": worked_on})

PAGE: Mapping[str, str] = MappingProxyType(
    {
        "jobs": "Jobs",
        "jobs.count": "Jobs ({count})",
        "jobs.one here": "on the bench",
        "jobs.open": "Lay on the bench",
        "jobs.open named": "Lay on the bench: {job}",
        "jobs.delete": "Delete",
        "jobs.delete named": "Delete {job} with its scan",
        "jobs.sure": "Press again: it and its scan go",
        "jobs.name": "Name",
        "jobs.name named": "Name {job} anew",
        "jobs.put back": "Put back {job}",
        "jobs.put back hint": "Until another is deleted or the bench is closed.",
        "jobs.how": "A new scan is one more job: what lay on the bench is kept here, and Undo brings it back.",
        "jobs.delete all": "Delete all jobs and scans",
        "jobs.delete all sure": "Press again: all of them go for good",
    }
)
