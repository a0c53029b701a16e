"""The other limb of a pair in words and numbers, where it was scanned too."""

from __future__ import annotations

from typing import Any

from flatten.limb.model import Limb
from flatten.limb.words import height_words
from flatten.report.closing import join_sentences
from flatten.report.model import JobReport, OtherLimb
from flatten.report.wearing import wearing_numbers
from flatten.report.words import stretch_sentences, verdict_sentence
from flatten.worn.mean import Mean


def other_sentences(report: JobReport) -> list[str]:
    """What the pieces cut to the other limb's own scan ask of the leather, and how they close; none without."""
    other = report.other
    if other is None:
        return []
    kind, side = other.limb.kind, other.limb.side
    widest = {row.name: row.tape for row in other.girths}["widest"]
    here = {row.name: row.tape for row in report.girths}["widest"]
    told = [
        f"The {side} {kind} was scanned too, and its pieces are cut to its own shape: its widest girth is "
        f"{widest:.0f} mm, where the {report.limb.side} one’s is {here:.0f} mm."
    ]
    names = [piece.name for piece in other.pieces]
    for panel, name in zip(other.panels, names, strict=True):
        told.append(stretch_sentences(panel.stretch, piece=f"{name}, {side}"))
        told[-1] += f" {verdict_sentence(panel.stretch)}"
    told += [f"On the {side}, {join_sentences(join, kind=kind, pieces=names)}" for join in other.joins]
    if report.advice:
        told.append("Each change that is advised was tried on both limbs; its figures are of both together.")
    if any(panel.least_spread is not None for panel in report.panels):
        told.append(f"What no pattern can beat was worked out for the {report.limb.side} {kind} alone.")
    return told


def on_the_other(other: OtherLimb, words: str) -> str:
    """A sentence about the other limb, with its side before it."""
    return f"On the {other.limb.side}: {words}"


def other_numbers(report: JobReport) -> dict[str, Any] | None:
    """report.json's `other`: the other limb's scan, girths and stretch, null where it has no scan of its own."""
    other = report.other
    if other is None:
        return None
    return {
        "file": other.scan.file,
        "side": other.limb.side,
        "scale": other.scan.scale,
        "girths": [{"name": row.name, "height": row.height, "girth": row.tape} for row in other.girths],
        "panels": [
            {
                "name": panel.stretch.panel,
                "stretch_max": panel.stretch.largest.stretch,
                "stretch_min": panel.stretch.smallest.stretch,
                "spread": panel.stretch.spread,
                "spread_patch": panel.stretch.spread_patch,
                "verdict": panel.stretch.verdict,
                "fits_limits": panel.stretch.fits,
                "converged": panel.flat.converged,
            }
            for panel in other.panels
        ],
        "wearing": wearing_numbers(other.wearing),
    }


def mean_sentence(mean: Mean, *, other: Limb) -> str:
    """How far two limbs are apart whose mean the pieces are made for."""
    limb = mean.limb
    wider = limb.side if mean.widest[0] >= mean.widest[1] else other.side
    return (
        f"Both pieces are made for the mean of the two limbs. Their skins are up to {mean.apart:.1f} mm apart, "
        f"{height_words(limb.kind, mean.height)}, so each lies half of that off the mean; at the widest the {wider} "
        f"one has {abs(mean.widest[0] - mean.widest[1]):.0f} mm more girth."
    )
