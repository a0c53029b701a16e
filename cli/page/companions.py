"""Files that a job names beside its scan, kept in its folder: the other limb's scan, drawings, hides, prices."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from cli.page.edits import Changes, with_values
from cli.page.refusals import OrderError
from cli.page.upload import MOST_SCAN_BYTES, MOST_TEXT_BYTES, SUFFIXES, shown_name
from flatten.errors import CalfskinError
from flatten.job.settings import Job
from flatten.job.shop import read_prices
from flatten.ornament.bring import brought as drawing_from
from flatten.scan.format import format_of
from flatten.sheet.traced import traced_hide

Sort = Literal["scan", "drawing", "outline", "prices"]

ENDINGS: dict[Sort, tuple[str, ...]] = {
    "scan": SUFFIXES,
    "drawing": (".svg", ".dxf"),
    "outline": (".svg", ".dxf"),
    "prices": (".toml",),
}
"""Endings of each sort of file: its reader goes by them."""

MOST_BYTES: dict[Sort, int] = {
    "scan": MOST_SCAN_BYTES,
    "drawing": 20 * 1024 * 1024,
    "outline": 20 * 1024 * 1024,
    "prices": MOST_TEXT_BYTES,
}
"""bytes. A drawing of ten thousand strands has a few million."""

_ODD = re.compile(r"[^\w .()+-]")
"""What is in no kept file's name: all but letters, digits, blanks and a few marks that every system takes."""

