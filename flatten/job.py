"""The job file: every setting of a job as frozen values, with defaults, read from and written to TOML."""

from __future__ import annotations

import difflib
import math
import os
import tomllib
from pathlib import Path
from typing import Annotated, Any, Literal, get_args

import tomlkit
from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    PlainSerializer,
    PlainValidator,
    ValidationError,
    model_validator,
)

from flatten.errors import CalfskinError
from flatten.units import length


class JobError(CalfskinError, ValueError):
    """A job file cannot be read, or a setting in it makes no sense."""


Vector = tuple[float, float, float]
Quarter = Literal["front", "outside", "back", "inside"]


def _length_text(mm: float | str | None) -> str:
    if mm is None:
        return "auto"
    if isinstance(mm, str):
        return mm
    return f"{mm:.0f} mm" if mm == round(mm) else f"{mm!r} mm"


def _within(low: float, high: float, *, ounces: bool = False, word: str | None = None) -> BeforeValidator:
    """A length between two bounds (mm); `word` stands for None."""

    def parse(value: Any) -> float | None:
        if word is not None and value in (word, None):
            return None
        mm = length(value, ounces=ounces)
        if not low <= mm <= high:
            raise ValueError(f"'{value}' is outside {low:g} to {high:g} mm")
        return mm

    return BeforeValidator(parse)


_AsText = PlainSerializer(_length_text)
Height = Annotated[float | None, _within(-1000.0, 1500.0, word="auto"), _AsText]
"""mm above the limb's height 0, or None for "auto"."""

Amount = Annotated[float, _within(0.0, 100.0), _AsText]
"""mm between 0 and 100: padding, ease."""

Opening = Annotated[float, _within(1.0, 200.0), _AsText]
Diameter = Annotated[float, _within(1.0, 20.0), _AsText]
Pitch = Annotated[float, _within(10.0, 100.0), _AsText]
GirthLength = Annotated[float, _within(50.0, 1500.0), _AsText]
Thickness = Annotated[float, _within(0.5, 10.0, ounces=True), _AsText]
"""mm of leather, also from ounces: "8 oz"."""


def _vector(value: Any) -> Vector:
    numbers = isinstance(value, list | tuple) and len(value) == 3 and all(_is_number(x) for x in value)
    if not numbers or not any(value):
        raise ValueError(f"{value!r} is no direction or point; write three numbers such as [0, 0, 1], not all 0")
    x, y, z = value
    return (float(x), float(y), float(z))


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and math.isfinite(value)


