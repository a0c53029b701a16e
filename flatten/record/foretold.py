"""What was foretold of a job's pieces, from the report of its making."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from scipy.interpolate import CubicSpline

from flatten.job.settings import Job
from flatten.job.text import job_from, read_job, with_paths_from
from flatten.record.records import RecordError
from flatten.report.finished import digest
from flatten.units import UnitError, length

ASIDE = ("output", "sure")
"""Tables of a job file that change no leather: the report is of the same pieces where they alone differ."""


@dataclass(frozen=True)
class ForetoldRing:
    """A ring of a piece, mm: the inside's girth as drawn and as foretold, and that by a tape over the outside."""

    name: str
    height: float
    drawn: float
    foretold: float
    outside: float


@dataclass(frozen=True)
class ForetoldLine:
    """The line to be drawn on the flat leather: its length, what the flesh side of it becomes (mm), its stretch (worn /
    flat), and where its middle is (mm, rad)."""

    length: float
    stretch: float
    foretold: float
    height: float
    bearing: float


@dataclass(frozen=True)
class ForetoldPiece:
    """What was foretold of the piece for one side of a job: `kind` of limb, leather's thickness, all gaps (mm), the
    maker's own correction, the rings from the lowest up, and the line to be drawn before forming."""

    job: str
    making: str
    side: str
    kind: str
    thickness: float
    correction: float
    gaps: float
    rings: tuple[ForetoldRing, ...]
    line: ForetoldLine | None = None

    @property
    def asked(self) -> tuple[ForetoldRing, ...]:
        """The rings with names, from the top down as a piece stands before its maker."""
        return tuple(ring for ring in reversed(self.rings) if ring.name)

    def ring(self, place: str) -> ForetoldRing:
        """The ring at a place: a ring's name, or a height between the lowest and the highest ring.

        Between two rings girths go as a cubic spline through all of them. Raises RecordError where none is there.
        """
        for ring in self.rings:
            if place and ring.name == place:
                return ring
        low, high = self.rings[0].height, self.rings[-1].height
        names = ", ".join(f"'{ring.name}'" for ring in self.asked)
        try:
            height = length(place)
        except UnitError:
            raise RecordError(
                f"'{place}' is no ring of this job; write {names}, or a height from {low:.0f} to {high:.0f} mm"
            ) from None
        if not low <= height <= high:
            raise RecordError(
                f"no ring goes all round the piece at {height:.0f} mm; write {names}, or a height from {low:.0f} to "
                f"{high:.0f} mm"
            )
        heights, first = np.unique([ring.height for ring in self.rings], return_index=True)
        if len(heights) < 2:
            return self.rings[0]
        rows = np.array([(ring.drawn, ring.foretold, ring.outside) for ring in self.rings])[first]
        drawn, foretold, outside = (float(value) for value in CubicSpline(heights, rows)(height))
        return ForetoldRing("", height, drawn, foretold, outside)


def foretold_of(path: Path, *, out: Path) -> tuple[ForetoldPiece, ...]:
    """What the report in the folder `out` foretold of the job file at `path`, for each side that pieces were cut for.

    Raises JobError where the job file cannot be read, RecordError where there is no report of that very job.
    """
    job = read_job(path)
    again = f"make it again: calfskin make {path}"
    try:
        numbers = json.loads((out / "report.json").read_text("utf-8"))
        made_from = (out / "job.toml").read_bytes()
        making = digest(made_from)
    except FileNotFoundError as error:
        raise RecordError(
            f"there is no {Path(error.filename).name} in {out}; make the job first, calfskin make {path}, or name the "
            "folder of its files with --out"
        ) from None
    except (OSError, ValueError) as error:
        raise RecordError(f"the report in {out} cannot be read: {error}; {again}") from error
    if not isinstance(numbers, dict) or not {"making", "limbs"} <= set(numbers):
        raise RecordError(f"{out / 'report.json'} foretells no rings; {again}")
    if numbers["making"] != making:
        raise RecordError(f"report.json and job.toml in {out} are not of one making; {again}")
    then = job_from(made_from.decode("utf-8"), name=str(out / "job.toml"))
    changed = _changed(with_paths_from(job, folder=path.parent, out=out), then)
    if changed:
        raise RecordError(
            f"{path.name} is another job than the one that {out} was made from: {changed}; name the job file and the "
            "folder (--out) of the piece that you measured"
        )
    pieces = [_piece(numbers, limb, side) for limb in numbers["limbs"] for side in limb["finished"]["sides"]]
    if not all(piece.rings for piece in pieces):
        raise RecordError(f"no ring goes all round the pieces of {path.name}, so no girth can be compared")
    return tuple(pieces)


def _piece(numbers: dict[str, Any], limb: dict[str, Any], side: str) -> ForetoldPiece:
    found = limb["finished"]
    return ForetoldPiece(
        numbers["job"],
        numbers["making"],
        side,
        limb["kind"],
        numbers["leather"]["thickness"],
        found["correction"],
        found["gaps"],
        tuple(
            ForetoldRing(row["name"], row["height"], row["drawn"], row["foretold"], row["foretold_outside"])
            for row in found["rings"]
        ),
        _line(found["line"]),
    )


def _line(found: dict[str, Any] | None) -> ForetoldLine | None:
    if found is None:
        return None
    return ForetoldLine(found["length"], found["stretch"], found["foretold"], found["height"], found["bearing"])


def _changed(now: Job, then: Job) -> str:
    """The first setting by which two jobs' leather differs, in words; "" where it does not."""
    tables = [job.model_dump(mode="json", exclude=set(ASIDE)) for job in (now, then)]
    return _difference("", *tables)


def _difference(place: str, now: Any, then: Any) -> str:
    if isinstance(now, dict) and isinstance(then, dict):
        pairs = [(f"{place}.{key}".lstrip("."), now.get(key), then.get(key)) for key in {**now, **then}]
        return next((found for pair in pairs if (found := _difference(*pair))), "")
    if isinstance(now, list) and isinstance(then, list) and len(now) == len(then):
        rows = ((f"{place} {number}", *row) for number, row in enumerate(zip(now, then, strict=True), 1))
        return next((found for row in rows if (found := _difference(*row))), "")
    if now == then:
        return ""
    if isinstance(now, list | dict) or isinstance(then, list | dict):
        return f"{place} was changed"
    return f"{place} is {now!r} and was {then!r}"