_DEVICES = ("con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(10)))
"""Names that one system keeps for its devices."""

Place = tuple[str | int, ...]
"""The path of a key of a job: ("motif", 0, "file")."""


class CompanionError(CalfskinError, ValueError):
    """A file that a job names beside its scan is not there, or is none of its sort; `question` asks about it."""

    def __init__(self, sentence: str, *, question: str) -> None:
        """`question` is one of the work order's."""
        super().__init__(sentence)
        self.question = question


@dataclass(frozen=True)
class Companion:
    """A file that a job names: the `path` of its key, of what sort it is, its `name` ("" where none is named yet) and
    the `question` of the work order that asks about it."""

    path: Place
    sort: Sort
    name: str
    question: str


def companions(job: Job) -> list[Companion]:
    """All the places of a job that may name a file beside its scan."""
    found = [Companion(("other_scan", "file"), "scan", job.other_scan.file, "pieces")]
    found += [Companion(("motif", n, "file"), "drawing", one.file, "ornament") for n, one in enumerate(job.motif)]
    found += [Companion(("hide", n, "outline"), "outline", one.outline, "hides") for n, one in enumerate(job.hide)]
    return [*found, Companion(("shop", "prices"), "prices", job.shop.prices, "files")]


def at_path(job: Job, path: Place) -> Companion:
    """The place of a job that a path leads to. Raises OrderError where it takes no file."""
    found = next((one for one in companions(job) if one.path == path), None)
    if found is None:
        raise OrderError("what you bring a file for is no longer in the work order; look at it again", path=path)
    return found


def naming(companion: Companion, name: str) -> Changes:
    """The changes that let a job name a file where its place is."""
    also: list[tuple[list[str | int], Any]] = []
    if companion.sort == "drawing":
        also = [([*companion.path[:-1], "kind"], "drawing"), ([*companion.path[:-1], "along"], "all round")]
    if companion.sort == "scan" and not companion.name:
        also = [(["piece", "pair"], "own scan")]
    if companion.sort == "outline":
        also = [([*companion.path[:-1], key], value) for key, value in _NO_SHAPE]
    return [*also, (list(companion.path), name)]


_NO_SHAPE = (("shape", ""), ("length", "auto"), ("width", "auto"))


def safe_name(sent: str) -> str:
    """The name that a file is kept under: as it was sent, but for what another system would not take."""
    plain = _ODD.sub("_", shown_name(sent)).strip(" .")
    return f"_{plain}" if plain.partition(".")[0].casefold() in ("", *_DEVICES) else plain


def kept_companion(folder: Path, companion: Companion) -> Path:
    """Where a file is kept that a job names. Raises CompanionError where it is not there."""
    name = companion.name
    path = folder / safe_name(name)
    # What a job file names may lie anywhere; only what was brought is read.
    if name != path.name or not path.is_file():
        raise _absent(companion)
    return path


def _absent(companion: Companion) -> CompanionError:
    file, question = shown_name(companion.name), companion.question
    match companion.sort:
        case "scan":
            return CompanionError(
                f"the other limb's scan “{file}” is not on the bench; bring its file, or cut both pieces by this one",
                question=question,
            )
        case "drawing":
            return CompanionError(
                f"the drawing “{file}” is not on the bench; bring its file, or choose a filling or a border",
                question=question,
            )
        case "outline":
            return CompanionError(
                f"the outline “{file}” is not on the bench; bring its file, or tell the leather's shape and size",
                question=question,
            )
        case "prices":
            return CompanionError(
                f"the prices “{file}” are not on the bench; bring their file, or leave them out", question=question
            )


def check_companions(folder: Path, job: Job) -> None:
    """Raises CompanionError where a file that a job names is not kept in the folder."""
    for companion in companions(job):
        if companion.name:
            kept_companion(folder, companion)


def keep_companion(folder: Path, job: Job, companion: Companion, *, sent_name: str, data: bytes) -> str:
    """The name that a file is kept under that was brought for a place of a job.

    What a kept file holds never changes, so that a step that is undone finds its own: another one of the same name is
    kept under a name of its own.

    Raises CompanionError, ScanError, OrnamentError, HideError or JobError where it is none of its sort, and OSError
    where it cannot be written; nothing new is kept then.
    """
    name = safe_name(sent_name)
    endings, most = ENDINGS[companion.sort], MOST_BYTES[companion.sort]
    if not name.lower().endswith(endings):
        *names, last = (ending.lstrip(".").upper() for ending in endings)
        wanted = f"{', '.join(names)} or {last}" if names else last
        raise CompanionError(
            f"{shown_name(sent_name)} is no {wanted} file, and that is what is wanted here; save it as one",
            question=companion.question,
        )
    if len(data) > most:
        raise CompanionError(
            f"{shown_name(sent_name)} has {len(data) / 2**20:.1f} MB, and up to {most / 2**20:g} MB are taken; save it "
            "with fewer points",
            question=companion.question,
        )
    with tempfile.TemporaryDirectory() as waiting:
        tried = Path(waiting) / name
        tried.write_bytes(data)
        _READERS[companion.sort](tried, job, companion)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    name = _own_name(folder, name, data)
    place = folder / name
    if not place.exists():
        waiting_at = folder / f".{name}.part"
        try:
            waiting_at.write_bytes(data)
            waiting_at.replace(place)
        finally:
            waiting_at.unlink(missing_ok=True)
    return name


def with_companions(folder: Path, job: Job, brought: Iterable[tuple[Companion, str, bytes]]) -> Job:
    """The job that names files which came with it, now kept in the folder: each its place, its name and its bytes.

    Raises as `keep_companion` does.
    """
    for companion, sent_name, data in brought:
        name = keep_companion(folder, job, companion, sent_name=sent_name, data=data)
        job = with_values(job, naming(companion, name))
    return job


def _own_name(folder: Path, name: str, data: bytes) -> str:
    """The name, or a numbered one where another file is called so already; systems may take large letters for small."""
    stem, dot, ending = name.rpartition(".")
    there = {path.name.casefold(): path for path in folder.iterdir()}
    number = 1
    while True:
        tried = name if number == 1 else f"{stem} ({number}){dot}{ending}"
        held = there.get(tried.casefold())
        if held is None:
            return tried
        if held.is_file() and held.read_bytes() == data:
            return held.name
        number += 1


def _read_drawing(path: Path, job: Job, companion: Companion) -> None:
    number = companion.path[1]
    assert isinstance(number, int)
    drawing_from(path, unit=job.motif[number].unit)


def _read_outline(path: Path, job: Job, companion: Companion) -> None:
    number = companion.path[1]
    assert isinstance(number, int)
    hide = job.hide[number]
    traced_hide(path, unit=hide.unit, backbone=hide.backbone)


def _read_prices(path: Path, job: Job, companion: Companion) -> None:
    read_prices(path)


def _read_scan(path: Path, job: Job, companion: Companion) -> None:
    """Whether it is in one of the formats that are read; the worker reads all of it."""
    format_of(path.read_bytes(), name=path.name)


_READERS: dict[Sort, Callable[[Path, Job, Companion], None]] = {
    "scan": _read_scan,
    "drawing": _read_drawing,
    "outline": _read_outline,
    "prices": _read_prices,
}
