"""What other programs may rely on: a limb measured, a job made, any disk mesh laid flat, and what no map can beat."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from os import PathLike
from pathlib import Path
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from flatten.job.text import job_of, read_job
from flatten.leather.limits import leather_limits
from flatten.limb.girths.girth import girth_table
from flatten.making import make as make_job
from flatten.measuring import measure as measure_scan
from flatten.mesh.gradient import face_gradients, singular_values
from flatten.mesh.surface import Floats, Mesh, MeshError, frozen
from flatten.report.schema import load_schema
from flatten.threads import one_thread
from flatten.unwrap.certificate.least import least_spread as least_spread_of
from flatten.unwrap.disk import UP, flatten_disk
from flatten.words.say import texts


class HasFaces(Protocol):
    """Anything with `vertices` (V,3) and `faces` (F,3), such as a trimesh.Trimesh."""

    @property
    def vertices(self) -> Any:
        """(V,3) coordinates."""

    @property
    def faces(self) -> Any:
        """(F,3) vertex numbers, counter-clockwise seen from outside."""


DiskMesh = HasFaces | tuple[npt.ArrayLike, npt.ArrayLike]
"""A triangle mesh that is one disk: an object with vertices and faces, or the two arrays as a pair."""


@dataclass(frozen=True)
class TapeGirth:
    """A girth (mm) as a tape reads it, and its height (mm) on the limb; `name` is "" for a plain row of the table."""

    name: str
    height: float
    girth: float


@dataclass(frozen=True)
class MeasuredLimb:
    """The limb in a scan: what it is, its girths from the lowest up, and what must be heard of it, in sentences."""

    kind: str
    side: str
    unit: str
    scale: float
    girths: tuple[TapeGirth, ...]
    findings: tuple[str, ...]


@dataclass(frozen=True)
class MadeJob:
    """A finished job: its files by name, report.json as a dictionary, and whether nothing stands against cutting it
    as it is: what does is `report["verdict"]`."""

    files: Mapping[str, bytes]
    report: Mapping[str, Any]
    may_be_cut: bool


@dataclass(frozen=True, eq=False)
class FlatMesh:
    """A disk mesh laid flat, no face flipped.

    `uv` (V,2) are its vertices in the plane, in the mesh's own unit; `stretch` (F,2) the greatest and the least stretch
    of each face, worn / flat. `spread` is log(greatest / least) over all faces. With limits, `excess` is the least
    common log-excess over them that a map was found to need (<= 0: they are kept), else None. `overlaps` counts the
    places of the boundary where the flat mesh lies over itself; `converged` says that the solver arrived.
    """

    uv: Floats
    stretch: Floats
    spread: float
    excess: float | None
    overlaps: int
    converged: bool

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "uv", frozen(self.uv))
        object.__setattr__(self, "stretch", frozen(self.stretch))


@one_thread
def measure(
    scan: str | PathLike[str],
    *,
    limb: str = "auto",
    side: str = "auto",
    unit: str = "auto",
    tapes: Sequence[tuple[str | float, float]] = (),
    front: str | tuple[float, float, float] = "auto",
) -> MeasuredLimb:
    """The limb in a scan file, scaled by girths from a tape.

    `limb` is "lower leg", "thigh", "forearm" or "upper arm", `side` the wearer's "left" or "right", each "auto" where
    foot or hand tell it; `unit` is "mm", "cm", "m", "in" or "auto". Each of `tapes` is a place ("widest", "ankle", … or
    a height in mm) and the girth there in mm. `front` is a direction in the scan's own axes where foot or hand do not
    tell it.

    >>> from importlib.resources import files
    >>> limb = measure(files("cli.meshes") / "harbour_watch_left_shin.ply")
    >>> [round(girth.girth) for girth in limb.girths if girth.name == "widest"]
    [382]

    Raises a CalfskinError, which is also a ValueError, where the scan cannot be read, shows no such limb, or an
    argument is none of these.
    """
    path = Path(scan)
    table = {
        "file": path.name,
        "limb": limb,
        "side": side,
        "unit": unit,
        "front": front if isinstance(front, str) else list(front),
        "tape": [{"at": at, "girth": girth} for at, girth in tapes],
    }
    settings = job_of({"scan": table}, name="the call").scan
    found = measure_scan(settings, folder=path.parent, announce=lambda step: None)
    girths = tuple(TapeGirth(row.name, row.height, row.tape) for row in girth_table(found.limb, found.skin))
    return MeasuredLimb(
        found.limb.kind.name, found.limb.side, found.scan.unit, found.scan.scale, girths, tuple(texts(found.findings))
    )


def make(job: str | PathLike[str] | Mapping[str, Any], *, folder: str | PathLike[str] | None = None) -> MadeJob:
    """A job made: from its job file, or from the tables of one as a dictionary.

    Files that the job names are looked for in `folder`, by default that of the job file, else the working directory.
    Nothing is written: the files come back as bytes, by name.

    >>> from importlib.resources import files
    >>> scan = {"file": "harbour_watch_left_forearm.obj", "limb": "forearm", "side": "left"}
    >>> quick = {"mesh": "quick", "bound": False, "advice": False}
    >>> made = make({"scan": scan, "output": quick}, folder=files("cli.meshes"))
    >>> sorted(made.files)[:3], round(made.report["panels"][0]["stretch_max"], 2)
    (['job.toml', 'pattern.dxf', 'pattern.pdf'], 1.04)

    Raises a CalfskinError where the job makes no sense or one of its steps cannot be done.
    """
    if isinstance(job, Mapping):
        settings, beside = job_of(dict(job), name="the job"), Path()
    else:
        settings, beside = read_job(Path(job)), Path(job).parent
    home = beside if folder is None else Path(folder)
    result = make_job(settings, folder=home, out=home)
    files = dict(result.files)
    return MadeJob(files, json.loads(files["report.json"]), result.verdict.may_be_cut)


@one_thread
def lay_flat(
    mesh: DiskMesh, *, limits: str | Mapping[str, str | float] | None = None, grain_angle: float = UP
) -> FlatMesh:
    """A disk mesh laid flat: as isometrically as can be, or, with `limits`, as isometrically as they allow.

    `limits` are "cased" or "dry", or four shares by name: stretch_along, stretch_across, squeeze_along and
    squeeze_across, "5 %" or 0.05; `grain_angle` (rad, counter-clockwise from +x) is the direction in the plane that is
    along. The map lies with the line between its two far boundary vertices upright.

    A quarter of a cone opens into a plane sector of the angle 2π·sin(half the cone's apex angle)/4:

    >>> import numpy as np
    >>> turn, rise = np.meshgrid(np.linspace(0, np.pi / 2, 17), np.linspace(1.0, 2.0, 9))
    >>> cone = np.stack([rise * np.cos(turn), rise * np.sin(turn), -rise], axis=-1).reshape(-1, 3)
    >>> row = np.arange(17 * 8).reshape(8, 17)[:, :-1].ravel()
    >>> faces = np.concatenate([np.stack([row, row + 17, row + 1], 1), np.stack([row + 1, row + 17, row + 18], 1)])
    >>> flat = lay_flat((cone, faces))
    >>> bool(abs(flat.stretch - 1).max() < 1e-6), flat.overlaps
    (True, 0)

    Raises a CalfskinError, which is also a ValueError, where the mesh is no disk or the limits make no sense, and one
    that is an ArithmeticError where no map without flipped faces is found.
    """
    disk = _mesh(mesh)
    held = None if limits is None else leather_limits(limits, folder=Path()).in_force
    flat = flatten_disk(disk, limits=held, grain_angle=grain_angle)
    large, small = singular_values(face_gradients(disk), flat.uv[:, 0] + 1j * flat.uv[:, 1])
    return FlatMesh(
        flat.uv,
        np.stack([1.0 / small, 1.0 / large], axis=1),
        flat.spread,
        None if held is None else flat.excess,
        flat.overlaps,
        flat.converged,
    )


@one_thread
def least_spread(mesh: DiskMesh) -> float:
    """A computed lower bound on log(greatest / least stretch) of every flat map of a disk mesh that does not overlap.

    0 where nothing was found in the mesh's shape that asks for any. Of a cap of a ball it tends to log(a / sin a), a
    the angle from its middle to its rim, which is the least that any map has (Milnor, Amer. Math. Monthly 76(10),
    1969).

    >>> import numpy as np
    >>> rings = np.linspace(0.0, 0.5, 13)[1:]
    >>> turn = np.linspace(0.0, 2 * np.pi, 48, endpoint=False)
    >>> rim = [np.stack([np.sin(a) * np.cos(turn), np.sin(a) * np.sin(turn), np.cos(a) + 0 * turn], 1) for a in rings]
    >>> ball = np.concatenate([[[0.0, 0.0, 1.0]], *rim])
    >>> here, on = np.arange(48), np.roll(np.arange(48), -1)
    >>> fan = [np.stack([0 * here, 1 + here, 1 + on], 1)]
    >>> for ring in range(11):
    ...     low, high = 1 + 48 * ring, 49 + 48 * ring
    ...     fan += [np.stack([low + here, high + here, high + on], 1), np.stack([low + here, high + on, low + on], 1)]
    >>> bound = least_spread((ball, np.concatenate(fan)))
    >>> bool(0.9 < bound / np.log(0.5 / np.sin(0.5)) <= 1.0)
    True

    Raises a CalfskinError where the mesh is no disk, or no map of it is found to begin from.
    """
    disk = _mesh(mesh)
    return least_spread_of(disk, guide=flatten_disk(disk).uv).least_spread


def report_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) that report.json keeps to, key by key, with units; CHANGELOG.md tells what it gained.

    >>> import flatten
    >>> flatten.report_schema()["properties"]["leather"]["properties"]["area"]["description"]
    'of all pieces, mm²'
    """
    return load_schema()


def _mesh(given: DiskMesh) -> Mesh:
    """The mesh that was given. Raises MeshError where it is none, or faces are no whole numbers."""
    try:
        vertices, faces = given if isinstance(given, tuple) else (given.vertices, given.faces)
        points, corners = np.asarray(vertices, float), np.asarray(faces)
    except (AttributeError, TypeError, ValueError) as error:
        raise MeshError(
            f"a mesh of {type(given).__name__} cannot be read ({error}); give an object with vertices (V,3) and faces "
            "(F,3), such as a trimesh.Trimesh, or the two arrays as a pair"
        ) from error
    if corners.size and corners.dtype.kind not in "iu":
        raise MeshError(f"faces must be whole numbers of vertices, found {corners.dtype}")
    return Mesh(points, corners)
