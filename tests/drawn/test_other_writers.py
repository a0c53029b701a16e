"""Drawings written by other programs come in at true size: a wave, a reed and a ring that are known in mm."""

from pathlib import Path

import numpy as np
import pytest
import shapely

from flatten.ornament.bring import FINE, brought

DATA = Path(__file__).parent.parent / "data" / "drawn"
WRITERS = ["svgwrite.svg", "drawsvg.svg", "matplotlib.svg", "cairo.svg", "ezdxf.svg", "ezdxf.dxf", "dxfwrite.dxf"]
WRITTEN = {"cairo.svg": 0.001, "ezdxf.svg": 0.005}
"""mm. What a writer rounds by: cairo to 1/256 px, ezdxf to the 1/100000 of a page's width that was asked for."""


def wave():
    t = np.linspace(0.0, 1.0, 2000)[:, None]
    parts = []
    for k, side in enumerate([16, -16, 16, -16, 16]):
        a, b, c, e = (np.array([x + 40.0 * k, 30.0 + y]) for x, y in ((10, 0), (23, side), (37, side), (50, 0)))
        parts.append(a * (1 - t) ** 3 + 3 * b * t * (1 - t) ** 2 + 3 * c * t**2 * (1 - t) + e * t**3)
    return shapely.LineString(np.concatenate(parts))


@pytest.mark.parametrize("name", WRITERS)
def test_a_drawing_is_true_to_size_whatever_wrote_it(name):
    found = brought(DATA / name, unit="mm" if name == "dxfwrite.dxf" else "auto")
    rings = sorted((s.points for s in found.strands if s.closed), key=lambda ring: np.ptp(ring[:, 1]))
    (line,) = (s.points for s in found.strands if not s.closed)
    shift = min(line[0], line[-1], key=lambda end: end[0]) - [10.0, 30.0]
    if name != "ezdxf.svg":
        # The page's upper edge is y = 0 of an SVG.
        np.testing.assert_allclose(shift, [0.0, -170.0 if name.endswith(".svg") else 0.0], atol=0.001)
    known = [
        (shapely.LineString(line - shift), wave()),
        (shapely.LinearRing(rings[0] - shift), shapely.Point(150, 110).buffer(15, quad_segs=4000).exterior),
        (shapely.LinearRing(rings[1] - shift),
         shapely.LineString([(60, 90), (60, 140)]).buffer(8, quad_segs=4000).exterior),
    ]  # fmt: skip
    for drawn, true in known:
        # The dense lines leave the true ones by r (1 − cos 0.0002) < 1e-6; cubics for circles by 0.0003 r.
        cubic = 0.005 if true.is_ring else 0.0
        allowed = FINE + WRITTEN.get(name, 0.0) + cubic + 1e-4
        fine = shapely.segmentize(drawn, 0.05)
        assert shapely.hausdorff_distance(fine, true) <= allowed
        assert shapely.hausdorff_distance(drawn, shapely.segmentize(true, 0.05)) <= allowed


@pytest.mark.parametrize(
    ("name", "codes"),
    [
        ("svgwrite.svg", {"bring.left_out", "bring.size"}),
        ("ezdxf.dxf", {"bring.left_out", "bring.size"}),
        ("ezdxf.svg", {"bring.filled", "bring.size"}),
        ("drawsvg.svg", {"bring.size"}),
    ],
)
def test_what_is_no_line_is_told(name, codes):
    found = brought(DATA / name)
    assert {one.code for one in found.findings} == codes
    texts = [one.figures for one in found.findings if one.code == "bring.left_out"]
    assert texts in ([], [{"left_out": "text", "count": 1}])
