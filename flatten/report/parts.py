"""How plates are riveted on, in messages and numbers."""

from __future__ import annotations

from typing import Any

from flatten.findings import Message, message
from flatten.pattern.model import Attachment


def held_message(held: Attachment) -> Message:
    """How a part is riveted on, which holes are punched flat, and how far copied holes would miss."""
    return message(
        "part.held",
        part=held.part,
        on=held.on,
        count=held.count,
        pitch=held.pitch,
        punched=held.punched,
        copied=held.copied,
    )


def held_numbers(held: Attachment) -> dict[str, Any]:
    """One entry of report.json's `parts`."""
    return {
        "name": held.part,
        "kind": held.kind,
        "on": held.on,
        "rivets": held.count,
        "diameter": held.diameter,
        "pitch": held.pitch,
        "stack": held.stack,
        "punched_flat_beneath": held.punched,
        "copied_holes_miss": held.copied,
    }
