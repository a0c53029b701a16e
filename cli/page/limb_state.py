"""What the page shows of kinds of limbs, and of the one that was found in the scan."""

from __future__ import annotations

from typing import Any

from cli.page.known import SessionState
from cli.page.updates import LimbFound
from flatten.findings import message
from flatten.limb.kind import LimbKind
from flatten.report.messages import girth_name, scan_messages, zero_message
from flatten.words import say

ASSUMED = "limb.kind assumed"
"""What is found where neither the maker nor the scan tells the kind of limb."""


def kind_state(kind: LimbKind) -> dict[str, Any]:
    """What the page says of a kind of limb, whether or not one of it is on the bench."""
    return {
        "name": kind.name,
        "label": say.name(kind.name),
        "sides": [say.name(side) for side in kind.sides],
        "zero": say.name(kind.zero_name),
        "tape_places": [
            {"at": place, "label": say.name(f"tape at.{place}"), "taped": say.name(f"taped.{place}")}
            for place in ("widest", *kind.tape_places)
        ],
        "front_hint": say.name(f"click front.{kind.name}"),
        "joint": say.name(f"joint.{kind.name}"),
        "joint_hint": say.name(f"click joint.{kind.name}"),
    }


def limb_state(current: SessionState, found: LimbFound) -> dict[str, Any]:
    """What the page shows of the limb that was found."""
    limb = found.limb
    named = {mark.name for mark in limb.landmarks}
    return {
        "meant": current.payloads["meant"] if found.meant else 0,
        "kind": limb.kind.name,
        "side": limb.side,
        "front_from": say.name(limb.front_from),
        "origin": limb.frame.origin.tolist(),
        "axes": limb.frame.axes.tolist(),
        "mirrored": limb.frame.mirrored,
        "scale": found.scan.scale,
        "heights": found.skin.trusted,
        "girths": [
            {
                "name": girth.name if girth.name in named else "",
                "height": girth.height,
                "words": say.text(message("picture.girth", girth=girth_name(limb, girth), length=girth.tape)).strip(),
                "tape": girth.tape,
            }
            for girth in found.girths
        ],
        "sentences": say.texts([*scan_messages(found.scan, limb), zero_message(limb, found.girths)]),
        "cautions": say.texts(found.findings),
        "kind_assumed": any(each.code == ASSUMED for each in found.findings),
        "joint_asked": "" if limb.asked is None else say.text(limb.asked),
        "doubt": next((say.text(each) for each in found.findings if each.code == "limb.side against"), ""),
    }
