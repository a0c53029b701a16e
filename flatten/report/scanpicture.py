"""The picture of what was found in a scan: four views with the scan, the fitted limb, its rings, and what was left."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib import rc_context
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import PolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch

from flatten.findings import Message, message
from flatten.limb.girths.girth import Girth
from flatten.limb.model import Limb
from flatten.limb.surface.coverage import Coverage
from flatten.limb.surface.model import LimbSurface
from flatten.limb.surface.sample import even_points
from flatten.mesh.surface import Floats
from flatten.report.palette import CLOTH, LEFT_OUT, REPORT
from flatten.report.unseen import empty_cells, shown_cells
from flatten.scan.model import Scan
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

PAPER, INK, SOFT, SKIN, ACCENT, BRIDGED = (
    REPORT[name].light for name in ("paper", "ink", "soft", "skin", "accent", "s5")
)

DOTTED = (0, (1.2, 1.6))

SHOWN = 16_000
"""Points of the scan that are drawn: a dot each 3 mm of a shin."""

TILT = np.radians(12.0)
"""The views look down so far, that rings are seen as rings."""

ABOUT = 70.0
"""mm about the limb in which what was left out is drawn; a floor goes on beyond."""

ZERO_BEYOND = 14.0
"""mm by which the line of height 0 stands out beyond the limb on both sides."""

RIM_NEAR, RIM_BEYOND = 10.0, 8.0
"""mm about the height of a cloth's edge within which the scan's width is taken, and that its line goes beyond that."""

NOTE_APART = 0.085
"""Share of a view's height that a girth's three lines of text take."""

_TURN = np.linspace(-np.pi / 2, np.pi / 2, 61)


@dataclass(frozen=True, eq=False)
class _View:
    """One of the four views: the bearing that looks at who looks, and the sign of sideways."""

    bearing: float
    hand: float

    def seen(self, points: Floats) -> Floats:
        """Picture coordinates (N,2) of limb points (N,3)."""
        cos, sin = np.cos(self.bearing), np.sin(self.bearing)
        across, near = points[:, 1] * cos - points[:, 0] * sin, points[:, 0] * cos + points[:, 1] * sin
        return np.stack([self.hand * across, points[:, 2] * np.cos(TILT) - near * np.sin(TILT)], axis=1)


def scan_picture(
    scan: Scan, limb: Limb, skin: LimbSurface, *, girths: Sequence[Girth], language: Language = ENGLISH
) -> bytes:
    """A PNG of the limb from its four sides, all at one scale, with a legend; the same bytes for the same scan.

    Raises LimbError where the scan has neither faces with an area nor points.
    """
    points, left = (limb.frame.to_limb(each) for each in (even_points(scan, count=SHOWN), scan.dropped))
    bare = shown_cells(scan, limb, skin) if skin.bridges else None
    box = points.min(axis=0) - ABOUT, points.max(axis=0) + ABOUT
    left = left[((left > box[0]) & (left < box[1])).all(axis=1)]
    with rc_context({"font.family": "DejaVu Serif", "text.color": INK, "axes.titlecolor": INK}):
        figure = Figure(figsize=(14.0, 8.6), dpi=130, facecolor=PAPER)
        FigureCanvasAgg(figure)
        views = figure.subplots(1, 4, sharey=True)
        for quarter, (axes, side) in enumerate(zip(views, limb.kind.sides, strict=True)):
            view = _View(quarter * np.pi / 2, -1.0 if limb.frame.mirrored else 1.0)
            _draw(axes, view, points=points, left=left, skin=skin, girths=girths)
            if bare is not None:
                _bridged(axes, view, skin, bare)
            _zero(axes, points)
            _rims(axes, view, limb.cloth_edges, points=points)
            axes.set_title(say.name(side, language), fontsize=13, pad=8)
        _at_one_scale(views)
        _girth_notes(views[0], limb, girths, language)
        title = message("scan picture.title", side=limb.side, kind=limb.kind.name, file=scan.file)
        figure.suptitle(say.text(title, language), x=0.035, y=0.965, ha="left", fontsize=19)
        subtitle = say.text(_subtitle(limb, skin), language)
        figure.text(0.035, 0.905, subtitle, fontsize=10.5, color=SOFT, ha="left", va="top")
        figure.legend(
            handles=_legend(limb, skin, left, language), loc="lower left", bbox_to_anchor=(0.03, 0.02), ncols=8,
            frameon=False, fontsize=9.5, labelcolor=INK, handlelength=1.6, columnspacing=1.7,
        )  # fmt: skip
        figure.subplots_adjust(left=0.085, right=0.985, top=0.83, bottom=0.095, wspace=0.02)
        stream = io.BytesIO()
        figure.savefig(stream, format="png", facecolor=PAPER, metadata={"Software": None})
    return stream.getvalue()


def bridge_messages(limb: Limb, skin: LimbSurface) -> list[Message]:
    """Each place that the surface bridges, by size and place, and how far the limb may lie from it there."""
    return [
        message(
            "scan.bridge",
            cloth=bool(limb.cloth_edges),
            width=bridge.width,
            where=limb.kind.at(bridge.height, bridge.bearing),
            likely=_rounded(bridge.likely),
            hardly=_rounded(bridge.uncertainty),
        )
        for bridge in skin.bridges
    ]


def _rounded(off: float) -> float:
    """mm that the limb may lie from a bridge, as they are told: a tenth at least."""
    return max(0.1, off)


def _draw(axes: Axes, view: _View, *, points: Floats, left: Floats, skin: LimbSurface, girths: Sequence[Girth]) -> None:
    axes.set_aspect("equal")
    axes.set_axis_off()
    if len(left):
        _dots(axes, view.seen(left), s=3.0, c=LEFT_OUT, marker="x", linewidths=0.5, alpha=0.7)
    low, high = skin.trusted
    inside = (points[:, 2] >= low) & (points[:, 2] <= high)
    _dots(axes, view.seen(points[~inside]), s=1.1, c=SOFT, linewidths=0, alpha=0.35)
    _fill(axes, view, skin)
    offset = points[inside, :2] - skin.centre_line(points[inside, 2])
    facing = offset[:, 0] * np.cos(view.bearing) + offset[:, 1] * np.sin(view.bearing) > 0
    _dots(axes, view.seen(points[inside][facing]), s=1.1, c=SOFT, linewidths=0, alpha=0.55)
    for girth in girths:
        ring = view.seen(skin.points(np.full(len(_TURN), girth.height), view.bearing + _TURN))
        axes.plot(*ring.T, color=ACCENT, linewidth=2.0 if girth.name else 0.6, alpha=1.0 if girth.name else 0.6)
    heights = np.linspace(low, high, 120)
    if np.cos(view.bearing) > -0.1:
        axes.plot(*view.seen(skin.points(heights, np.zeros(120))).T, color=INK, linewidth=1.8)
    axis = np.column_stack([np.zeros((2, 2)), [low - 30.0, high + 30.0]])
    axes.plot(*view.seen(axis).T, color=INK, linewidth=0.9, linestyle=(0, (6, 4)))


def _bridged(axes: Axes, view: _View, skin: LimbSurface, bare: Coverage) -> None:
    """The cells of the surface in which the scan shows no skin, as far as they face the eye."""
    columns = bare.covered.shape[1]
    step, turn = (bare.heights[1] - bare.heights[0]) / 2, np.pi / columns
    trusted = (bare.heights >= skin.trusted[0]) & (bare.heights <= skin.trusted[1])
    row, column = np.nonzero(empty_cells(bare) & trusted[:, None])
    bearing = (2 * column + 1) * turn - np.pi
    facing = np.cos(bearing - view.bearing) > 0
    height, bearing = bare.heights[row[facing]], bearing[facing]
    corners = [
        view.seen(skin.points(np.clip(height + up * step, *skin.trusted), bearing + aside * turn))
        for up, aside in ((-1, -1), (-1, 1), (1, 1), (1, -1))
    ]
    axes.add_collection(PolyCollection(list(np.stack(corners, axis=1)), facecolor=BRIDGED, alpha=0.45, linewidth=0))


def _zero(axes: Axes, points: Floats) -> None:
    """Height 0, across the limb and beyond it on both sides."""
    near = points[np.abs(points[:, 2]) < RIM_NEAR]
    if not len(near):
        return
    reach = float(np.linalg.norm(near[:, :2], axis=1).max()) + ZERO_BEYOND
    axes.plot([-reach, reach], [0.0, 0.0], color=INK, linewidth=1.3)
    axes.text(reach + 2.0, 0.0, "0", color=INK, fontsize=10, ha="left", va="center")


def _rims(axes: Axes, view: _View, rims: Sequence[float], *, points: Floats) -> None:
    """The edges of cloth, across all that the scan shows at their heights."""
    for height in rims:
        across = view.seen(points[np.abs(points[:, 2] - height) < RIM_NEAR])[:, 0]
        if across.size:
            ends = across.min() - RIM_BEYOND, across.max() + RIM_BEYOND
            axes.plot(ends, np.full(2, height * np.cos(TILT)), color=CLOTH, linewidth=1.8, linestyle=DOTTED)


def _dots(axes: Axes, places: Floats, *, s: float, c: str, linewidths: float, alpha: float, marker: str = "o") -> None:
    axes.scatter(places[:, 0], places[:, 1], s=s, c=c, linewidths=linewidths, alpha=alpha, marker=marker)


def _fill(axes: Axes, view: _View, skin: LimbSurface) -> None:
    """The fitted limb as the eye sees it: the rings' bands one over another, from the far end up."""
    heights = np.linspace(*skin.trusted, 90)
    turn = np.linspace(0, 2 * np.pi, 121)
    rings = [view.seen(skin.points(np.full(121, height), turn)) for height in heights]
    lefts = np.array([ring[np.argmin(ring[:, 0])] for ring in rings])
    rights = np.array([ring[np.argmax(ring[:, 0])] for ring in rings])
    axes.fill(*np.concatenate([lefts, rights[::-1]]).T, color=SKIN, linewidth=0)
    for ring in (rings[0], rings[-1]):
        axes.fill(*ring.T, facecolor=SKIN, edgecolor=SOFT, linewidth=0.8)


