"""What a job is set to, in English: a label for each key of the job file, and its value as a maker writes it."""

from __future__ import annotations

import re

from flatten.words.english.amounts import capital
from flatten.words.language import Sentence, fixed

_LABELS = {
    "scan.file": "Scan",
    "scan.limb": "Limb",
    "scan.side": "Side",
    "scan.unit": "Unit of the scan",
    "scan.front": "Where the front is",
    "scan.pick": "Which limb of several",
    "scan.joint": "Where the joint is",
    "scan.over": "Worn for the scan",
    "scan.tape.at": "Taped at",
    "scan.tape.girth": "Girth by tape",
    "other_scan.file": "Scan of the other limb",
    "wear.under": "Worn beneath",
    "wear.ease": "Ease on the girth",
    "wear.hollows": "Hollows spanned, up to",
    "wear.flexed": "Girth of a flexed muscle, more by",
    "leather.thickness": "Leather, thick",
    "leather.limits": "Its limits",
    "leather.grain": "Its grain runs",
    "leather.room": "Slack to the limits left unused",
    "leather.aim": "Aim of the pattern",
    "leather.neutral": "Depth that keeps its length in a bend",
    "leather.hardened": "Hardened by heat",
    "leather.hardening": "Drawn larger for hardening",
    "leather.hardening.along": "Drawn larger for hardening, along the grain",
    "leather.hardening.across": "Drawn larger for hardening, across the grain",
    "seam.along": "Seam along",
    "seam.kind": "Closed how",
    "seam.name": "Seam",
    "seam.gap": "Lacing gap or opening",
    "seam.eyelet": "Eyelet holes",
    "seam.pitch": "From hole to hole",
    "plate.around": "Plate from bearing to bearing",
    "plate.heights": "Plate from height to height",
    "plate.name": "Plate",
    "plate.thickness": "Plate, thick",
    "lames.name": "Lames",
    "lames.count": "How many lames",
    "lames.bend": "Lames bend by, degrees",
    "dart.name": "Dart",
    "piece.symmetry": "Made symmetrical",
    "piece.pair": "For both limbs",
    "former.kind": "Former",
    "output.title": "Title",
    "output.paper": "Paper",
    "output.mesh": "Reckoned on a mesh that is",
    "output.bound": "What no pattern can beat, worked out",
    "output.advice": "What to change, tried",
}
"""Labels of keys that are not plain by themselves; any other is told by its table and its own word."""

_WORDS = {"True": "yes", "False": "no", "auto": "as found", "": "none", "[]": "none"}


def label(setting: str) -> str:
    """What a key of the job file is about: "seam 2.gap" is seam 2's lacing gap."""
    numbers = re.findall(r" (\d+)", setting)
    known = _LABELS.get(re.sub(r" \d+", "", setting))
    if known is not None:
        return f"{known} ({numbers[0]})" if numbers and numbers[0] != "1" else known
    return capital(setting.replace(".", ", ").replace("_", " "))


def value(given: str) -> str:
    """A value as a maker writes it: no finer than a maker measures, without TOML's quotes and brackets."""
    plain = re.sub(r"[\[\]{}'\"]", "", given)
    return _WORDS.get(given, re.sub(r"\d+\.\d{2,}(?= mm)", lambda found: f"{float(found[0]):.1f}", plain))


SENTENCES: dict[str, Sentence] = {
    "setting.label": label,
    "setting.value": value,
    "setting.lines": fixed("The same as lines of a job file; all that is not said there is as usual"),
}
