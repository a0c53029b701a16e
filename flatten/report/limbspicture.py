"""The picture of a scan that shows several limbs: each in a colour, with the name that it is listed by."""

from __future__ import annotations

import io
from collections.abc import Sequence

from matplotlib import rc_context
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from flatten.limb.model import SeenLimb
from flatten.mesh.surface import Floats
from flatten.report.palette import REPORT
from flatten.words import say
from flatten.words.english import ENGLISH
from flatten.words.language import Language

COLOURS = ("q4", "s5", "dry", "s7", "q3", "accent")
"""Colours of the palette that limbs have in turn: neighbours differ in lightness too."""


def limbs_picture(limbs: Sequence[SeenLimb], *, view: Floats, language: Language = ENGLISH) -> bytes:
    """A PNG of several limbs as who faces the person sees them; `view` (2,3) are unit vectors across and up.

    A cross marks the place that each one's line picks it by. The same bytes for the same scan.
    """
    ink, paper = REPORT["ink"].light, REPORT["paper"].light
    with rc_context({"font.family": "DejaVu Serif", "text.color": ink}):
        figure = Figure(figsize=(9.0, 11.0), dpi=130, facecolor=paper)
        FigureCanvasAgg(figure)
        axes = figure.add_axes((0.02, 0.16, 0.96, 0.82))
        axes.set_aspect("equal")
        axes.set_axis_off()
        for number, limb in enumerate(limbs):
            colour = REPORT[COLOURS[number % len(COLOURS)]].light
            across, up = view @ limb.points.T
            axes.scatter(across, up, s=2.0, c=colour, linewidths=0, rasterized=True)
            x, y = view @ limb.place
            axes.scatter([x], [y], s=90.0, c=ink, marker="x", linewidths=1.8)
            axes.annotate(f"{number + 1}", (x, y), (8.0, 8.0), textcoords="offset points", fontsize=15)
            figure.text(
                0.06,
                0.135 - 0.024 * number,
                f"{number + 1}  {say.text(limb.name, language)}",
                fontsize=12,
                color=colour,
            )
        stream = io.BytesIO()
        figure.savefig(stream, format="png", facecolor=paper, metadata={"Software": None})
    return stream.getvalue()
