"""The length unit of a scan: from the file, given, or guessed from the size of a limb."""

from __future__ import annotations

import numpy as np

from flatten.mesh.surface import Floats
from flatten.scan.model import ScanError
from flatten.units import MM_PER_UNIT, NO_UNIT


class AmbiguousUnitError(ScanError):
    """A scan may be in any of several `units`, and nobody said in which."""

    def __init__(self, text: str, units: tuple[str, ...]) -> None:
        """Keep the units beside the sentence."""
        super().__init__(text)
        self.units = units


class NoSizeError(ScanError):
    """A scan has no size of its own, and no girth by tape gives it one."""


LIMB_SIZE = (100.0, 1300.0)
"""mm. A scanned limb's longest side: from a small child's forearm without hand to a whole long leg with foot."""

BODY_SIZE = 2100.0
"""mm. The longest side of a whole standing body at most. It is thought of only where no unit gives a limb, since 60 may
be a leg in cm and a body in inches, and a limb is what is asked for; and where the limb would be SHORT, since 175 is
more likely a body in cm than a child's forearm in mm."""

SHORT = 200.0
"""mm. A limb shorter than this has the numbers of a body in cm."""

POSSIBLE_SIZE = (50.0, 4000.0)
"""mm. Outside this no limb scan lies, even with a floor around it: the unit must be wrong."""

FIRST_SIZE = 450.0
"""mm. The longest side that a scan without a size of its own is first taken to have: a lower leg with its foot."""

STRAY_SHARE = 0.005
"""Share of points left out at each end when a size is read, so that a few strays do not set the unit."""

SIZE_SAMPLE = 50_000
"""Points that a size is read from at most, evenly through the file: more would not move it."""


def longest_side(points: Floats) -> float:
    """Longest side of the points' box along their principal axes, without the strays, in the points' own unit."""
    sample = points[:: len(points) // SIZE_SAMPLE + 1]
    centred = sample - sample.mean(axis=0)
    along = centred @ np.linalg.eigh(centred.T @ centred)[1]
    low, high = np.quantile(along, (STRAY_SHARE, 1 - STRAY_SHARE), axis=0)
    return float((high - low).max())


def unit_of(points: Floats, *, given: str | None, in_file: str | None, name: str) -> tuple[str, str]:
    """The unit's name and how it was known: "given", "file", "guessed" or NO_UNIT.

    NO_UNIT that is given stays so, and says all. `in_file` is the unit that the format fixes (glTF: "m"); `given` comes
    first. A guess is made only where one unit alone gives the size of a limb (LIMB_SIZE) that is not SHORT, or one
    alone that of a limb or a body (BODY_SIZE).

    Raises AmbiguousUnitError where more than one unit is possible (cm and inch overlap), and ScanError where `given`
    is no unit, where none is possible, and where the known unit gives a size that no limb has.
    """
    if given == NO_UNIT:
        return NO_UNIT, NO_UNIT
    size = longest_side(points)
    units = ", ".join(MM_PER_UNIT)
    if given is not None and given not in MM_PER_UNIT:
        raise ScanError(f"'{given}' is no unit of a scan; give one of {units}")
    known = given or in_file
    if known is not None:
        length = size * MM_PER_UNIT[known]
        if not POSSIBLE_SIZE[0] <= length <= POSSIBLE_SIZE[1]:
            source = "as given" if given else "as the format has it"
            raise ScanError(
                f"{name} would be {length:.4g} mm long in {known} ({source}), which no limb is; give one of {units}"
            )
        return known, "given" if given else "file"
    sizes = {unit: size * mm for unit, mm in MM_PER_UNIT.items()}
    possible = [unit for unit, long in sizes.items() if LIMB_SIZE[0] <= long <= LIMB_SIZE[1]]
    bodies = [unit for unit, long in sizes.items() if LIMB_SIZE[1] < long <= BODY_SIZE]
    if not possible or max(sizes[unit] for unit in possible) <= SHORT:
        possible += bodies
    if len(possible) == 1:
        return possible[0], "guessed"
    if possible:
        lengths = " or ".join(
            f"{size * MM_PER_UNIT[unit]:.0f} mm (taken in {'inches' if unit == 'in' else unit})" for unit in possible
        )
        raise AmbiguousUnitError(
            f"{name} does not say its unit and its longest side may be {lengths}; give the unit, or a girth by tape",
            tuple(possible),
        )
    raise ScanError(
        f"{name} does not say its unit, and its longest side of {size:.4g} is no limb's in any of {units}; "
        "give the unit"
    )
