"""A scan file read, put into millimetres and cleaned, with a list of what was done."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from flatten.findings import Finding, finding
from flatten.mesh.surface import Floats, Ints
from flatten.scan.clean import (
    drop_degenerate,
    drop_duplicate,
    drop_misplaced,
    drop_spikes,
    drop_strays,
    drop_unused,
    weld,
)
from flatten.scan.colour import colours_at
from flatten.scan.floor import drop_floor, drop_floor_points
from flatten.scan.load import load
from flatten.scan.model import Scan, ScanError, some_points
from flatten.scan.orient import turn_outward, vertex_normals
from flatten.scan.parts import drop_fragments, keep_largest
from flatten.scan.unit import FIRST_SIZE, longest_side, unit_of
from flatten.units import NO_UNIT, unit_mm

FEWEST_POINTS = 100
"""Points that a limb needs at least: ten around at ten heights."""

PICK_REACH = 100.0
"""mm. A picked point may lie so far from the scan: half a limb's width, for a click is not exact."""

MANY_UNUSED = 0.01
"""Share of vertices without a face from which the list of repairs says that a part of the faces may be missing."""

MOST_UNUSED = 0.2
"""Share of vertices that may belong to no face in a file that does not state how many faces it has: with more, it is
taken to be cut off."""


def read_scan(
    path: str | Path,
    *,
    unit: str | None = None,
    pick: tuple[float, float, float] | None = None,
    size: float = FIRST_SIZE,
) -> Scan:
    """The scan in the file `path`, in any format that `load` reads, cleaned, in mm and in its own axes.

    `unit` ("mm", "cm", "m", "in") is that of the file; NO_UNIT says that it has no size of its own, and it is then made
    `size` mm long, which `Scan.scale` tells; without it glTF is in metres, as its standard says, USD in
    what the file says, and elsewhere it is guessed from the size of a limb where one unit alone is possible.
    `Scan.unit_from` tells.

    `pick` is a point on the limb, in the file's own unit and axes, where the file shows several.

    In this order: vertices without a position go, vertices within WELD of each other become one, faces without
    an area, twice there or at spikes go, a floor goes, the largest or the picked part stays, and all faces are turned
    outward. Nothing here needs a manifold. Codes of the repairs: "non-finite", "welded", "degenerate",
    "duplicate", "spike", "stray", "floor", "fragments", "unused", "turned", "no faces", "no end", "tail", "comma",
    "columns", "archive", "colours".

    Raises ScanError where the file is missing, of another format, cut off or broken, where the unit is
    ambiguous or impossible, where two limbs are shown and none is picked, where the pick lies nowhere near the scan,
    and where too little is left for a limb.
    """
    path = Path(path)
    raw = load(path)
    vertices, faces, in_file, faces_read, counted = raw.vertices, raw.faces, raw.unit, len(raw.faces), raw.counted
    repairs = list(raw.repairs)
    colours, coloured = raw.colours, raw.vertices if raw.colours is not None else None
    # A million loose triangles are 100 MB: nothing keeps them longer than needed.
    del raw
    vertices, faces, done = drop_misplaced(vertices, faces)
    repairs += done
    _require_points(vertices, path.name)
    if faces_read:
        vertices, faces, done = _without_unused(vertices, faces, path.name, counted=counted)
        repairs += done
        _require_points(vertices, path.name)
    name, known_from = unit_of(vertices, given=unit, in_file=in_file, name=path.name)
    scale = size / longest_side(vertices) if name == NO_UNIT else 1.0
    mm = scale * unit_mm(name)
    vertices = vertices * mm
    place = _picked(pick, vertices, unit=name, mm=mm, name=path.name)
    if faces_read:
        points, faces, dropped, done = _cleaned_mesh(vertices, faces, pick=place, unit=name, scale=scale)
    else:
        points, faces, dropped, done = _cleaned_cloud(vertices)
    _require_points(points, path.name)
    if colours is not None and coloured is not None:
        colours = colours_at(points, vertices=coloured * mm, colours=colours)
    return Scan(
        file=path.name,
        points=points,
        normals=vertex_normals(points, faces),
        faces=faces,
        unit=name,
        unit_from=known_from,
        scale=scale,
        faces_read=faces_read,
        repairs=(*repairs, *done),
        dropped=dropped,
        colours=colours,
    )


