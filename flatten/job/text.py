"""The job file: TOML read into settings with one clear sentence for what is wrong, and written with every default."""

from __future__ import annotations

import difflib
import os
import re
import tomllib
from pathlib import Path
from typing import Any, get_args

import tomlkit
from pydantic import BaseModel, ValidationError

from flatten.job.errors import JobError
from flatten.job.settings import Job
from flatten.leather.strips import is_strip_file

TEXT_SCANS = (".obj", ".ply", ".stl", ".xyz", ".gltf")
"""Endings of scans that may be text, and then read like a job file full of slips."""

_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")


def read_job(path: Path) -> Job:
    """The job in the TOML file `path`.

    Raises JobError where the file is missing, is no TOML, has an unknown key or a setting without sense.
    """
    try:
        text = path.read_text("utf-8")
        if path.suffix.lower() in TEXT_SCANS:
            raise JobError(f"{path.name} is a scan; write its job file with: calfskin start {path}")
    except FileNotFoundError:
        raise JobError(
            f"there is no job file {path.name} in {path.parent}; write one with: calfskin start SCAN"
        ) from None
    except IsADirectoryError:
        raise JobError(f"'{path}' is a folder and cannot be read as a job file; name the one inside it") from None
    except OSError as error:
        raise JobError(f"the job file {path.name} cannot be read: {error.strerror}") from error
    except UnicodeDecodeError:
        raise JobError(
            f"{path.name} cannot be read as a job file, which is text; where it is a scan, write its job file with: "
            f"calfskin start {path}"
        ) from None
    return job_from(text, name=path.name)


def job_from(text: str, *, name: str) -> Job:
    """The job in a TOML text; `name` is what errors call it. Raises JobError as `read_job` does."""
    return job_of(job_table(text, name=name), name=name)


def job_table(text: str, *, name: str) -> dict[str, Any]:
    """The tables of a TOML text, not yet looked at. Raises JobError where it is no TOML."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise JobError(f"{name} is not a job file: {_syntax(text, str(error))}") from error


def _syntax(text: str, error: str) -> str:
    """What is wrong with a line of TOML. (Python tells its place in words only, up to its release 3.13.)"""
    found = _AT_LINE.search(error)
    lines = text.rstrip().split("\n")
    number = int(found[1]) if found else len(lines)
    line = f"line {number}, '{lines[min(number, len(lines)) - 1].strip()}',"
    if error.startswith(("Cannot overwrite", "Cannot declare")):
        return f"{line} sets what is set above it already; change it there instead"
    if not found:
        return error
    return f"{line} is no TOML: {error[: found.start()].strip()}; words, and lengths with their unit, stand in quotes"


def job_of(table: dict[str, Any], *, name: str) -> Job:
    """The job in a table as TOML gives it. Raises JobError as `read_job` does."""
    try:
        return Job.model_validate(table)
    except ValidationError as error:
        raise JobError(f"{name}: {_sentence(error)}") from error


def job_text(job: Job) -> str:
    """The job as TOML with every default filled in; reading it gives the same job."""
    return tomlkit.dumps(job.model_dump(mode="json"))


def given_table(job: Job) -> dict[str, Any]:
    """The settings that are not the usual ones, as TOML has them; scans and drawings by their names alone.

    A path tells where the maker keeps things; who reads a report needs only which file it was.
    """
    table = job.model_dump(mode="json", exclude_defaults=True)
    for name in ("scan", "other_scan"):
        if "file" in table.get(name, {}):
            table[name]["file"] = Path(table[name]["file"]).name
    for motif in table.get("motif", ()):
        if "file" in motif:
            motif["file"] = Path(motif["file"]).name
    return table


def given_text(job: Job) -> str:
    """The same as TOML: beside the scan, it reads as the same job."""
    return tomlkit.dumps(given_table(job))


def with_paths_from(job: Job, *, folder: Path, out: Path) -> Job:
    """The same job with its paths (scan, strip test, hides, drawings, prices) told from `out`, not `folder`."""

    def moved(file: str) -> str:
        return Path(os.path.relpath((folder / file).resolve(), out.resolve())).as_posix()

    scan = job.scan.model_copy(update={"file": moved(job.scan.file)})
    other = job.other_scan
    if other.file:
        other = other.model_copy(update={"file": moved(other.file)})
    limits = job.leather.limits
    if isinstance(limits, str) and is_strip_file(limits):
        limits = moved(limits)
    hides = tuple(
        hide.model_copy(update={"outline": moved(hide.outline)}) if hide.outline else hide for hide in job.hide
    )
    leather = job.leather.model_copy(update={"limits": limits})
    motifs = tuple(motif.model_copy(update={"file": moved(motif.file)}) if motif.file else motif for motif in job.motif)
    shop = job.shop.model_copy(update={"prices": moved(job.shop.prices)}) if job.shop.prices else job.shop
    moved_to = {"scan": scan, "other_scan": other, "leather": leather, "hide": hides, "motif": motifs, "shop": shop}
    return job.model_copy(update=moved_to)


_WANTED = {
    "model_type": "it must be a table of settings",
    "tuple_type": "it must be a list, or tables with double brackets such as [[seam]]",
}


def _sentence(error: ValidationError) -> str:
    """One sentence about the first setting that is wrong: where, found, wanted."""
    problems = error.errors(include_url=False)
    first = next((problem for problem in problems if problem["type"] == "extra_forbidden"), problems[0])
    where, found = _place(first["loc"]), first["input"]
    if first["type"] == "extra_forbidden":
        return f"{where} is unknown; {_nearest(first['loc'])}"
    if first["type"] == "missing":
        return f"{where} is missing; a job cannot do without it"
    if first["type"] == "value_error":
        reason = str(first["ctx"]["error"])
        return f"{where}: {reason}" if where else reason
    shown = f"'{found}'" if isinstance(found, str) else "a table" if isinstance(found, dict) else f"{found!r}"
    wanted = _WANTED.get(first["type"], first["msg"].replace("Input should be", "it must be"))
    return f"{where} is {shown}; {wanted}"


def _place(location: tuple[int | str, ...]) -> str:
    """Where in the file a setting stands: "[leather] thickness", "[[seam]] 2, gap"."""
    if not location:
        return ""
    head, *rest = (part + 1 if isinstance(part, int) else part for part in location)
    if not rest:
        return f"[{head}]"
    if isinstance(rest[0], int):
        return f"[[{head}]] {', '.join(str(part) for part in rest)}"
    return f"[{head}] {' '.join(str(part) for part in rest)}"


def _nearest(location: tuple[int | str, ...]) -> str:
    """The known keys at a place of the job file, the one most like the unknown key first."""
    model: Any = Job
    for part in location[:-1]:
        if isinstance(part, str):
            model = _model_in(model.model_fields[part].annotation)
    known = list(model.model_fields)
    near = difflib.get_close_matches(str(location[-1]), known, n=1, cutoff=0.5)
    return f"did you mean '{near[0]}'?" if near else f"known here are {', '.join(known)}"


def _model_in(annotation: Any) -> Any:
    """The settings class in a field's annotation: itself, or what its union or tuple holds; None without any."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next((found for part in get_args(annotation) if (found := _model_in(part))), None)
