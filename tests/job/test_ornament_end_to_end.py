"""A whole job's ornament against what it promises: areas, mirror images, circles when worn, sides, files."""

import io

import ezdxf
import numpy as np
import pyogrio
import pytest
import shapely
from scipy.spatial import cKDTree

from flatten.job.ornamented import drawings_of, ornamented
from flatten.job.pieces import pieces_of
from flatten.leather.limits import PRESETS
from flatten.making import finish, lay
from flatten.ornament.sheets import BACKGROUND, BEVELLED, CARVED
from flatten.pattern.path import polyline
from tests.analytic_jobs import design_of
from tests.limbs import calf, cylinder, limb_of
from tests.ornament.grain_sides import diameters
from tests.plated import laid_on

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" width="{0}mm" height="{0}mm" viewBox="{1} {1} {0} {0}" {2}>'
HEAD = HEAD.replace("{2}", 'fill="none" stroke="black"')
RING = HEAD.format(60, -30) + '<circle r="20"/></svg>'
LINKS = (
    HEAD.format(80, -40)
    + '<circle cy="-10" r="18"/><circle cx="8.66" cy="5" r="18"/><circle cx="-8.66" cy="5" r="18"/></svg>'
)
HALF = HEAD.format(80, -40) + '<path d="M0 -30C-24 -30 -24 8 0 8"/><path d="M0 -8C-24 -8 -24 30 0 30"/></svg>'
ANYWHERE = {"calm_only": False}


@pytest.fixture
def folder(tmp_path):
    for name, text in (("ring.svg", RING), ("links.svg", LINKS), ("half.svg", HALF)):
        (tmp_path / name).write_text(text)
    return tmp_path


def adorned(folder, skin, *motifs, mesh=6.0, **tables):
    job, found, laid = laid_on(skin, mesh=mesh, motif=list(motifs), **{"ornament": ANYWHERE} | tables)
    return job, found, laid, ornamented(job, laid, pieces_of(laid), drawings_of(job, folder=folder))


def to_cut(folder, skin, *motifs, mesh):
    """The same laid as accurately as for the knife, on a mesh of that size."""
    job, found, _ = laid_on(skin, mesh=8.0, motif=list(motifs), ornament=ANYWHERE)
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=mesh)
    return ornamented(job, laid, pieces_of(laid), drawings_of(job, folder=folder))


def drawing(file, **more):
    return {"kind": "drawing", "file": file, "width": "3 mm", "apart": "0.8 mm"} | more


def lines(piece, kind):
    return [polyline(mark.path, 0.01) for mark in piece.marks if mark.kind == kind]


@pytest.mark.parametrize("worn", [False, True])
@pytest.mark.parametrize("motif", [drawing("links.svg"), {"kind": "filling", "width": "4 mm"}], ids=["drawn", "made"])
def test_bands_distances_and_background_are_the_field(folder, motif, worn):
    _, _, _, done = adorned(folder, limb_of(calf), motif, ornament=ANYWHERE | {"worn": worn})
    ornament = done.ornaments[0]
    (made,) = ornament.motifs
    carving = made.carving
    parts = [*carving.bands, carving.distances, carving.background]
    whole = shapely.union_all([part.shape for part in parts])
    # Nothing lies over anything else, and nothing is missing.
    assert sum(part.area for part in parts) == pytest.approx(whole.area, rel=1e-6)
    if not worn:
        assert whole.area == pytest.approx(ornament.field.region.area, rel=1e-3)
        assert shapely.symmetric_difference(whole, ornament.field.region.shape).area < 1e-3 * whole.area
    # On the piece the background is as large as in the drawing, but for what forming does to areas.
    assert ornament.background.area == pytest.approx(carving.background.area, rel=1e-6 if not worn else 0.12)


@pytest.mark.parametrize("worn", [False, True])
def test_a_half_on_a_symmetrical_piece_is_mirrored_to_a_thousandth(folder, worn):
    """Centre lines, and edges of bands on the piece as they are worked out, but where over and under change sides; what
    is drawn of them lies LIGHT off at most."""
    motif = drawing("half.svg", half="left")
    _, _, _, done = adorned(folder, cylinder(60.0), motif, ornament=ANYWHERE | {"worn": worn})
    (made,) = done.ornaments[0].motifs
    assert (made.tooling.closed, made.tooling.crossings) == (2, 2)
    strands = shapely.MultiLineString([np.vstack([one.points, one.points[:1]]) for one in made.weave.strands])
    assert _off_mirrored(shapely.get_coordinates(strands), strands).max() <= 1e-3
    drawn = [np.vstack([line, line[:1]]) if closed else line for line, closed in _lines_of(done.ornaments[0])]
    carved = np.concatenate(drawn)
    crossings = np.array([(crossing.x, crossing.y) for crossing in made.weave.crossings])
    calm = cKDTree(np.vstack([crossings, crossings * TURNED])).query(carved)[0] > 8.0
    assert calm.mean() > 0.5
    assert _off_mirrored(carved[calm], shapely.MultiLineString(drawn)).max() <= 1e-3


