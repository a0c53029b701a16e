"""Widths read from the DXF file alone, against the girth that the leather has to cover."""

import io

import ezdxf
import ezdxf.path
import numpy as np
import pytest
import shapely
import shapely.affinity

from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.making import finish, girth_rows, lay
from flatten.pattern.isoline import isolines
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, cone, cylinder, limb_of

GAP = 25.0
LEVEL = {"bottom": "20 mm", "top": "300 mm"}
POINTS = {"corners": "0 mm"}
"""Corners that are not rounded: the rings nearest to the edges are 5 mm from them."""


def made(skin, *, mesh=3.0, side="left", **tables):
    table = {
        "scan": {"file": "made-up.ply", "side": side},
        "seam": [{"gap": f"{GAP} mm"}],
        "edges": LEVEL,
        "piece": POINTS,
        **tables,
    }
    job = job_of(table, name="the test")
    found = found_on(skin, side=side)
    laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=mesh)
    return laid, dict(finish(job, [(found, laid)], text="", announce=lambda step: None).files)


def outlines(content):
    """The closed outlines on layer CUT as polygons, arcs within 0.001 mm."""
    drawing = ezdxf.read(io.StringIO(content.decode()))
    lines = [ezdxf.path.make_path(e) for e in drawing.modelspace().query('LWPOLYLINE[layer=="CUT"]')]
    return [shapely.Polygon([(p.x, p.y) for p in line.flattening(0.001)]) for line in lines]


def rings(neutral, low, high):
    """Lengths of ten sections of the neutral surface, and their heights."""
    heights = np.linspace(low + 5.0, high - 5.0, 10)
    turn = np.linspace(0.0, 2 * np.pi, 3601)
    sections = [neutral.surface.points(np.full(3601, h), turn) for h in heights]
    return heights, np.array([np.linalg.norm(np.diff(s, axis=0), axis=1).sum() for s in sections])


@pytest.mark.parametrize("side", ["left", "right"])
def test_ten_widths_on_a_cylinder_and_the_gap_are_its_girth(side):
    laid, files = made(cylinder(60.0), side=side)
    (piece,) = outlines(files["pattern.dxf"])
    x0, y0, x1, _ = piece.bounds
    heights, girths = rings(laid.neutral, 20.0, 300.0)
    for height, girth in zip(heights, girths, strict=True):
        y = y0 + height - 20.0
        width = piece.intersection(shapely.LineString([(x0 - 1, y), (x1 + 1, y)])).length
        # 0.05 mm: chords of 3 mm on a circle of 63 mm are short by (3/63)²/24 of 370 mm, 0.035 mm.
        assert width + GAP == pytest.approx(girth, abs=0.05)


def test_ten_widths_on_a_cone_and_the_gap_are_its_girths():
    """The sector's rings are arcs about its apex; the front line stands upright over it."""
    slope = 0.1
    laid, files = made(cone(40.0, slope))
    (piece,) = outlines(files["pattern.dxf"])
    neutral = laid.neutral.surface
    radius = float(neutral.radius(20.0, 0.0))
    slant = np.hypot(1.0, slope)
    first = radius / slope * slant
    x = 0.5 * (piece.bounds[0] + piece.bounds[2])
    along = piece.intersection(shapely.LineString([(x, -1e4), (x, 1e4)]))
    bottom = along.bounds[1]
    heights, girths = rings(laid.neutral, 20.0, 300.0)
    turn = np.linspace(-1.0, 1.0, 20001)
    for height, girth in zip(heights, girths, strict=True):
        away = first + (height - 20.0) * slant
        arc = shapely.LineString(np.column_stack([x + away * np.sin(turn), bottom - first + away * np.cos(turn)]))
        # The lacing gap is square to the seam, its chord 0.005 mm shorter than its arc.
        assert piece.intersection(arc).length + GAP == pytest.approx(girth, abs=0.05)