def _without_unused(vertices: Floats, faces: Ints, name: str, *, counted: bool) -> tuple[Floats, Ints, list[Finding]]:
    """Vertices and faces without those vertices that no face uses.

    Programs that cut a scan leave such vertices behind. Where the file does not count its faces, many of them mean that
    it is cut off.
    """
    kept, faces, unused = drop_unused(vertices, faces)
    if unused > MOST_UNUSED * len(vertices) and not counted:
        raise ScanError(
            f"in {name} {unused} of {len(vertices)} vertices belong to no face: a part of the faces is missing; "
            "copy or export it again"
        )
    share = unused / len(vertices) if unused > MANY_UNUSED * len(vertices) else None
    return kept, faces, [finding("scan.unused", "note", count=unused, share=share)] if unused else []


def _picked(
    pick: tuple[float, float, float] | None, vertices: Floats, *, unit: str, mm: float, name: str
) -> Floats | None:
    """The pick in mm. Raises ScanError where it lies nowhere near the vertices (V,3) mm."""
    if pick is None:
        return None
    place = np.array(pick) * mm
    away = float(np.sqrt(((vertices - place) ** 2).sum(axis=1).min()))
    if away > PICK_REACH:
        raise ScanError(
            f"the picked point {list(pick)} lies {away:.0f} mm away from the nearest part of {name}; give a point on "
            f"the limb in the file's own axes and unit ({unit})"
        )
    return place


def _cleaned_mesh(
    vertices: Floats, faces: Ints, *, pick: Floats | None, unit: str, scale: float
) -> tuple[Floats, Ints, Floats, list[Finding]]:
    vertices, faces, repairs = weld(vertices, faces)
    faces, done = drop_degenerate(vertices, faces)
    repairs += done
    faces, done = drop_duplicate(faces)
    repairs += done
    faces, done = drop_spikes(vertices, faces)
    repairs += done
    faces, done = drop_floor(vertices, faces)
    repairs += done
    if len(faces):
        faces, done = keep_largest(vertices, faces, pick=pick, unit=unit, scale=scale)
        repairs += done
    gone = np.ones(len(vertices), bool)
    gone[faces] = False
    dropped = some_points(vertices[gone])
    vertices, faces, _ = drop_unused(vertices, faces)
    faces, done = turn_outward(vertices, faces)
    return vertices, faces, dropped, repairs + done


def _cleaned_cloud(points: Floats) -> tuple[Floats, Ints, Floats, list[Finding]]:
    repairs = [finding("scan.no faces", "note", count=len(points))]
    points, faces, done = weld(points, np.empty((0, 3), np.int64))
    repairs += done
    near, done = drop_strays(points)
    repairs += done
    kept, done = drop_floor_points(near)
    repairs += done
    kept, done = drop_fragments(kept)
    return kept, faces, some_points(_apart(points, kept)), repairs + done


def _apart(points: Floats, kept: Floats) -> Floats:
    """The points that are not among `kept`, which holds some of them in their order."""
    order = np.concatenate([points, kept])
    _, where, count = np.unique(order.view("V24").ravel(), return_index=True, return_counts=True)
    return order[where[count == 1]]


def _require_points(points: Floats, name: str) -> None:
    if len(points) < FEWEST_POINTS:
        raise ScanError(
            f"{name} keeps {len(points)} points after cleaning; a limb needs at least {FEWEST_POINTS}, "
            "so export it finer, or scan it again"
        )
