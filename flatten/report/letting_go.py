"""What pieces do when they are laid on the limb and let go, as report and report.json tell it."""

from __future__ import annotations

from typing import Any

from flatten.findings import Finding, Message, finding, message
from flatten.forming.springback import Springback, springback_of
from flatten.forming.way import Forming
from flatten.leather.model import Spot, StretchReport
from flatten.limb.kind import LimbKind
from flatten.report.model import LimbReport, PanelReport


def forming_messages(limb: LimbReport) -> list[Message]:
    """How each of a limb's pieces takes its shape, between what it would do at best and at worst, and where laces and
    limb would have to hold it."""
    told = []
    for panel, name in _called(limb):
        found = panel.forming
        if found is None:
            continue
        told.append(_way(found, name, limb.limb.kind))
        if found.held is not None and found.wrapped is not None:
            held, wrapped = found.held, found.wrapped
            told.append(
                message(
                    "forming.between",
                    held_stretch=held.most.stretch - 1.0,
                    held_squeeze=1.0 - held.least.stretch,
                    wrapped_stretch=wrapped.most.stretch - 1.0,
                    wrapped_squeeze=1.0 - wrapped.least.stretch,
                )
            )
        told.append(message("forming.off", off=found.off, pushed=found.pushed))
    sprung = sprung_of(limb)
    return told if sprung is None else [*told, _springs(sprung)]


def sprung_of(limb: LimbReport) -> Springback | None:
    """How far the rings of a limb's piece open when it comes off its former; None where it has no gap, or no ring."""
    if not limb.gaps or not limb.rings:
        return None
    return springback_of(limb.rings, limb.worn, gaps=limb.gaps, test=limb.panels[0].stretch.limits.test)


def springback_numbers(limb: LimbReport) -> dict[str, Any] | None:
    """report.json's `springback` of a limb's piece, mm; null where it has no gap."""
    found = sprung_of(limb)
    if found is None:
        return None
    return {
        "least": found.least,
        "most": found.most,
        "tested": found.tested,
        "rings": [
            {"name": ring.name, "height": ring.height, "leather": ring.leather, "least": ring.least, "most": ring.most}
            for ring in found.rings
        ],
    }


def _springs(found: Springback) -> Message:
    named = [ring for ring in found.rings if ring.name] or found.rings
    return message(
        "forming.springs",
        least=found.least,
        most=found.most,
        tested=found.tested,
        rings=tuple(
            message("forming.ring", name=ring.name, height=ring.height, least=ring.least, most=ring.most)
            for ring in named
        ),
    )


def forming_findings(limb: LimbReport) -> list[Finding]:
    """That a piece needs a wrap, or takes its shape by force alone; nothing of one that forms itself, and of one that
    does not fit its limits where its pattern puts it: that is said already."""
    kind, found = limb.limb.kind, []
    for panel, name in _called(limb):
        if panel.forming is None or panel.forming.way not in ("wrap", "force"):
            continue
        spot, slip = _worst(panel.forming.free), panel.forming.slip
        place = kind.place(height=spot.height, bearing=spot.bearing, part=panel.flat.panel.name)
        where, change = kind.at(spot.height, spot.bearing), spot.stretch - 1.0
        if panel.forming.way == "wrap":
            found.append(
                finding("forming.by wrap", "note", place=place, piece=name, slip=slip, change=change, where=where)
            )
        else:
            sought = any(one.code == "forming.none found" for one in limb.findings)
            found.append(
                finding(
                    "forming.by force",
                    "look",
                    place=place,
                    piece=name,
                    slip=slip,
                    change=change,
                    where=where,
                    sought=sought,
                )
            )
    return found


def held_down(limb: LimbReport) -> bool:
    """Whether one of the limb's pieces holds its shape under a wrap, and not by itself."""
    return any(panel.forming is not None and panel.forming.way in ("wrap", "force") for panel in limb.panels)


def forming_numbers(panel: PanelReport) -> dict[str, Any] | None:
    """report.json's `forming` of a panel, stretches as its own; null where it was not looked at."""
    found = panel.forming
    if found is None:
        return None
    return {
        "way": found.way,
        "slip_max": found.slip,
        "slip_mean": float(found.formed.slip.mean()),
        "off_share": found.off,
        "pushed_share": found.pushed,
        "told": _asked(found.told),
        "free": _asked(found.free),
        "friction": None if found.held is None else _asked(found.held),
        "wrap": None if found.wrapped is None else _asked(found.wrapped),
    }


def _asked(report: StretchReport) -> dict[str, Any]:
    return {
        "most": report.most.stretch,
        "least": report.least.stretch,
        "stretch_max": report.largest.stretch,
        "stretch_min": report.smallest.stretch,
        "fits_limits": report.fits,
    }


def _way(found: Forming, name: str | None, kind: LimbKind) -> Message:
    free = found.free
    return message(
        "forming.way",
        forms=found.way,
        piece=name,
        slip=found.slip,
        stretch=max(free.most.stretch - 1.0, 0.0),
        stretched=kind.at(free.most.height, free.most.bearing),
        squeeze=max(1.0 - free.least.stretch, 0.0),
        squeezed=kind.at(free.least.height, free.least.bearing),
    )


def _worst(report: StretchReport) -> Spot:
    """The line or patch that goes furthest beyond its limits: by stretch or by squeeze."""
    force = report.limits.in_force
    stretch = report.most.stretch - 1.0 - max(force.stretch_along, force.stretch_across)
    squeeze = 1.0 - report.least.stretch - max(force.squeeze_along, force.squeeze_across)
    return report.most if stretch >= squeeze else report.least


def _called(limb: LimbReport) -> list[tuple[PanelReport, str | None]]:
    names = limb.names if len(limb.names) > 1 else (None,) * len(limb.names)
    return list(zip(limb.panels, names, strict=True))
