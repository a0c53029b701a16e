"""The record of finished pieces: a TOML file that the maker owns, read with its bounds and written piece by piece."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Annotated, Literal

import tomlkit
from pydantic import BeforeValidator, Field, ValidationError

from flatten.errors import CalfskinError
from flatten.job.amounts import AsText, GirthLength, Height, Thickness
from flatten.job.finished import OwnShare
from flatten.job.points import FrozenSettings
from flatten.record.learned import Learned, learned_from
from flatten.units import UnitError, length

ENDING = ".finished.toml"
"""What the record of a job file leg.toml is called after its name: leg.finished.toml."""

SUSPICIOUS = 0.15
"""Share by which a girth may differ from what was foretold before it is asked about: leather comes out within 5 %."""

SLIPS = ((10.0, "mm"), (25.4, "in"))
"""How many times too small a girth is read by a slip, and the unit that was meant: 39 for 390 mm or 39 cm, 15.4 for
15.4 in."""


class RecordError(CalfskinError, ValueError):
    """A record, or a reading for one, makes no sense."""


Gaps = Annotated[float, BeforeValidator(length), Field(ge=0.0, le=1500.0), AsText]
"""mm of girth that no leather covers."""


class RecordedRing(FrozenSettings):
    """One ring: the girths of the inside that were drawn and foretold, and what the tape read there, mm.

    `leather` is how much longer than the inside's a girth is where the tape lies: 0 inside.
    """

    at: str
    height: Height
    drawn: GirthLength
    foretold: GirthLength
    measured: GirthLength
    leather: Gaps = 0.0


class RecordedLine(FrozenSettings):
    """The line drawn on the flat leather's flesh side: its `length`, what it was foretold to become when formed and
    what it became, mm. `stretch` (worn / flat) was foretold along it; whether the leather `cracked` there."""

    length: GirthLength
    stretch: Annotated[float, Field(gt=0.5, lt=2.0)]
    foretold: GirthLength
    measured: GirthLength
    cracked: bool = False

    @property
    def took(self) -> float:
        """The share by which the leather was stretched along it, by what the line became."""
        return self.stretch * self.measured / self.foretold - 1.0


class Recorded(FrozenSettings):
    """One finished piece: of which job and making, which side, how thick, and how it was closed when it was measured.

    `gaps` are all gaps together as they were drawn, `closed` as they were then, mm. `correction` is the maker's own
    that was in force. `date` is as the maker wrote it.
    """

    job: str
    making: str
    side: Literal["left", "right"]
    date: Annotated[str, Field(max_length=40)] = ""
    thickness: Thickness
    correction: OwnShare = 0.0
    taped: Literal["inside", "outside"] = "inside"
    gaps: Gaps
    closed: Gaps
    ring: tuple[RecordedRing, ...] = ()
    line: RecordedLine | None = None

    def inside(self, ring: RecordedRing) -> float:
        """The girth (mm) of the inside at a ring, were it closed as it was drawn."""
        return ring.measured - ring.leather - (self.closed - self.gaps)

    @property
    def shares(self) -> tuple[float, ...]:
        """By how large a share the leather came out longer than it was drawn, at each ring.

        What is drawn counts, the maker's correction in it: so records with one and without tell of the same leather.
        """
        return tuple((self.inside(ring) - ring.drawn) / (ring.drawn - self.gaps) for ring in self.ring)

    @property
    def misses(self) -> tuple[float, ...]:
        """By how many mm the inside is wider than was foretold, at each ring."""
        return tuple(self.inside(ring) - ring.foretold for ring in self.ring)


class _File(FrozenSettings):
    finished: tuple[Recorded, ...] = ()


def read_records(path: Path) -> tuple[Recorded, ...]:
    """The records in a file, none where it is not there.

    Raises RecordError where it cannot be read, or holds what is no record.
    """
    try:
        return records_from(path.read_text("utf-8"), name=path.name)
    except FileNotFoundError:
        return ()
    except (OSError, UnicodeDecodeError) as error:
        raise RecordError(f"the record {path} cannot be read: {error}") from error


def records_from(text: str, *, name: str) -> tuple[Recorded, ...]:
    """The records in a text; `name` is what errors call it. Raises RecordError as `read_records` does."""
    try:
        return _File.model_validate(tomllib.loads(text)).finished
    except tomllib.TOMLDecodeError as error:
        raise RecordError(f"{name} is no record of finished pieces: {error}; mend that line") from error
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = " ".join(str(part + 1) if isinstance(part, int) else part for part in first["loc"])
        raise RecordError(f"{name}: {place} is wrong: {first['msg'].removeprefix('Value error, ')}; mend it") from error


def with_record(text: str, record: Recorded, *, head: str) -> str:
    """The text of a record file with one more record at its end; what was there stays as it was, letter for letter.

    An empty one begins with the `head`, lines of remarks.
    """
    document = tomlkit.document()
    tables = tomlkit.aot()
    entry = tomlkit.table()
    for key, value in record.model_dump(mode="json").items():
        if key == "line" and value is not None:
            drawn = tomlkit.table()
            drawn.update(value)
            entry.add(key, drawn)
        elif key not in ("ring", "line"):
            entry.add(key, value)
    rings = tomlkit.aot()
    for ring in record.ring:
        table = tomlkit.table()
        table.update(ring.model_dump(mode="json"))
        rings.append(table)
    if record.ring:
        entry.add("ring", rings)
    tables.append(entry)
    document.add("finished", tables)
    return (text or head).rstrip("\n") + "\n\n" + tomlkit.dumps(document)


def record_files(places: Iterable[Path]) -> tuple[Path, ...]:
    """The record files among `places`: a file is itself, a folder all that lie in it and below it, by name.

    What is hidden is not looked into. Raises RecordError where a place is not there.
    """
    found: dict[Path, None] = {}
    for place in places:
        if place.is_dir():
            inside = sorted(place.rglob(f"*{ENDING}"))
            hidden = [path.relative_to(place).parts for path in inside]
            for path, parts in zip(inside, hidden, strict=True):
                if not any(part.startswith(".") for part in parts):
                    found[path.resolve()] = None
        elif place.is_file():
            found[place.resolve()] = None
        else:
            raise RecordError(f"there are no records at {place}; name a folder, or a file that ends in {ENDING}")
    return tuple(found)


def jobs_of(files: Sequence[tuple[str, Sequence[Recorded]]]) -> list[list[Recorded]]:
    """Records by jobs, each a file's records of one making: both of a pair share their leather and their day."""
    jobs: dict[tuple[str, str], list[Recorded]] = {}
    for name, records in files:
        for record in records:
            jobs.setdefault((name, record.making), []).append(record)
    return list(jobs.values())