def _at_one_scale(views: Sequence[Axes]) -> None:
    """Make the views equally wide: they are equally high, so that one millimetre is then as long in each."""
    limits = [axes.get_xlim() for axes in views]
    half = max(high - low for low, high in limits) / 2
    for axes, (low, high) in zip(views, limits, strict=True):
        axes.set_xlim((low + high) / 2 - half, (low + high) / 2 + half)


def _girth_notes(axes: Axes, limb: Limb, girths: Sequence[Girth], language: Language) -> None:
    """The named girths, left of the first view, each at its ring."""
    reach = min(float(np.min(np.asarray(line.get_xdata()))) for line in axes.lines) - 16.0
    above = -np.inf
    for girth in sorted((girth for girth in girths if girth.name), key=lambda girth: girth.height):
        ring = girth.height * np.cos(TILT)
        y = above = max(ring, above + NOTE_APART * np.ptp(axes.get_ylim()))
        words = say.text(message("scan picture.girth", girth=girth.name, length=girth.tape), language)
        axes.text(reach, y, words, fontsize=10, ha="right", va="center", linespacing=1.35)
        axes.plot([reach + 3.0, reach + 14.0], [y, ring], color=ACCENT, linewidth=1.2)


def _subtitle(limb: Limb, skin: LimbSurface) -> Message:
    low, high = (limb.kind.at_height(height) for height in skin.trusted)
    near = message("scan picture.near", rms=skin.rms, low=low, high=high)
    if not skin.bridges:
        return message("scan picture.whole", near=near)
    wide = skin.bridges[0]
    return message(
        "scan picture.bridged",
        near=near,
        width=wide.width,
        where=limb.kind.at(wide.height, wide.bearing),
        cloth=bool(limb.cloth_edges),
        likely=_rounded(wide.likely),
        smaller=len(skin.bridges) - 1,
    )


