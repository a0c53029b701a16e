"""Where a panel's least spread binds: in words, and as points to mark on limb and leather."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from flatten.limb.words import place
from flatten.mesh.surface import Flags, Ints, frozen_ints
from flatten.unwrap.certificate.model import Certificate
from flatten.unwrap.model import FlatPanel


@dataclass(frozen=True, eq=False)
class Binding:
    """The place in words, a sentence, and what to mark: mesh vertices `points` (n,), the `centre` vertex, and lines
    between vertices (k,2), with `held_apart` (k,) true where the panel keeps two points from coming nearer."""

    place: str
    sentence: str
    centre: int
    points: Ints
    lines: Ints
    held_apart: Flags

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "points", frozen_ints(self.points))
        object.__setattr__(self, "lines", frozen_ints(self.lines))
        self.held_apart.flags.writeable = False


def binding_of(certificate: Certificate, flat: FlatPanel, *, kind: str) -> Binding | None:
    """Where the certificate of a flat panel binds on a limb of this kind; None where it asks for no stretch at all.

    Raises LimbError where the kind is unknown.
    """
    if certificate.argument == "none":
        return None
    panel, centre = flat.panel, certificate.centre
    where = place(kind, height=float(panel.heights[centre]), bearing=float(panel.bearings[centre]))
    reached = flat.spread_reachable if np.isfinite(flat.spread_reachable) else flat.spread
    least, most = (100 * float(np.expm1(value)) for value in (certificate.least_spread, reached))
    sentence = (
        f"Whatever its outline, no flat piece of this panel has less than {least:.1f} % between its least and its "
        f"greatest stretch; {most:.1f} % was reached. What asks for it is the {_form(certificate)} {where}."
    )
    return Binding(
        place=where,
        sentence=sentence,
        centre=centre,
        points=certificate.vertices,
        lines=certificate.pairs,
        held_apart=certificate.load < 0.0,
    )


def _form(certificate: Certificate) -> str:
    """ "bulge" where the centre is pushed from its surroundings, which are too narrow for it, "hollow" where it is
    pulled to them, "shape" where the certificate does not tell."""
    if certificate.argument == "disc":
        return "bulge"
    about = (certificate.pairs == certificate.centre).any(axis=1)
    pull = float(certificate.load[about].sum())
    return "bulge" if pull < 0.0 else "hollow" if pull > 0.0 else "shape"
