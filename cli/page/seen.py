"""What each file that was brought to the bench is by itself: a scan, a job, a strip test, or something else."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from cli.page.unpack import UnpackError, files_in, texts_in
from cli.page.upload import MOST_TEXT_BYTES, shown_name
from flatten.errors import CalfskinError
from flatten.job.errors import JobError
from flatten.job.text import job_from
from flatten.leather.model import LeatherError
from flatten.leather.striptable import strip_table
from flatten.scan.archive import scan_inside
from flatten.scan.format import format_of
from flatten.scan.gltf import gltf_content, self_contained
from flatten.scan.model import ScanError

_SYSTEMS_OWN = ("thumbs.db", "ehthumbs.db", "desktop.ini", "icon\r")
"""Files that systems put into folders by themselves; so is all that begins with "." or "__"."""

_ARCHIVE = b"PK\x03\x04"
"""How a ZIP archive begins (APPNOTE 6.3.10, 4.3.7)."""

_READINGS = ("strip", "unloaded", "hardened")
"""The tables of a strip test, one of which it has."""


class BroughtError(CalfskinError, ValueError):
    """What was brought together leaves open what is meant, or is nothing that the bench takes."""


@dataclass(frozen=True, eq=False)
class Item:
    """A file that was brought: its path as its sender has it, which is compared and shown only, and its bytes."""

    path: str
    data: bytes = field(repr=False)

    @property
    def parts(self) -> tuple[str, ...]:
        """The names of its folders and its own."""
        return tuple(part for part in self.path.replace("\\", "/").split("/") if part not in ("", "."))

    @property
    def name(self) -> str:
        """The name that is shown."""
        return shown_name(self.path)


@dataclass(frozen=True, eq=False)
class SeenJob:
    """A job file, and its tables as TOML has them."""

    item: Item
    table: dict[str, Any]


@dataclass(frozen=True, eq=False)
class SeenStrips:
    """A strip test, and its tables; `from_rows` says that it was the rows of a spreadsheet."""

    item: Item
    table: dict[str, Any]
    from_rows: bool = False


@dataclass(frozen=True, eq=False)
class SeenScan:
    """A file in one of the scan formats, by its content; whether it is whole is for the reader to say."""

    item: Item


@dataclass(frozen=True, eq=False)
class SeenOther:
    """Something else, and what is wrong with it as a scan or a job."""

    item: Item
    problem: CalfskinError


Seen = SeenJob | SeenStrips | SeenScan | SeenOther


def _is_systems(item: Item) -> bool:
    names = [part.casefold() for part in item.parts]
    return any(part.startswith((".", "__")) for part in names) or not names or names[-1] in _SYSTEMS_OWN


def spread(items: Iterable[Item]) -> list[Item]:
    """The files without those that systems add, and with what it holds in place of each archive that is no scan."""
    found: list[Item] = []
    for item in items:
        held = None if _is_systems(item) else _held(item)
        found += [one for one in ([item] if held is None else held) if not _is_systems(one)]
    return found


def _held(item: Item) -> list[Item] | None:
    """What an archive with a job, a strip test or several scans holds; None where it is one scan or no archive."""
    if not item.data.startswith(_ARCHIVE):
        return None
    try:
        if format_of(item.data, name=item.name) != "zip":
            return None
        texts = [_as_text(Item(path, data)) for path, data in texts_in(item.data, name=item.name)]
        if not any(isinstance(one, SeenJob | SeenStrips) for one in texts):
            scan_inside(item.data, name=item.name)
            return None
    except UnpackError:
        return None  # told as what is wrong with the archive
    except ScanError:
        # Endings tell a scan inside; without one of them, or with several, the content does.
        held = _files_in(item)
        return held if any(isinstance(_what(one), SeenScan) for one in held if not _is_systems(one)) else None
    return _files_in(item)


def _files_in(bundle: Item) -> list[Item]:
    return [Item(f"{bundle.path}/{path}", data) for path, data in files_in(bundle.data, name=bundle.name)]


def seen_together(items: list[Item]) -> tuple[list[Seen], set[str]]:
    """What each file is, and the paths of those that a glTF of the set has taken into itself."""
    inside: set[str] = set()
    found = [_with_beside(_what(item), items, inside) for item in items]
    return [one for one in found if one.item.path not in inside], inside


def _what(item: Item) -> Seen:
    """What a file is by itself; an archive is a scan or nothing."""
    text = _as_text(item)
    if text is not None:
        return text
    try:
        form = format_of(item.data, name=item.name)
        if form == "gltf":
            gltf_content(item.data, binary=False, name=item.name)
        if form == "zip":
            texts_in(item.data, name=item.name)
            scan_inside(item.data, name=item.name)
    except (ScanError, UnpackError) as error:
        return SeenOther(item, error)
    return SeenScan(item)


def _as_text(item: Item) -> SeenJob | SeenStrips | SeenOther | None:
    """A job or a strip test; a text that is called one and is none; None for anything else."""
    if len(item.data) > MOST_TEXT_BYTES:
        return None
    named = item.name.lower().endswith(".toml")
    try:
        text = item.data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return SeenOther(item, BroughtError(f"{item.name} is no text, and a job file is one")) if named else None
    if _heads_readings(text):
        try:
            return SeenStrips(item, _without_lines(strip_table(text, name=item.name)), from_rows=True)
        except LeatherError as error:
            return SeenOther(item, error)
    try:
        table = tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        table = {}
    if isinstance(table.get("scan"), dict):
        return SeenJob(item, table)
    if any(isinstance(table.get(name), list) for name in _READINGS):
        return SeenStrips(item, table)
    return SeenOther(item, _why_no_job(text, item.name)) if named else None


def _why_no_job(text: str, name: str) -> CalfskinError:
    try:
        job_from(text, name=name)
    except JobError as error:
        return error
    return BroughtError(f"{name} names no scan, and a job file does")


def _heads_readings(text: str) -> bool:
    """Whether the first line that holds anything names the columns of a strip test."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    names = {cell.strip().strip('"').partition("(")[0].partition("[")[0].strip().lower() for cell in _cells(first)}
    return "direction" in names and bool(names & {"l0", "wet", "before"})


