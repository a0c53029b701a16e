"""The colour bar: how far the leather on the bench is squeezed and stretched, and where its limits lie between."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from flatten.findings import message
from flatten.leather.model import StretchReport
from flatten.words import say


def colour_bar(stretches: Sequence[StretchReport]) -> dict[str, Any]:
    """Marks as shares with their words: the true ends of all panels, and each limit in force once, the least first.

    A share is stretch (worn / flat) less 1. One sort of leather lies on the bench: its limits are those of any panel.
    """
    limits = stretches[0].limits.in_force
    shares = {limits.stretch_along, limits.stretch_across, -limits.squeeze_along, -limits.squeeze_across}
    return {
        "squeezed": _mark(min(stretch.least.stretch for stretch in stretches) - 1.0),
        "stretched": _mark(max(stretch.most.stretch for stretch in stretches) - 1.0),
        "limits": [_mark(share) for share in sorted(shares)],
    }


def _mark(share: float) -> dict[str, Any]:
    return {"share": share, "words": say.text(message("picture.share", share=share))}
