"""The grain side of a worn piece: what is seen of the leather, and where it lies on the flat piece as it is cut."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from flatten.leather.shrinking import cut_larger
from flatten.limb.surface.model import LimbSurface
from flatten.mesh.places import located
from flatten.mesh.surface import Floats, Ints, Mesh, frozen
from flatten.ornament.model import OrnamentError
from flatten.ornament.trouble import told_place
from flatten.pattern.outline import wearers_uv
from flatten.unwrap.model import FlatPanel
from flatten.worn.rise import raised_normals

BESIDE = 0.05
"""Barycentric weight by which a place may lie outside of the mesh: a smooth outline bulges over the chords of the
panel's boundary by less than a twentieth of a face."""


@dataclass(frozen=True, eq=False)
class GrainFace:
    """The grain side of a worn panel as a `mesh`, limb coordinates mm, and its vertices `uv` (V,2) on the piece, mm.

    The piece is the one that is cut, grain side up: larger by what its leather loses until it is finished, x negated
    where `mirrored`, so that faces run clockwise there. The mesh is that of the finished leather when worn. `flat` is
    the panel with the same mesh and the piece's size before it is mirrored.
    """

    flat: FlatPanel
    uv: Floats
    mirrored: bool

    def __post_init__(self) -> None:
        """Freeze the array."""
        object.__setattr__(self, "uv", frozen(self.uv))

    @property
    def mesh(self) -> Mesh:
        """The grain side's triangles."""
        return self.flat.panel.mesh

    @cached_property
    def hand(self) -> Floats:
        """What plane points (n,2) in limb coordinates are multiplied by to lie as on the piece, and back."""
        return frozen([-1.0 if self.mirrored else 1.0, 1.0])

    def carried(self, points: Floats) -> Floats:
        """Where points (n,2) of the piece lie on the worn grain side (n,3), limb coordinates mm.

        Raises OrnamentError where one lies beside the piece.
        """
        places = located(self.uv, self.mesh.faces, points)
        out = np.flatnonzero(places.weights.min(axis=1) < -BESIDE)
        if out.size:
            x, y = points[out[0]]
            raise OrnamentError(
                f"{out.size} of {len(points)} points, the first {told_place(x, y)}, lie beside the piece "
                f"'{self.flat.panel.name}', so nothing is worn there; draw within its outline"
            )
        return places.on(self.mesh.vertices, self.mesh.faces)


def grain_face(
    flat: FlatPanel,
    *,
    surface: LimbSurface,
    thickness: float,
    neutral: float,
    lost: tuple[float, float] = (0.0, 0.0),
    mirrored: bool = False,
) -> GrainFace:
    """The grain side of the panel `flat`, which lies on the neutral surface `surface` with its own rises.

    It lies (1 − neutral) · thickness mm outside the panel along the leather's normals; leather that is skived thinner
    is taken at its whole thickness. `lost` is the share of its length that the leather loses along and across the grain
    until it is finished (`LeatherLimits.lost`), by which the piece is cut larger.

    Raises OrnamentError where there is no thickness or a hollow is so sharp that the grain side would fold in it.
    """
    panel = flat.panel
    if not thickness > 0.0:
        raise OrnamentError(
            f"leather {thickness:g} mm thick has no grain side to draw on; its thickness must be above 0"
        )
    normals = raised_normals(surface, panel.heights, panel.bearings, rises=panel.rises)
    vertices = panel.mesh.vertices + (1.0 - neutral) * thickness * normals
    faces = panel.mesh.faces
    before, after = (_crosses(points, faces) for points in (panel.mesh.vertices, vertices))
    folded = np.flatnonzero((before * after).sum(axis=1) <= 0.0)
    if folded.size:
        height, bearing = (float(each[faces[folded[0]]].mean()) for each in (panel.heights, panel.bearings))
        raise OrnamentError(
            f"the grain side of '{panel.name}' folds in a hollow at height {height:.0f} mm, "
            f"{np.degrees(bearing) % 360:.0f}° round the limb, that is sharper than {(1 - neutral) * thickness:.1f} mm "
            "of leather can follow; keep ornament flat there (worn = false), or have the hollow spanned"
        )
    cut = cut_larger(flat, lost)
    moved = replace(cut, panel=replace(panel, mesh=Mesh(vertices, faces)))
    return GrainFace(moved, wearers_uv(cut, mirrored=mirrored), mirrored)


def _crosses(points: Floats, faces: Ints) -> Floats:
    """Normals (F,3) of faces, twice as long as they are large."""
    a, b, c = (points[faces[:, k]] for k in range(3))
    return np.cross(b - a, c - a)