def _cells(line: str) -> list[str]:
    return line.split(";" if ";" in line else ",")


def _without_lines(table: dict[str, Any]) -> dict[str, Any]:
    """A strip test's table without the numbers of its lines, which a TOML text has no key for."""
    return {
        name: [{key: value for key, value in entry.items() if key != "line"} for entry in entries]
        for name, entries in table.items()
        if entries
    }


def _with_beside(one: Seen, items: Sequence[Item], inside: set[str]) -> Seen:
    """A glTF with what it keeps in other files put into it, whose paths are added to `inside`; all else as it is."""
    if not isinstance(one, SeenScan) or not one.item.data.lstrip().startswith(b"{"):
        return one
    item = one.item
    content = gltf_content(item.data, binary=False, name=item.name)
    if all(str(buffer.get("uri", "")).startswith("data:") for buffer in content.get("buffers", [])):
        return one

    def fetch(uri: str) -> bytes:
        found = _beside(item, uri, items)
        if found is None:
            raise BroughtError(
                f"{item.name} keeps its points in '{shown_name(uri)}', which was not brought; bring both together, or "
                "export the scan as GLB"
            )
        inside.add(found.path)
        return found.data

    try:
        return SeenScan(replace(item, data=self_contained(content, fetch=fetch, name=item.name)))
    except (ScanError, BroughtError) as error:
        return SeenOther(item, error)


def _beside(item: Item, uri: str, items: Sequence[Item]) -> Item | None:
    """The file at a path from another one's folder; files that are chosen one by one have lost their folders."""
    wanted = folded((*item.parts[:-1], *Item(uri, b"").parts))
    exact = [one for one in items if folded(one.parts) == wanted]
    called = [one for one in items if one is not item and folded(one.parts)[-1:] == wanted[-1:]]
    return exact[0] if exact else called[0] if len(called) == 1 else None


def folded(parts: Iterable[str]) -> tuple[str, ...]:
    """Names of a path, large and small letters made one: systems differ in whether they tell them apart."""
    return tuple(part.casefold() for part in parts)