class _Settings(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Point(_Settings):
    """A point of the scan, in its own unit and axes."""

    point: Annotated[Vector, PlainValidator(_vector)]


def _front(value: Any) -> Any:
    if value == "auto" or isinstance(value, Point):
        return value
    if isinstance(value, dict):
        return Point.model_validate(value)
    return _vector(value)


def _tape_place(value: Any) -> Any:
    return value if isinstance(value, str) and value in TAPE_PLACES else length(value)


def _over(value: Any) -> float:
    return 0.0 if value == "skin" else length(value)


TAPE_PLACES = ("widest", "ankle", "wrist")


class Tape(_Settings):
    """One girth read from a tape: at "widest", "ankle", "wrist" or a height above the limb's height 0."""

    at: Annotated[str | float, PlainValidator(_tape_place), _AsText] = "widest"
    girth: GirthLength


class ScanSettings(_Settings):
    """The scan, and what is known about it."""

    file: str
    unit: Literal["auto", "mm", "cm", "m", "in"] = "auto"
    limb: Literal["lower leg", "thigh", "forearm", "upper arm"] = "lower leg"
    side: Literal["left", "right"] = "left"
    front: Annotated[Literal["auto"] | Vector | Point, PlainValidator(_front)] = "auto"
    over: Annotated[float, BeforeValidator(_over), Field(ge=0.0, le=50.0), _AsText] = 0.0
    tape: tuple[Tape, ...] = ()


class Quarters(_Settings):
    """Amounts at the four quarters of the limb."""

    front: Amount = 0.0
    outside: Amount = 0.0
    back: Amount = 0.0
    inside: Amount = 0.0


def _all_round(value: Any) -> Any:
    """One amount for all four quarters, or a table of them."""
    if isinstance(value, dict | BaseModel):
        return value
    return dict.fromkeys(("front", "outside", "back", "inside"), value)


class WearSettings(_Settings):
    """What is worn beneath, and the ease on the girth."""

    under: Annotated[Quarters, BeforeValidator(_all_round)] = Quarters(front=3.0, outside=3.0, back=3.0, inside=3.0)
    ease: Amount = 8.0


def _limits(value: Any) -> Any:
    if isinstance(value, str | dict):
        return value
    raise ValueError(f"{value!r} is no set of limits; write 'cased', 'dry', a strip test's .toml file or four figures")


class LeatherSettings(_Settings):
    """The leather: how thick, what it takes, which way its grain runs, where its neutral surface lies."""

    thickness: Thickness = 3.2
    limits: Annotated[str | dict[str, str | float], PlainValidator(_limits)] = "cased"
    grain: Literal["up the limb", "across the limb"] = "up the limb"
    neutral: Annotated[float, Field(ge=0.3, le=0.6)] = 0.5


class EdgeHeights(_Settings):
    """Heights of an edge at the four quarters of the limb; "auto" takes the trade's clearance there."""

    front: Height = None
    outside: Height = None
    back: Height = None
    inside: Height = None


class EdgeSettings(_Settings):
    """The edges: "auto", one height all round, or heights at the quarters."""

    top: Annotated[EdgeHeights, BeforeValidator(_all_round)] = EdgeHeights()
    bottom: Annotated[EdgeHeights, BeforeValidator(_all_round)] = EdgeHeights()


QUARTERS = {"front": 0.0, "outside": 90.0, "back": 180.0, "inside": 270.0}
"""Bearings in degrees."""


def _along(value: Any) -> Any:
    """A quarter's name, a bearing in degrees, or [bearing in degrees, height] points."""
    if _is_number(value) or (isinstance(value, str) and value in QUARTERS):
        return value
    if isinstance(value, list | tuple) and len(value) > 1:
        points = [p for p in value if isinstance(p, list | tuple) and len(p) == 2 and _is_number(p[0])]
        if len(points) == len(value):
            return tuple((float(bearing), length(height)) for bearing, height in points)
    raise ValueError(
        f"{value!r} is no line for a seam; write 'back' (or front, outside, inside), a bearing in degrees, "
        f"or two or more points such as [[180, '-10 mm'], [175, '300 mm']]"
    )


def _along_text(value: Any) -> Any:
    return [[bearing, _length_text(mm)] for bearing, mm in value] if isinstance(value, tuple) else value


class SeamSettings(_Settings):
    """A seam: along a quarter of the limb, at a bearing in degrees, or through [bearing, height] points."""

    name: Annotated[str, Field(min_length=1, max_length=40)] = "back"
    along: Annotated[
        Quarter | float | tuple[tuple[float, float], ...], PlainValidator(_along), PlainSerializer(_along_text)
    ] = "back"
    kind: Literal["laced"] = "laced"
    gap: Opening = 25.0
    eyelet: Diameter = 5.0
    pitch: Pitch = 30.0


class PieceSettings(_Settings):
    """What the piece is called on its label; empty: by its limb ("shin guard")."""

    name: Annotated[str, Field(max_length=60)] = ""


class OutputSettings(_Settings):
    """How the files are made: the title on them (empty: the scan's name), the paper, the fineness."""

    title: Annotated[str, Field(max_length=80)] = ""
    paper: Literal["A4", "Letter"] = "A4"
    mesh: Literal["fine", "quick"] = "fine"


class Job(_Settings):
    """All settings of one job."""

    scan: ScanSettings
    wear: WearSettings = WearSettings()
    leather: LeatherSettings = LeatherSettings()
    edges: EdgeSettings = EdgeSettings()
    seam: Annotated[tuple[SeamSettings, ...], Field(min_length=1)] = (SeamSettings(),)
    piece: PieceSettings = PieceSettings()
    output: OutputSettings = OutputSettings()

    @model_validator(mode="after")
    def _seams_have_names_of_their_own(self) -> Job:
        names = [seam.name for seam in self.seam]
        for name in names:
            if names.count(name) > 1:
                raise ValueError(f"two seams are called '{name}'; give each a name of its own")
        return self


def read_job(path: Path) -> Job:
    """The job in the TOML file `path`.

    Raises JobError where the file is missing, is no TOML, has an unknown key or a setting without sense.
    """
    try:
        text = path.read_text("utf-8")
    except FileNotFoundError:
        raise JobError(
            f"there is no job file {path.name} in {path.parent}; write one with: calfskin start SCAN"
        ) from None
    except (OSError, UnicodeDecodeError) as error:
        raise JobError(f"the job file {path.name} cannot be read: {error}") from error
    return job_from(text, name=path.name)


def job_from(text: str, *, name: str) -> Job:
    """The job in a TOML text; `name` is what errors call it. Raises JobError as `read_job` does."""
    try:
        table = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise JobError(f"{name} is not a job file: {error}") from error
    try:
        return Job.model_validate(table)
    except ValidationError as error:
        raise JobError(f"{name}: {_sentence(error)}") from error


def job_text(job: Job) -> str:
    """The job as TOML with every default filled in; reading it gives the same job."""
    return tomlkit.dumps(job.model_dump(mode="json"))


def with_scan_beside(job: Job, *, folder: Path, out: Path) -> Job:
    """The same job with the scan's path told from `out`, where it was told from `folder`."""
    path = os.path.relpath((folder / job.scan.file).resolve(), out.resolve())
    return job.model_copy(update={"scan": job.scan.model_copy(update={"file": Path(path).as_posix()})})


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
        told = str(first["ctx"]["error"])
        return f"{where}: {told}" if where else told
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
