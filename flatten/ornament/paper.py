"""True when worn: a part of the worn grain side laid flat to draw on, and its map to the piece and back."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely

from flatten.mesh.disk import check_disk, twins_of
from flatten.mesh.edges import edge_lengths, mesh_edges
from flatten.mesh.gradient import face_gradients, singular_values
from flatten.mesh.graph import components
from flatten.mesh.places import ROUNDING, located
from flatten.mesh.surface import Flags, Floats, Ints, Mesh
from flatten.ornament.grain_face import GrainFace
from flatten.ornament.model import Field, OrnamentError, Region
from flatten.ornament.smooth_map import SmoothMap, smooth_map
from flatten.ornament.trouble import told_place
from flatten.unwrap.disk import as_uv, flatten_disk
from flatten.worn.curves import DART_KINDS

AROUND = 2.0
"""mm by which the paper reaches beyond what is drawn on it at least, where there is leather, so that the smooth map
does not end with the drawing. No more: on a larger paper a drawing is less true, with the square of its size."""

FACE = 0.7
"""Edge lengths from the middle of a well-shaped face to its farthest corner, at most: faces are taken by their middles,
and so far beyond."""

BAY = 20.0
"""mm. Bays of a place that are narrower than twice this, such as round eyelets, are laid out with it: thin tongues
between them would be pulled out of shape alone."""

OUTSIDE = 1.0
"""mm by which a place may lie outside of the paper: the outline of a piece bulges over its mesh's chords by less, and
the smooth map goes straight on there."""

SLIT = 5.0
"""mm. Nearer to a dart or slash the map does not follow the leather: both its sides are one place of the limb, and two
of the piece. Ornament stays further away, by the margin of an edge."""

STEP = 0.5
"""mm. Step at which rims of a field are taken up to be carried: chords of the greatest bend of a map are then below
0.001 mm."""


@dataclass(frozen=True, eq=False)
class Paper:
    """A part of a piece's worn grain side laid flat, with the least distortion: what is drawn on it looks so when worn.

    mm; it lies where it fits best on the piece, so that both planes have nearly the same coordinates, x = 0 being the
    centre line of both where `even`. `area` is what it covers. On the worn grain side of the place that it was made
    for, lengths are `least` to `greatest` times those on the paper; 1 on a surface that unrolls. `missed` is how far
    (mm) the smooth map is, at most, from where the mesh's vertices lie on the piece. An `even` map takes mirror images
    to mirror images; where both halves of the limb differ it is the mean of both, and its lines lie up to `uneven` mm
    from where either half alone would have them.
    """

    piece: str
    area: Region
    map: SmoothMap
    least: float
    greatest: float
    missed: float
    even: bool
    uneven: float

    def to_piece(self, points: Floats) -> Floats:
        """Where places (n,2) of the paper lie on the piece (n,2), mm.

        Raises OrnamentError where one lies outside of the paper.
        """
        _check_inside(points, self.area.shape, self.piece)
        return self.map.at(points)

    def to_paper(self, points: Floats) -> Floats:
        """Where places (n,2) of the piece lie on the paper (n,2), mm.

        Raises OrnamentError where one lies outside of the paper.
        """
        found = self.map.back(points)
        _check_inside(found, self.area.shape, self.piece)
        return found

    def field(self, field: Field) -> Field:
        """A field of the piece on the paper; its centre line leads straight between the images of its ends.

        Raises OrnamentError where part of it lies outside of the paper.
        """
        rims = tuple(self.to_paper(_fine(rim)) for rim in field.region.rims)
        centre = None if field.centre is None else self.map.back(np.asarray(field.centre))
        if centre is not None and self.even:
            centre = centre * np.array([0.0, 1.0])
        return replace(field, region=Region(rims), centre=centre, even=field.even and self.even)


def paper_of(face: GrainFace, place: shapely.Geometry, *, even: bool = False) -> Paper:
    """The paper over the part `place` of a piece, mm: a field, or the smaller place of one drawing.

    A drawing that is laid on its own small place is truer than on the whole field's paper. Holes in the place are
    covered, and so is what lies between its parts. `even` where the piece is the same on both sides of x = 0 and the
    drawing is to be: the place is then taken with its mirror image.

    Symmetric Dirichlet without limits (`flatten_disk`), of the grain side's faces.

    Raises OrnamentError where nothing of the place lies on the piece, or a dart or slash parts it; DiskError or
    UnwrapError where it cannot be laid flat.
    """
    name = face.flat.panel.name
    if even:
        place = shapely.union(place, _mirror_image(place))
    kept = _patch(face, place, name)
    old, faces = np.unique(face.mesh.faces[kept], return_inverse=True)
    mesh = Mesh(face.mesh.vertices[old], faces.reshape(-1, 3))
    piece = face.uv[old]
    laid = flatten_disk(mesh, chart=piece * face.hand)
    gradients = face_gradients(mesh)
    greatest, least = singular_values(gradients, laid.uv[:, 0] + 1j * laid.uv[:, 1])
    here = _within(place, piece[mesh.faces].mean(axis=1), by=0.0)
    here = here if here.any() else np.ones_like(here)
    paper = laid.uv * face.hand
    paper = _on_axis(paper, mesh.faces, piece) if even else _on(paper, piece)
    far = _off_slits(face, old)
    mapped = smooth_map(paper[far], piece[far], symmetrical=even)
    missed = float(np.hypot(*(mapped.images - piece[far]).T).max())
    uneven = 0.0
    if even:
        mean = mapped.mirrored_mean()
        uneven = float(np.hypot(*(mean.images - mapped.images).T).max())
        mapped = mean
    if np.linalg.det(mapped.slopes(paper[far])).min() <= 0.0:
        raise OrnamentError(
            f"what is drawn true for the worn side of '{name}' would fold on the flat piece: a dart or slash, or two "
            "halves that are too unlike, part it there; lay drawings on smaller places, or flat (worn = false)"
        )
    return Paper(
        name,
        Region.of(_covered(paper, mesh, even=even)),
        mapped,
        float(1.0 / greatest[here].max()),
        float(1.0 / least[here].min()),
        missed,
        even,
        uneven,
    )


def _patch(face: GrainFace, place: shapely.Geometry, name: str) -> Flags:
    """The faces (F,) of the least disk that covers a place and AROUND mm about it."""
    faces = face.mesh.faces
    whole = place if shapely.get_num_geometries(place) == 1 else shapely.convex_hull(place)
    middles = face.uv[faces].mean(axis=1)
    by = AROUND + FACE * float(edge_lengths(face.mesh, mesh_edges(face.mesh)).mean())
    kept = _within(shapely.buffer(whole, BAY), middles, by=by - BAY)
    pairs = _pairs(face.mesh)
    group = components(pairs[kept[pairs].all(axis=1)], len(faces))
    # A place may be smaller than a face; what is only near it, across a dart, does not count.
    meant = kept & _within(place, middles, by=0.5 * by)
    parts = np.unique(group[meant])
    if not len(parts):
        x, y = shapely.bounds(place).reshape(2, 2).mean(axis=0)
        raise OrnamentError(
            f"the place of an ornament, {told_place(x, y)}, does not lie on the piece '{name}'; move it onto it"
        )
    if len(parts) > 1:
        raise OrnamentError(
            f"the place of an ornament on the piece '{name}' lies in {len(parts)} parts that a dart, a slash or the "
            "outline keeps apart; lay a drawing on one of them at a time"
        )
    return _disk(face.mesh, pairs, kept & (group == parts[0]))


def _off_slits(face: GrainFace, vertices: Ints) -> Flags:
    """Which vertices (n,) of the panel lie SLIT or more from the sides of its darts and slashes, on the piece."""
    sides = [side.vertices for side in face.flat.panel.boundaries if side.kind in DART_KINDS]
    slits = shapely.union_all([shapely.LineString(face.uv[side]) for side in sides])
    return np.asarray(shapely.is_empty(slits) | ~(shapely.distance(slits, shapely.points(face.uv[vertices])) < SLIT))


def _within(place: shapely.Geometry, points: Floats, *, by: float) -> Flags:
    """Which points (n,2) lie inside of a place or up to `by` mm beside it."""
    wide = shapely.buffer(place, by)
    shapely.prepare(wide)
    return np.asarray(shapely.contains_xy(wide, *points.T))


def _pairs(mesh: Mesh) -> Ints:
    """Pairs (n,2) of faces that share an edge, each once."""
    twins = twins_of(mesh, mesh_edges(mesh))
    halves = np.flatnonzero(twins > np.arange(len(twins)))
    return np.stack([halves, twins[halves]], axis=1) % len(mesh.faces)


def _disk(mesh: Mesh, pairs: Ints, kept: Flags) -> Flags:
    """Faces (F,) of a disk `mesh` that hang together, with those that they enclose or touch only in a corner: a disk.

    In a disk nothing but what reaches its boundary is not enclosed.
    """
    faces = mesh.faces
    count = len(faces)
    twins = twins_of(mesh, mesh_edges(mesh)).reshape(3, count)
    rim = (twins < 0).any(axis=0)
    starts = faces.T
    while True:
        group = components(pairs[~kept[pairs].any(axis=1)], count)
        open_air = np.isin(group, group[rim & ~kept])
        grown = kept | ~open_air
        leaves = grown & ((twins < 0) | ~grown[twins % count])
        corners = np.flatnonzero(np.bincount(starts[leaves], minlength=len(mesh.vertices)) > 1)
        grown = grown | np.isin(faces, corners).any(axis=1)
        if (grown == kept).all():
            return kept
        kept = grown


def _on(paper: Floats, piece: Floats) -> Floats:
    """The paper (n,2) turned and moved to lie best on the piece (n,2): plane Procrustes."""
    p, q = (points[:, 0] + 1j * points[:, 1] for points in (paper, piece))
    turn = np.exp(1j * np.angle(np.vdot(p - p.mean(), q - q.mean())))
    return as_uv((p - p.mean()) * turn + q.mean())


def _on_axis(paper: Floats, faces: Ints, piece: Floats) -> Floats:
    """The paper (n,2) laid so that its halves are mirror images about x = 0 as well as can be, as the piece's are.

    With w its places and v those of their mirror images on the piece, turned by t: e^{it}·w against −conj(e^{it}·v),
    by least squares over both; moved along the axis it lies best on the piece.
    """
    image = located(piece, faces, piece * np.array([-1.0, 1.0]))
    both = image.weights.min(axis=1) >= -ROUNDING
    if not both.any():
        raise OrnamentError("a drawing that is to be symmetrical does not reach the piece's centre line; move it there")
    w, v = paper[:, 0] + 1j * paper[:, 1], (image.on(paper, faces) @ np.array([1.0, 1j]))
    own, other = w[both] - w[both].mean(), v[both] - v[both].mean()
    turn = np.exp(0.5j * np.angle(-np.sum(np.conj(own * other))))
    q = piece[:, 0] + 1j * piece[:, 1]
    if np.vdot((w - w.mean()) * turn, q - q.mean()).real < 0.0:
        turn = -turn
    across = 0.5 * float(((w[both] + v[both]) * turn).real.mean())
    up = float((q - w * turn).imag.mean())
    return as_uv(w * turn - across + 1j * up)


def _covered(paper: Floats, mesh: Mesh, *, even: bool) -> shapely.Geometry:
    """What a paper covers; of an even one what its mirror image does, too."""
    shape = shapely.make_valid(shapely.Polygon(paper[check_disk(mesh)]))
    return shapely.union(shape, _mirror_image(shape)) if even else shape


def _mirror_image(shape: shapely.Geometry) -> shapely.Geometry:
    """A shape's mirror image about x = 0."""
    return shapely.transform(shape, lambda points: points * np.array([-1.0, 1.0]))


def _fine(rim: Floats) -> Floats:
    """A closed polyline (n,2) with places at most STEP apart."""
    line = shapely.segmentize(shapely.LinearRing(rim), STEP)
    return np.asarray(shapely.get_coordinates(line)[:-1])


def _check_inside(points: Floats, shape: shapely.Geometry, name: str) -> None:
    """Raises OrnamentError where points (n,2) lie more than OUTSIDE beside a shape."""
    shapely.prepare(shape)
    out = np.flatnonzero(~shapely.contains_xy(shape, *points.T))
    if not out.size:
        return
    far = np.asarray(shapely.distance(shape, shapely.points(points[out])))
    worst = int(far.argmax())
    if far[worst] > OUTSIDE:
        x, y = points[out[worst]]
        raise OrnamentError(
            f"an ornament on the piece '{name}' reaches {far[worst]:.0f} mm beyond the leather that it was laid out "
            f"on, {told_place(x, y)}; keep it inside its field"
        )