def _legend(limb: Limb, skin: LimbSurface, left: Floats, language: Language) -> list[Line2D | Patch]:
    def called(entry: Message) -> str:
        return say.text(entry, language)

    scan, skinned = called(message("scan picture.scan")), called(message("scan picture.limb"))
    entries: list[Line2D | Patch] = [
        Line2D([], [], color=SOFT, label=scan, marker=".", linestyle="none", markersize=7),
        Patch(facecolor=SKIN, edgecolor=SOFT, label=skinned),
        Line2D([], [], color=ACCENT, linewidth=2, label=called(message("scan picture.girths"))),
        Line2D([], [], color=INK, linewidth=1.8, label=called(message("scan picture.front"))),
        Line2D([], [], color=INK, linewidth=0.9, linestyle=(0, (6, 4)), label=called(message("scan picture.axis"))),
        Line2D([], [], color=INK, linewidth=1.3, label=called(message("scan picture.zero", zero=limb.kind.zero_place))),
    ]
    if limb.cloth_edges:
        cloth = called(message("scan picture.cloth"))
        entries.append(Line2D([], [], color=CLOTH, linewidth=1.8, linestyle=DOTTED, label=cloth))
    if skin.bridges:
        entries.append(Patch(facecolor=BRIDGED, alpha=0.5, label=called(message("scan picture.bridge"))))
    if len(left):
        out = called(message("scan picture.left out"))
        entries.append(Line2D([], [], color=LEFT_OUT, marker="x", linestyle="none", markersize=5, label=out))
    return entries
