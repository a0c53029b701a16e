"""What holds the stretch up: the place marked on the limb and on the flat leather, and which way leather must give."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from scipy.spatial import cKDTree

from flatten.findings import Message, message
from flatten.limb.kind import quarter_at
from flatten.mesh.surface import Floats, Ints
from flatten.report.limbview import MARGIN, Shown, bench_heights, limb_view, seen_from
from flatten.report.model import LimbReport
from flatten.report.picture import Picture, Stroke, line, stretch_strokes
from flatten.unwrap.certificate.binding import Binding

LEATHER_ASIDE = 40.0
"""mm between the limb and the leather."""

CENTRE = 11.0
"""mm. Radius of the ring round the centre of what binds: about the patches over which stretch is told."""

LONG, CLEAR, HEAD = 30.0, 3.0, 9.0
"""mm. An arrow's length, how far it keeps from the ring or from another's tip, and the length of its head."""

APART = np.radians(60.0)
"""Radians that the two arrows at the ring are apart at least: nearer ones would be taken for one."""


LEAST_LOAD = 0.25
"""Share of the heaviest load of its kind from which on a line beside the place may be shown: lighter ones hardly
carry."""


class _Arrow(NamedTuple):
    """An arrow on the leather from `tail` to `tip` (2,), mm, y up: the leather goes `further` apart, or nearer."""

    tail: Floats
    tip: Floats
    further: bool


def binding_pictures(report: LimbReport, panels: tuple[Shown, ...]) -> tuple[tuple[Message, Picture], ...]:
    """For each panel whose bound binds somewhere: one sentence on it, and limb and leather with the place marked."""
    pictures = []
    for panel in panels:
        if (binding := panel.report.binding) is not None:
            quarter = quarter_at(binding.panel.bearings[binding.centre])
            kind = report.limb.kind
            seen = message("picture.limb and piece", kind=kind.name, side=kind.sides[quarter], piece=panel.piece.name)
            view = _OnLimb(report, panel, quarter * np.pi / 2)
            arrows = _arrows(binding, view)
            beside = any(arrow.further != (binding.form != "hollow") for arrow in arrows)
            below = message("picture.binding below", form=binding.form, cause=binding.cause, beside=beside)
            pictures.append((below, _picture(report, panel, binding, arrows, view, seen)))
    return tuple(pictures)


class _OnLimb:
    """Where places of a flat panel lie on the limb, seen level from a bearing: at the nearest vertex."""

    def __init__(self, report: LimbReport, panel: Shown, bearing: float) -> None:
        worn = panel.report.flat.panel
        eye = np.array([np.cos(bearing), np.sin(bearing), 0.0])
        self.bearing, self.panel = bearing, panel
        self._tree = cKDTree(panel.flat)
        self._at = seen_from(report, worn.mesh.vertices, bearing)
        self._facing = report.worn.normals(worn.heights, worn.bearings) @ eye >= 0.0

    def at(self, flat: Floats) -> Floats | None:
        """The place (2,) in the picture of a place on the leather; None where it looks away."""
        nearest = int(self._tree.query(flat)[1])
        return self._at[nearest] if self._facing[nearest] else None

    def shows(self, arrow: _Arrow) -> bool:
        """Whether both ends of an arrow are seen."""
        return self.at(arrow.tail) is not None and self.at(arrow.tip) is not None


def _picture(
    report: LimbReport, panel: Shown, binding: Binding, arrows: list[_Arrow], view: _OnLimb, seen: Message
) -> Picture:
    low, high = bench_heights(report)
    limb = limb_view(report, (panel,), bearing=view.bearing)
    placed = _placed(panel, limb.right + LEATHER_ASIDE)
    moved = placed[0] - panel.flat[0]
    centre = panel.flat[_nearest(panel, binding)[binding.centre]]
    right = float(placed[:, 0].max()) + MARGIN
    bottom, top = min(low, float(placed[:, 1].min())), max(high, float(placed[:, 1].max()))
    outline = line(placed[panel.rim], closed=True)
    strokes = [
        Stroke(line(np.array([[limb.left, low], [right, low]])), "bench"),
        *limb.strokes,
        *_marks(centre, arrows, view.at),
        Stroke(outline, "leather"),
        *stretch_strokes(placed, panel.faces, panel.fields),
        Stroke(outline, "outline"),
        *_marks(centre, arrows, lambda flat: flat + moved),
    ]
    return Picture(
        message("picture.binding", seen=seen, cause=binding.cause),
        (limb.left, -top - MARGIN, right - limb.left, top - bottom + 2 * MARGIN),
        tuple(strokes),
        limb.notes,
    )


def _arrows(binding: Binding, view: _OnLimb) -> list[_Arrow]:
    """Which way the leather must give: two arrows at most, well apart, from a bulge, over which it goes further apart,
    along the lines that carry most; and two that meet on the line that carries most of those beside it along which it
    comes nearer together, one that is seen on the limb where there is one. A hollow is the other way round. A bulge
    that goes by no lines spreads every way, and has arrows to both sides.
    """
    bulge, centre = binding.form != "hollow", binding.centre
    at = view.panel.flat[_nearest(view.panel, binding)]
    if not len(binding.lines):
        ways = [] if binding.form == "shape" else [np.array([-1.0, 0.0]), np.array([1.0, 0.0])]
        return [_arrow(at[centre], way, CENTRE, out=True, further=True) for way in ways]
    heavy = [int(k) for k in np.argsort(-np.abs(binding.load), kind="stable")]
    ways = []
    for k in heavy:
        first, last = (int(end) for end in binding.lines[k])
        if bool(binding.held_apart[k]) == bulge and centre in (first, last):
            way = _direction(at[centre], at[last if first == centre else first])
            if all(float(way @ each) < np.cos(APART) for each in ways):
                ways.append(way)
    about = [_arrow(at[centre], way, CENTRE, out=bulge, further=bulge) for way in ways[:2]]
    unlike = [k for k in heavy if bool(binding.held_apart[k]) != bulge and centre not in binding.lines[k]]
    least = LEAST_LOAD * max((abs(float(binding.load[k])) for k in unlike), default=0.0)
    pairs = [_meeting(*at[binding.lines[k]], out=not bulge) for k in unlike if abs(float(binding.load[k])) >= least]
    beside = next((pair for pair in pairs if all(view.shows(arrow) for arrow in pair)), pairs[0] if pairs else [])
    return [*about, *(beside if about else [])]


def _arrow(middle: Floats, way: Floats, clear: float, *, out: bool, further: bool, long: float = LONG) -> _Arrow:
    """An arrow beside a place that is `clear` mm in radius, on its side `way`, pointing `out` or towards it."""
    near, far = middle + (clear + CLEAR) * way, middle + (clear + CLEAR + long) * way
    return _Arrow(near, far, further) if out else _Arrow(far, near, further)


def _meeting(first: Floats, last: Floats, *, out: bool) -> list[_Arrow]:
    """Two arrows on the line between two places, from its middle `out` or towards it."""
    middle, way = 0.5 * (first + last), _direction(first, last)
    long = min(LONG, max(HEAD, 0.5 * float(np.hypot(*(last - first))) - CLEAR))
    return [_arrow(middle, turn, 0.0, out=out, further=out, long=long) for turn in (way, -way)]


def _marks(centre: Floats, arrows: list[_Arrow], at: Callable[[Floats], Floats | None]) -> list[Stroke]:
    """A ring round the centre and the arrows, on light ground, as far as they are seen `at` places of a picture."""
    ends = [(at(arrow.tail), at(arrow.tip), arrow.further) for arrow in arrows]
    strokes = [
        Stroke(
            "".join(
                _drawn(tail, tip) for tail, tip, way in ends if tail is not None and tip is not None and way == far
            ),
            f"{name}-{layer}",
        )
        for layer in ("halo", "mark")
        for far, name in ((True, "further"), (False, "nearer"))
    ]
    if (middle := at(centre)) is not None:
        strokes += [Stroke(_ring(middle, CENTRE), f"binding-{layer}") for layer in ("halo", "mark")]
    return [stroke for stroke in strokes if stroke.path]


def _direction(start: Floats, end: Floats) -> Floats:
    """The unit vector from one point to another; to the right where they are one."""
    way = end - start
    size = float(np.hypot(*way))
    return way / size if size else np.array([1.0, 0.0])


def _drawn(tail: Floats, tip: Floats) -> str:
    """The path of an arrow with an open head."""
    way = _direction(tail, tip)
    aside = np.array([-way[1], way[0]])
    barbs = [tip - HEAD * way + 0.6 * HEAD * sign * aside for sign in (1.0, -1.0)]
    return line(np.array([tail, tip])) + line(np.array([barbs[0], tip, barbs[1]]))


def _ring(at: Floats, radius: float) -> str:
    around = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    return line(at + radius * np.column_stack([np.cos(around), np.sin(around)]), closed=True)


def _placed(panel: Shown, left: float) -> Floats:
    lift = float((panel.report.flat.panel.heights - panel.flat[:, 1]).mean())
    return panel.flat + np.array([left - float(panel.flat[:, 0].min()), lift])


def _nearest(panel: Shown, binding: Binding) -> Ints:
    """The vertices (V,) of the panel that lie nearest to those of the panel as meshed for the bound, on the limb.

    Half an edge of the finer mesh off at most: less than the marks' size. Across a seam nothing is near in the chart.
    """
    fine, coarse = panel.report.flat.panel, binding.panel
    radius = float(np.linalg.norm(fine.mesh.vertices[:, :2] - fine.mesh.vertices[:, :2].mean(axis=0), axis=1).mean())
    charts = [np.column_stack([radius * own.bearings, own.heights]) for own in (fine, coarse)]
    return np.asarray(cKDTree(charts[0]).query(charts[1])[1])
