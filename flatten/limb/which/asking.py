"""How a maker can say where the front is that a scan does not show."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats


def front_ways(points: Floats) -> str:
    """How the front of the limb in points (N,3), in the scan's axes, can be said: a click, or one of four lines.

    The lines look both ways along those two of the scan's axes that lie most across the limb.
    """
    offset = points - points.mean(axis=0)
    along = np.abs(np.linalg.eigh(offset.T @ offset)[1][:, 2])
    lines = [sign * np.eye(3, dtype=np.int64)[axis] for axis in sorted(np.argsort(along)[:2]) for sign in (1, -1)]
    said = "".join(f"\n    front = {line.tolist()}" for line in lines)
    return (
        "; click it on the page (calfskin page), or put that of these lines under [scan] of the job file which points "
        f"most nearly to where the front looks in the scan's axes, or its three numbers after --front:{said}"
    )
