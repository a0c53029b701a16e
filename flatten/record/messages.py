"""What is told of records and of what was learned from them."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from flatten.findings import Message, message
from flatten.record.learned import FEWEST, Learned
from flatten.record.records import Recorded

DIGITS = 3
"""Decimals of the correction's share that is offered: tenths of a per cent, 0.4 mm of a calf's girth."""


def record_message(file: str, record: Recorded) -> Message:
    """One record that counts, by the mean of its rings."""
    return message(
        "finished.counted",
        file=file,
        job=record.job,
        side=record.side,
        date=record.date,
        thickness=record.thickness,
        share=float(np.mean(record.shares)),
        miss=float(np.mean(record.misses)),
        rings=len(record.ring),
    )


def learned_messages(found: Learned) -> list[Message]:
    """What was learned, how sure that is, and a correction where it is sure enough, else what it takes."""
    if found.judged == "none":
        return [message("finished.none")]
    if found.judged == "few":
        return [message("finished.few", jobs=found.jobs, more=FEWEST - found.jobs, bias=found.bias)]
    told = [
        message("finished.bias", jobs=found.jobs, rings=found.rings, bias=found.bias, low=found.low, high=found.high),
        message("finished.scatter", scatter=found.scatter, ring=None if math.isnan(found.ring) else found.ring),
    ]
    return [*told, _verdict(found)]


def _verdict(found: Learned) -> Message:
    if found.judged == "unclear":
        return message("finished.unclear", jobs=found.jobs, needed=found.needed)
    if found.judged == "scattered":
        return message("finished.scattered")
    return message("finished.offer", text=offered(found.correction))


def offered(correction: float) -> str:
    """A correction as the job file takes it, "-1.2 %"."""
    return f"{100.0 * round(correction, DIGITS):.1f} %"


def line_messages(records: Sequence[Recorded]) -> list[Message]:
    """What lines that were drawn before forming tell of the leather; none where there was none."""
    lines = [record.line for record in records if record.line is not None]
    if not lines:
        return []
    whole, torn = ([line.took for line in lines if line.cracked == cracked] for cracked in (False, True))
    most, least = max(whole, default=None), min(torn, default=None)
    return [message("finished.survived", lines=len(lines), most=most, cracked=len(torn), least=least)]


def all_records(files: Sequence[tuple[str, Sequence[Recorded]]]) -> list[Message]:
    """Each record of each file."""
    return [record_message(name, record) for name, records in files for record in records if record.ring]
