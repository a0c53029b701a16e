"""Advice as the page shows it before it is taken and after: its figures, and the leather that it would make."""

from __future__ import annotations

from typing import Any

import numpy as np

from cli.page.known import Followed, SessionState
from flatten.advice.model import Advice
from flatten.findings import Figure, message
from flatten.report.model import Advised
from flatten.words import say


def advised_state(advised: Advised) -> dict[str, Any]:
    """What a piece of advice changes, and the most stretch and squeeze that its words tell: before it and after it."""
    told = next(each.figures for each in advised.messages if each.code == "advice.gain")
    return {
        "change": say.text(advised.messages[0]),
        "stretch": [_share(told[when]) for when in ("stretched", "stretch")],
        "squeeze": [_share(told[when], sign=-1.0) for when in ("squeezed", "squeeze")],
    }


def followed_state(followed: Followed | None) -> dict[str, Any] | None:
    """The advice that was taken last, as long as it may be given back."""
    return None if followed is None else advised_state(followed.advice)


def advised_panels(current: SessionState, advice: Advice) -> list[dict[str, Any]]:
    """Each panel's outline as the wearer sees it flat, (x, y) in mm, and where on the limb each of its points lies:
    height in mm and bearing in radians. By those it is laid over the leather that is there."""
    assert current.limb is not None
    hand = -1.0 if current.limb.limb.frame.mirrored else 1.0
    shown = []
    for flat in advice.flats:
        panel = flat.panel
        rim = np.concatenate([boundary.vertices[:-1] for boundary in panel.boundaries])
        chart = np.column_stack([panel.heights[rim], panel.bearings[rim]])
        outline = flat.uv[rim] * np.array([hand, 1.0])
        shown.append({"outline": np.round(outline, 2).tolist(), "chart": np.round(chart, 4).tolist()})
    return shown


def _share(share: Figure, *, sign: float = 1.0) -> str:
    assert isinstance(share, float)
    return say.text(message("picture.share", share=sign * share))
