"""What is said beside a line that is held by hand, in English."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

HELD: Mapping[str, str] = MappingProxyType(
    {
        "held.most": "stretched up to {share}",
        "held.least": "squeezed up to {share}",
        "held.back": "Put back to where it was.",
        "keys.point back": "while it is moved: put it back",
    }
)
"""The texts by their keys."""
