"""The machine's files rendered by programs that this project did not write: areas, holes and true size."""

import os
import subprocess
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image
from scipy import ndimage

from flatten.drawing.compose import drawing_of, extent
from flatten.drawing.dxf import dxf_bytes
from flatten.drawing.model import DXF_VERSIONS
from flatten.drawing.svg import MARGIN, svg_bytes
from flatten.pattern.model import Hole
from flatten.pattern.path import bounds
from flatten.report.cutting import piece_area
from flatten.sheet.layout import side_by_side
from tests.flat_panels import opened_frustum, piece_from

pytestmark = pytest.mark.browser

PER_MM = 10
"""Pixels in a millimetre of the piece."""


@pytest.fixture(scope="module")
def pieces():
    shin = piece_from(opened_frustum(gap=25.0, arch=15.0), side="left", job="watch", thickness=3.2)
    slot = Hole(0.0, 150.0, 3.0, "slot", "back", "low", 22.0, 0.4)
    short = piece_from(opened_frustum(gap=25.0, height=200.0), side="right", job="watch", thickness=3.2)
    return side_by_side([replace(shin, holes=(*shin.holes, slot)), short])


def seen(file):
    """Of each red outline, area (mm²) with half of its line, holes, and box (mm), the largest first.

    An open outline encloses nothing, and so has no area but its line's.
    """
    pixels = np.asarray(Image.open(file).convert("RGB")).astype(int)
    red = (pixels[..., 0] - pixels[..., 1] > 60) & (pixels[..., 0] - pixels[..., 2] > 60)
    lines, _ = ndimage.label(red, structure=np.ones((3, 3)))
    filled, _ = ndimage.label(ndimage.binary_fill_holes(red), structure=np.ones((3, 3)))
    found = []
    for number, (rows, columns) in enumerate(ndimage.find_objects(filled), 1):
        own = filled[rows, columns] == number
        rims = np.bincount(lines[rows, columns][own])[1:]
        rims = rims[rims > 0]
        area = (own.sum() - 0.5 * rims.max()) / PER_MM**2
        found.append((area, len(rims) - 1, np.array(own.shape[::-1]) / PER_MM))
    return sorted(found, key=lambda one: -one[0])


def assert_as_told(found, pieces):
    assert len(found) == len(pieces)
    for (area, holes, size), piece in zip(found, sorted(pieces, key=piece_area, reverse=True), strict=True):
        assert area == pytest.approx(piece_area(piece), rel=1e-3)
        assert holes == len(piece.holes)
        x0, y0, x1, y1 = bounds(piece.outline)
        # A line's width, and a pixel.
        assert size == pytest.approx([x1 - x0, y1 - y0], abs=0.8)


@pytest.mark.parametrize("version", DXF_VERSIONS)
def test_librecad_draws_areas_and_holes_as_they_are_told(pieces, tmp_path, version):
    (tmp_path / "pattern.dxf").write_bytes(dxf_bytes(drawing_of(pieces, "watch"), version))
    # Without a screen, on A3, at half size.
    call = ["librecad", "dxf2pdf", "-c", "-s", "0.5", "-t", str(tmp_path), "pattern.dxf"]
    place = os.environ | {"QT_QPA_PLATFORM": "offscreen", "HOME": str(tmp_path)}
    subprocess.run(call, cwd=tmp_path, env=place, check=True, capture_output=True, timeout=120)
    dots = str(round(2 * PER_MM * 25.4))
    call = ["pdftoppm", "-r", dots, "-png", "-singlefile", "pattern.pdf", "page"]
    subprocess.run(call, cwd=tmp_path, check=True, timeout=120)
    assert_as_told(seen(tmp_path / "page.png"), pieces)


def test_a_second_renderer_of_svg_draws_areas_and_holes_as_they_are_told(pieces, tmp_path):
    drawing = drawing_of(pieces, "watch")
    (tmp_path / "pattern.svg").write_bytes(svg_bytes(drawing))
    dots = str(PER_MM * 25.4)
    call = ["rsvg-convert", "-d", dots, "-p", dots, "-b", "white", "pattern.svg", "-o", "page.png"]
    subprocess.run(call, cwd=tmp_path, check=True, timeout=120)
    x0, y0, x1, y1 = extent(drawing)
    size = np.array([x1 - x0 + 2 * MARGIN, y1 - y0 + 2 * MARGIN])
    assert np.array(Image.open(tmp_path / "page.png").size) / PER_MM == pytest.approx(size, abs=0.2)
    assert_as_told(seen(tmp_path / "page.png"), pieces)
