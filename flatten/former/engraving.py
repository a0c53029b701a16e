"""Letters engraved in a former's face: a font's outlines, bent round the limb."""

from __future__ import annotations

from pathlib import Path as File

import numpy as np
from manifold3d import CrossSection, FillRule, Manifold

from flatten.former.face import Face
from flatten.mesh.surface import Floats

FONT = "DejaVuSans-Bold"
"""An open font that comes with matplotlib; its stems are a fifth of a capital wide, so that they print from 5 mm on."""

CAPITAL = 0.729
"""Height of a capital of FONT over its size (1493 of 2048 units)."""

DEPTH = 0.6
"""mm. How deep letters are: three printed layers of 0.2 mm where they lie flat, seen in raking light elsewhere."""

_DRAWN = 100.0
"""Size at which outlines are taken from the font, so that its curves come in fine steps."""

_FINE = 1.0
"""mm. Edge length to which letters are divided before they are bent round the limb."""


def words(text: str, height: float) -> CrossSection:
    """The outlines of a text whose capitals are `height` mm tall, centred on 0."""
    import matplotlib  # here, so that only who makes a former waits for it
    from matplotlib.font_manager import FontProperties
    from matplotlib.textpath import TextPath

    font = File(matplotlib.get_data_path()) / "fonts" / "ttf" / f"{FONT}.ttf"
    drawn = TextPath((0.0, 0.0), text, size=_DRAWN, prop=FontProperties(fname=str(font)))
    outlines = [loop[:-1] for loop in map(np.asarray, drawn.to_polygons()) if len(loop) > 3]
    shape = CrossSection(outlines, FillRule.NonZero).scale((height / CAPITAL / _DRAWN,) * 2)
    x0, _, x1, _ = shape.bounds()
    return shape.translate((-0.5 * (x0 + x1), -0.5 * height))


def arrow(height: float) -> CrossSection:
    """The outline of an arrow upwards, `height` mm tall, centred on 0."""
    h, w = 0.5 * height, 0.12 * height
    right = [(w, -h), (w, 0.1 * h), (0.4 * height, 0.1 * h), (0.0, h)]
    corners = [*right, *((-x, y) for x, y in right[-2::-1])]
    return CrossSection([np.array(corners)], FillRule.NonZero)


def width(shape: CrossSection) -> float:
    """mm from a shape's left to its right end."""
    x0, _, x1, _ = shape.bounds()
    return float(x1 - x0)


def engraved(shape: CrossSection, face: Face, place: tuple[float, float], *, mirrored: bool) -> Manifold:
    """What is cut out of the face for a shape, its middle at a chart place: DEPTH deep, and as much outside the face.

    With `mirrored` the shape is drawn mirrored, so that it can be read where the body is mirrored afterwards.
    """
    height, bearing = place
    radius = face.radius(height, bearing)
    flat = shape.mirror((1.0, 0.0)) if mirrored else shape

    def bent(points: Floats) -> Floats:
        heights, bearings = height + points[:, 1], bearing + points[:, 0] / radius
        outward = face.surface.normals(heights, bearings)
        return face.surface.points(heights, bearings) + points[:, 2:] * outward

    raised = Manifold.extrude(flat, 2.0 * DEPTH).translate((0.0, 0.0, -DEPTH))
    return raised.refine_to_length(_FINE).warp_batch(bent)