def learned_of(jobs: Sequence[Sequence[Recorded]]) -> Learned:
    """What is learned from the records of each job."""
    shares = ([share for record in job for share in record.shares] for job in jobs)
    return learned_from([job for job in shares if job])


def read_line(text: str, *, foretold: float) -> float:
    """What the line became (mm) by a text. Raises RecordError where that is no length that leather can become."""
    try:
        found = length(text)
    except UnitError as error:
        raise RecordError(str(error)) from None
    if abs(found / foretold - 1.0) > SUSPICIOUS:
        raise RecordError(f"'{text}' is {found:g} mm, and {foretold:.1f} mm were foretold; measure the line again")
    return found


def read_girth(text: str, *, foretold: float) -> float:
    """The girth (mm) in a text, for a ring where another was foretold.

    Raises RecordError where it is no length that a tape reads, with the slip that it looks like.
    """
    try:
        girth = length(text)
    except UnitError as error:
        raise RecordError(str(error)) from None
    if 50.0 <= girth <= 1500.0:
        return girth
    for times, unit in SLIPS:
        if abs(girth * times / foretold - 1.0) <= SUSPICIOUS:
            meant = f"{girth * times:.0f} mm" if unit == "mm" else f"{girth:g} in"
            raise RecordError(f"'{text}' is {girth:g} mm, and {foretold:.0f} mm were foretold; write '{meant}' if so")
    raise RecordError(f"'{text}' is {girth:g} mm, and no girth of 50 to 1500 mm; measure again, and write it in mm")


def is_suspicious(girth: float, *, foretold: float) -> bool:
    """Whether a girth is so far off what was foretold that the tape is doubted first."""
    return abs(girth / foretold - 1.0) > SUSPICIOUS