TURNED = np.array([-1.0, 1.0])


def _lines_of(ornament):
    return [(polyline(mark.path, 0.01), mark.path.closed) for mark in ornament.marks if mark.kind == CARVED]


def _off_mirrored(points, lines):
    """How far the mirror images of points lie off the lines."""
    return shapely.distance(shapely.points(points * TURNED), lines)


@pytest.mark.parametrize(("right", "up"), [("60 mm", "-40 mm"), ("-55 mm", "30 mm")])
def test_a_circle_of_40_in_a_file_is_one_on_the_worn_leather(folder, right, up):
    """Found again on the grain side of a piece that was meshed and laid flat anew. Along the middle of an uneven limb
    it may be farther off, which is told."""
    motif = drawing("ring.svg", width="2 mm", by=[right, up])
    done, again = (to_cut(folder, limb_of(calf), motif, mesh=mesh) for mesh in (4.0, 5.3))
    carved = sorted(lines(done.ornaments[0], CARVED), key=lambda line: np.ptp(line, axis=0).sum())
    assert len(carved) == 2
    for line, wanted in zip(carved, (38.0, 42.0), strict=True):
        found = diameters(again.ornaments[0].face, _polar(line, 16))
        assert np.abs(found - wanted).max() < 0.2


def _polar(line, count):
    """Points of a ring where rays from its middle meet it, so that each lies across from another."""
    middle = line.mean(axis=0)
    angles = np.unwrap(np.arctan2(*(line - middle).T[::-1]))
    if angles[-1] < angles[0]:
        angles, line = angles[::-1], line[::-1]
    wanted = angles[0] + 2.0 * np.pi * np.arange(count) / count
    period = np.append(angles, angles[0] + 2.0 * np.pi)
    return np.stack([np.interp(wanted, period, np.append(line[:, k], line[0, k])) for k in range(2)], axis=1)


def test_the_side_that_goes_down_is_never_the_band_whose_rim_it_is(folder):
    """A bevelled side lies beside its carved line away from that line's own band: on ground or on what passes under."""
    _, _, _, done = adorned(folder, cylinder(60.0), drawing("links.svg"), ornament=ANYWHERE | {"worn": False})
    (made,) = done.ornaments[0].motifs
    piece = done.drawn.pieces[0]
    strands = [shapely.LinearRing(strand.points) for strand in made.weave.strands]
    carved = np.concatenate(lines(piece, CARVED))
    bevelled = np.concatenate(lines(piece, BEVELLED))
    far, nearest = cKDTree(carved).query(bevelled)
    rims = np.array([np.abs(shapely.distance(strand, shapely.points(carved)) - 1.5) < 0.02 for strand in strands])
    # Points that lie squarely beside a line that is the rim of one band alone, away from where bands cross.
    crossings = np.array([(crossing.x, crossing.y) for crossing in made.weave.crossings])
    calm = cKDTree(crossings).query(bevelled)[0] > 6.0
    alone = calm & (rims.sum(axis=0) == 1)[nearest] & (np.abs(far - 0.7) < 0.05)
    assert alone.mean() > 0.3
    beside = np.array([shapely.distance(strand, shapely.points(bevelled)) for strand in strands])
    away = beside[rims.argmax(axis=0)[nearest], np.arange(len(bevelled))]
    assert away[alone] == pytest.approx(1.5 + 0.7, abs=0.02)
    # Beside crossings too a side goes down that no band covers which lies over.
    over = shapely.union_all([band.shape for band in made.carving.bands])
    inside = shapely.contains_xy(shapely.buffer(over, -0.1), *bevelled.T)
    under = np.array([shapely.Point(one.x, one.y).buffer(5.0) for one in made.weave.crossings])
    near = shapely.contains_xy(shapely.union_all(under), *bevelled.T)
    assert not (inside & ~near).any()


def test_the_files_hold_what_was_carved_and_other_readers_find_it(folder, tmp_path):
    job, found, laid, done = adorned(folder, limb_of(calf), drawing("links.svg"))
    made = finish(job, [(found, laid)], text="", drawings=drawings_of(job, folder=folder), announce=lambda step: None)
    files = dict(made.files)
    content = files["pattern.dxf"].decode()
    assert ezdxf.read(io.StringIO(content)).audit().errors == []
    (tmp_path / "pattern.dxf").write_bytes(files["pattern.dxf"])
    _, _, shapes, columns = pyogrio.raw.read(tmp_path / "pattern.dxf", columns=["Layer"])
    layers = np.array(columns[0])
    piece = done.drawn.pieces[0]
    for layer, kind in (("CARVE", CARVED), ("BEVEL", BEVELLED), ("BACKGROUND", BACKGROUND)):
        read = shapely.from_wkb(shapes[layers == layer])
        asked = sum(shapely.length(shapely.linestrings(_all_round(mark))) for mark in piece.marks if mark.kind == kind)
        assert shapely.length(read).sum() == pytest.approx(asked, rel=2e-3)


def _all_round(mark):
    points = polyline(mark.path, 0.01)
    return np.vstack([points, points[:1]]) if mark.path.closed else points
