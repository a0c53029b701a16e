"""Where a panel's least spread binds: what asks for it, and as points to mark on limb and leather."""

from __future__ import annotations

from dataclasses import dataclass

from flatten.findings import Message, message
from flatten.limb.kind import LimbKind
from flatten.mesh.surface import Flags, Floats, Ints, frozen, frozen_ints
from flatten.unwrap.certificate.model import Certificate
from flatten.unwrap.model import FlatPanel
from flatten.worn.panel import Panel


@dataclass(frozen=True, eq=False)
class Binding:
    """The `cause` ("the hollow at the front, 31 mm above the ankle"), its `form`, and what to mark.

    To be marked on the `panel` as meshed: vertices `points` (n,), the `centre` vertex, and lines between vertices
    (k,2) with their `load` (k,), their share of the argument: below 0 where the panel holds two points apart.
    """

    panel: Panel
    cause: Message
    form: str
    centre: int
    points: Ints
    lines: Ints
    load: Floats

    def __post_init__(self) -> None:
        """Freeze the arrays."""
        object.__setattr__(self, "points", frozen_ints(self.points))
        object.__setattr__(self, "lines", frozen_ints(self.lines))
        object.__setattr__(self, "load", frozen(self.load))

    @property
    def held_apart(self) -> Flags:
        """The lines (k,) between points that the panel keeps from coming nearer to each other."""
        return self.load < 0.0


def binding_of(certificate: Certificate, flat: FlatPanel, *, kind: LimbKind) -> Binding | None:
    """Where the certificate of a flat panel binds on a limb of this kind; None where it asks for no stretch, or no
    place can be named."""
    if certificate.argument == "none" or certificate.centre < 0:
        return None
    panel, centre = flat.panel, certificate.centre
    where = kind.at(float(panel.heights[centre]), float(panel.bearings[centre]))
    form = _form(certificate)
    return Binding(
        panel=panel,
        cause=message("bound.cause", form=form, where=where),
        form=form,
        centre=centre,
        points=certificate.vertices,
        lines=certificate.pairs,
        load=certificate.load,
    )


def _form(certificate: Certificate) -> str:
    """ "bulge" where the centre is pushed from its surroundings, which are too narrow for it, "hollow" where it is
    pulled to them, "shape" where the certificate does not tell."""
    if certificate.argument == "disc":
        return "bulge"
    about = (certificate.pairs == certificate.centre).any(axis=1)
    pull = float(certificate.load[about].sum())
    return "bulge" if pull < 0.0 else "hollow" if pull > 0.0 else "shape"