def test_ten_widths_on_a_leg_differ_from_its_girths_by_what_the_stretch_report_says():
    laid, files = made(limb_of(calf), mesh=5.0)
    (piece,) = outlines(files["pattern.dxf"])
    flat, stretch = laid.panels[0].flat, laid.panels[0].stretch
    heights, girths = rings(laid.neutral, 20.0, 300.0)
    for height, girth in zip(heights, girths, strict=True):
        (line,) = isolines(flat.uv, flat.panel.mesh.faces, flat.panel.heights, float(height))
        width = np.linalg.norm(np.diff(line, axis=0), axis=1).sum()
        for end in (line[0], line[-1]):
            # A cut line lies within 0.1 mm of the panel's boundary (its named tolerance).
            assert piece.exterior.distance(shapely.Point(end)) < 0.1 + 1e-6
        assert stretch.raw_min <= (girth - GAP) / width <= stretch.raw_max


def longer(radius, *, overlap=22.0, thickness=3.2):
    """What an upper leather is longer by than a lower one on a circle: one thickness further out over the overlap,
    half a thickness over the step of five, and the step's own slope, ∫ (6u(1-u)/5)² / 2 du · 5t = 0.12 t."""
    return (overlap + 0.5 * 5 * thickness) * thickness / radius + 0.12 * thickness


def test_two_panels_cover_a_cylinder_and_overlap_at_the_riveted_seam():
    seams = [
        {"name": "outer", "along": "outside", "kind": "riveted", "overlap": "22 mm"},
        {"name": "inner", "along": "inside", "gap": f"{GAP} mm"},
    ]
    laid, files = made(cylinder(60.0), mesh=4.0, seam=seams)
    pieces = outlines(files["pattern.dxf"])
    assert len(pieces) == 2
    girth = rings(laid.neutral, 20.0, 300.0)[1][0]
    total = sum(piece.bounds[2] - piece.bounds[0] for piece in pieces)
    # Chords of 4 mm: (4/66)²/24 of 400 mm, 0.06 mm, and (4/13)²/24 of the step's 16 mm, 0.06 mm.
    assert total == pytest.approx(girth - GAP + 22.0 + longer(girth / (2 * np.pi)), abs=0.15)


def test_an_upper_leather_is_longer_by_its_own_neutral_surface():
    seams = [{"name": n, "along": n, "kind": "riveted", "on_top": "front"} for n in ("outside", "inside")]
    laid, files = made(cylinder(60.0), mesh=4.0, seam=seams)
    widths = sorted(piece.bounds[2] - piece.bounds[0] for piece in outlines(files["pattern.dxf"]))
    girth = rings(laid.neutral, 20.0, 300.0)[1][0]
    assert widths[1] - widths[0] == pytest.approx(2 * longer(girth / (2 * np.pi)), abs=0.15)


def test_the_girth_table_has_a_row_for_each_edge():
    ends = {"bottom": {"shape": "arched", "height": "10 mm", "by": "20 mm"}, "top": "300 mm"}
    skin = cone(40.0, 0.1)
    laid, _ = made(skin, mesh=8.0, edges=ends)
    rows = {row.name: row for row in girth_rows(found_on(skin).limb, skin, edges=laid.design.cuts.edges)}
    # The arched edge's mean height is half-way up its arch.
    assert rows["bottom edge"].height == pytest.approx(20.0, abs=1e-9)
    assert rows["bottom edge"].tape == pytest.approx(2 * np.pi * 42.0, abs=0.01)
    assert rows["top edge"].section == pytest.approx(2 * np.pi * 70.0, abs=0.01)


def test_both_sides_of_a_seam_on_a_cone_are_equally_long_and_mirror_images():
    _, files = made(cone(40.0, 0.1), mesh=5.0)
    (piece,) = outlines(files["pattern.dxf"])
    middle = 0.5 * (piece.bounds[0] + piece.bounds[2])
    turned = shapely.affinity.scale(piece, -1.0, 1.0, origin=(middle, 0.0))
    # Two outlines, each within 0.1 mm of its boundary, enclose at most 0.2 mm beside one another.
    assert piece.symmetric_difference(turned).area < 0.2 * piece.length
