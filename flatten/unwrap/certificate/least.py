"""The least spread that any flat map of a panel can have: the best of what the arguments give."""

from __future__ import annotations

import numpy as np

from flatten.mesh.gradient import face_gradients, singular_values, spread
from flatten.mesh.surface import Floats, Mesh
from flatten.unwrap.certificate.disc import best_disc
from flatten.unwrap.certificate.model import Certificate, CertificateError
from flatten.unwrap.certificate.pairs import PairBound, best_pairs
from flatten.unwrap.certificate.survey import Survey, survey
from flatten.unwrap.certificate.wheel import best_wheel

LEAST_RADIUS = 3.0
"""Edges. Smaller discs and wheels would bound by single vertices of the mesh, not of the panel."""

LIGHT = 0.01
"""Share of the greatest load of a pair below which a pair is left out: it would only clutter the picture."""


def least_spread(mesh: Mesh, *, guide: Floats) -> Certificate:
    """A computed lower bound on the spread of every flat map of a disk mesh, and where it binds.

    No flat piece of the panel as meshed, of whatever outline, has log(greatest / least stretch) below it, provided that
    it does not overlap itself. The steps and what each assumes are stated in `struts`, `disc`, `wheel`, `turning` and
    `pairs`. Beyond them it is taken for granted that libigl's geodesics are right to `ROUNDING` of their length, and
    that sums and angles in double precision are right to the margins named in those modules; the linear programme is
    not trusted. Of the smooth panel, or of another mesh of it, it says as much as these have the same lengths as this
    mesh.

    `guide` (V,2) is any flat map of the mesh without flipped faces, such as the one to be judged: it proposes orders,
    directions and a spread to begin with, and has no part in the proof.

    Raises DiskError where the mesh is no disk, CertificateError where the guide flips a face or the
    linear programme fails.
    """
    panel = survey(mesh)
    radius = LEAST_RADIUS * panel.longest
    disc = best_disc(
        panel.distances,
        centres=panel.points.tolist(),
        to_boundary=panel.to_boundary,
        defects=panel.defects,
        least_radius=radius,
    )
    sample, ceiling = guide[panel.points], _spread(mesh, guide)
    wheel = best_wheel(
        panel.pairs,
        guide=sample,
        least_radius=radius,
        spacing=panel.spacing,
        floor=disc.bound,
        ceiling=ceiling,
    )
    floor = max(disc.bound, wheel.bound)
    pairs = best_pairs(panel.pairs, guide=sample, floor=floor, ceiling=ceiling)
    if pairs.bound > floor:
        return _by_pairs(panel, pairs, disc=disc.bound)
    if wheel.bound > disc.bound:
        return Certificate(
            argument="wheel",
            disc=disc.bound,
            least_spread=wheel.bound,
            centre=int(panel.points[wheel.hub]),
            vertices=panel.points[wheel.rim],
        )
    return Certificate(
        argument="disc" if disc.bound > 0.0 else "none",
        disc=disc.bound,
        least_spread=disc.bound,
        centre=disc.centre,
        radius=disc.radius,
    )


def _spread(mesh: Mesh, guide: Floats) -> float:
    """log(greatest / least stretch) of the guiding map, which must flip no face."""
    large, small = singular_values(face_gradients(mesh), guide[:, 0] + 1j * guide[:, 1])
    flipped = np.flatnonzero(~(small > 0.0))
    if flipped.size:
        raise CertificateError(
            f"{flipped.size} of {len(mesh.faces)} faces are flipped in the guiding map, the first is face "
            f"{flipped[0]}; give a map such as flatten_panel makes"
        )
    return spread(large, small)


def _by_pairs(panel: Survey, found: PairBound, *, disc: float) -> Certificate:
    """The certificate of the pairs: those that carry load, and the vertex that carries most; none where none does."""
    if not found.load.any():
        return Certificate(argument="pairs", disc=disc, least_spread=found.bound)
    carrying = np.flatnonzero(np.abs(found.load) > LIGHT * np.abs(found.load).max())
    ends = panel.points[np.stack([panel.pairs.first[carrying], panel.pairs.second[carrying]], axis=1)]
    load = found.load[carrying] / np.abs(found.load).sum()
    points, place = np.unique(ends, return_inverse=True)
    share = np.bincount(place.ravel(), np.repeat(np.abs(load), 2))
    return Certificate(
        least_spread=found.bound,
        argument="pairs",
        centre=int(points[np.argmax(share)]),
        vertices=points,
        pairs=ends,
        load=load,
        disc=disc,
    )
