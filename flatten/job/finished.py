"""A maker's own correction, learned from finished pieces, resolved on a limb."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Annotated, Any

import numpy as np
from pydantic import PlainSerializer, PlainValidator

from flatten.limb.surface.model import LimbSurface
from flatten.units import share_text
from flatten.worn.corrections import NOTHING, Correction, GirthChange
from flatten.worn.curves import GAP_KINDS, Seam
from flatten.worn.neutral import Wear
from flatten.worn.rings import girth_beside

MOST = 0.05
"""Greatest correction of one's own, a share of the leather's length round the limb: leather that is formed wet comes
out by one or two per cent otherwise; more is a slip of the tape or of the thickness. From memory."""

STEP = 22.0
"""mm of height from one place to the next, at least, at which the correction is reckoned: hardly more than readings
must lie apart. At a calf's widest, between two of them, a correction of 2 % is then met to a tenth of a mm."""

_SHARE = re.compile(r"\s*([+-]?)\s*(\d+(?:\.\d*)?|\.\d+)\s*%\s*$")


def _share(value: Any) -> float:
    if isinstance(value, float | int) and not isinstance(value, bool):
        found = float(value)
    else:
        read = _SHARE.match(value.replace("\N{MINUS SIGN}", "-")) if isinstance(value, str) else None
        if read is None:
            raise ValueError(f"{value!r} is no share; write the one that calfskin finished offers, such as '-1.2 %'")
        found = float(f"{read[1]}{read[2]}") / 100.0
    if not -MOST <= found <= MOST:
        raise ValueError(f"'{value}' is outside {share_text(-MOST)} to {share_text(MOST)}")
    return found


def own_share_text(share: float) -> str | float:
    """The text that reads as this share again, "-1.2 %"; the share itself where no percentage does."""
    text = f"{100.0 * share:.12g} %"
    return text if _share(text) == share else share


OwnShare = Annotated[float, PlainValidator(_share), PlainSerializer(own_share_text)]
"""A share by which the leather is drawn longer round the limb, or, below 0, shorter."""


def finished_of(
    share: float, skin: LimbSurface, *, wear: Wear, seams: Sequence[Seam], heights: tuple[float, float]
) -> Correction:
    """What the leather's length round the limb is drawn longer by over `heights` (mm): the `share` of what the inner
    girth has at each height without it, less all gaps, which no leather covers.

    Raises CutError where two readings of a fitting are too near to one another.
    """
    if share == 0.0:
        return NOTHING
    gaps = sum(seam.gap for seam in seams if seam.kind in GAP_KINDS)
    inside = wear.neutral * wear.thickness + wear.lining
    low, high = max(heights[0], skin.trusted[0]), min(heights[1], skin.trusted[1])
    # Edges that leave no height between them are refused where the surface is made.
    places = np.linspace(low, max(low, high), 1 + max(0, int((high - low) / STEP)))

    def inner(height: float, more: float = 0.0) -> float:
        return girth_beside(skin, height, by=lambda h, b: wear.offset_at(h, b) - inside + more / (2 * np.pi))

    # Where the limb leans, an offset lengthens a level section by more than 2π times it.
    changes = [share * (inner(h) - gaps) / (inner(h, 1.0) - inner(h)) for h in map(float, places)]
    level = GirthChange(float(np.mean(changes)))
    return Correction((level, *(GirthChange(c, float(h)) for c, h in zip(changes, places, strict=True))))
