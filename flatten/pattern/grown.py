"""An outline grown outwards by an allowance."""

from __future__ import annotations

import numpy as np
import shapely

from flatten.pattern.model import Path
from flatten.pattern.outline import shape_of
from flatten.tolerances import CUT_LINE


def grown(outline: Path, by: float) -> Path:
    """The closed outline `by` mm outside of another, within CUT_LINE of it; round about that one's corners.

    Slits narrower than twice the allowance close: they are cut when it is trimmed off.
    """
    ring = shapely.get_exterior_ring(shapely.simplify(shapely.buffer(shape_of(outline), by), CUT_LINE))
    points = shapely.get_coordinates(ring)[:-1]
    points = points if shapely.is_ccw(ring) else points[::-1]
    return Path(points, np.zeros(len(points)), closed=True)
