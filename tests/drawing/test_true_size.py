"""Files rendered by programs that this project did not write, and measured."""

import shutil
import subprocess

import numpy as np
import pytest
import shapely
from PIL import Image

from flatten.drawing.compose import drawing_of, extent
from flatten.drawing.pdf import pdf_bytes
from flatten.drawing.svg import MARGIN as GROUND
from flatten.drawing.svg import svg_bytes
from flatten.limb.model import Landmark
from flatten.pattern.path import polyline
from flatten.sheet.layout import side_by_side
from flatten.sheet.paper import PAPERS, Printing
from flatten.sheet.tiles import CAPTION, sheets_of
from tests.flat_panels import opened_frustum, piece_from

pytestmark = pytest.mark.browser

QUIET = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--hide-scrollbars"]
QUIET += ["--disable-background-networking", "--disable-component-update", "--disable-sync"]
DPI = 254
"""Ten pixels in a millimetre."""

PIXEL = 0.1
"""mm. A pixel at DPI."""


@pytest.fixture(scope="module")
def piece():
    girths = (Landmark("widest", 300.0),)
    flat = opened_frustum(gap=25.0, arch=15.0)
    (placed,) = side_by_side([piece_from(flat, side="left", job="watch", thickness=3.2, girths=girths)])
    return placed


def reddish(image):
    pixels = np.asarray(image.convert("RGB")).astype(int)
    return (pixels[..., 0] - pixels[..., 1] > 60) & (pixels[..., 0] - pixels[..., 2] > 60)


def off_the_outline(red, piece, to_mm):
    """Distances (mm) from red pixels to the outline, and from the outline's points to the nearest red pixel."""
    found = to_mm(np.argwhere(red)[:, ::-1] + 0.5)
    line = shapely.LineString(polyline(piece.outline, 0.01))
    shapely.prepare(line)
    pixels = shapely.points(found)
    tree = shapely.STRtree(pixels)
    places = shapely.points(shapely.get_coordinates(line.segmentize(2.0)))
    _, gaps = tree.query_nearest(places, return_distance=True, all_matches=False)
    return shapely.distance(line, pixels), gaps


def test_svg_in_chromium_has_its_true_size(piece, tmp_path):
    drawing = drawing_of([piece], "watch")
    file, shot = tmp_path / "pattern.svg", tmp_path / "shot.png"
    file.write_bytes(svg_bytes(drawing))
    x0, y0, x1, y1 = extent(drawing)
    per_mm = 2 * 96 / 25.4
    window = f"--window-size={int((x1 - x0 + 30) * 96 / 25.4)},{int((y1 - y0 + 30) * 96 / 25.4)}"
    flags = [*QUIET, f"--user-data-dir={tmp_path / 'profile'}", window, "--force-device-scale-factor=2"]
    chromium = shutil.which("chromium")
    assert chromium, "Debian's Chromium is needed"
    subprocess.run(
        [chromium, *flags, f"--screenshot={shot}", file.as_uri()], check=True, capture_output=True, timeout=120
    )
    red = reddish(Image.open(shot))

    def to_mm(pixels):
        return pixels / per_mm * [1, -1] + [x0 - GROUND, y1 + GROUND]

    # Holes are as red as the outline: what of them is seen lies on their rims.
    pixels = np.argwhere(red)
    places = to_mm(pixels[:, ::-1] + 0.5)
    for hole in piece.holes:
        away = np.hypot(*(places - [hole.x, hole.y]).T)
        within = away < 0.5 * hole.diameter + 1.0
        assert np.abs(away[within] - 0.5 * hole.diameter).max() < 0.25 + 0.15
        red[tuple(pixels[within].T)] = False
    far, gaps = off_the_outline(red, piece, to_mm)
    # Half the line of 0.5 mm and a pixel of 0.13 mm.
    assert far.max() < 0.25 + 0.15
    assert gaps.max() < 0.25 + 0.15
    # The line's middle is the outline: across it, distances average to a quarter of its width.
    assert far.mean() < 0.2


PRINTED = [Printing("A4"), Printing("Letter"), Printing("A3", 5.0), Printing("Tabloid", 12.0), Printing("one page")]


@pytest.fixture(scope="module", params=PRINTED, ids=lambda printing: printing.paper)
def pages(request, piece, tmp_path_factory):
    folder = tmp_path_factory.mktemp("pages")
    sheets = sheets_of([piece], request.param)
    (folder / "pattern.pdf").write_bytes(pdf_bytes(sheets, "watch"))
    subprocess.run(["pdftoppm", "-r", str(DPI), "-png", "pattern.pdf", "page"], cwd=folder, check=True, timeout=120)
    return sheets, [Image.open(file) for file in sorted(folder.glob("page*.png"))]


def test_pages_have_the_papers_size(pages):
    sheets, images = pages
    paper = sheets.printing.paper
    for number, image in enumerate(images):
        wanted = PAPERS.get(paper, sheets.tilings[0].page if number else PAPERS["A4"])
        assert sorted(np.array(image.size) * PIXEL) == pytest.approx(sorted(wanted), abs=2 * PIXEL)


def test_nothing_is_drawn_on_the_printers_own_edge(pages):
    sheets, images = pages
    edge = int((sheets.printing.edge - 0.5) / PIXEL)
    for image in images:
        dark = np.asarray(image.convert("L")) < 200
        inner = dark[edge:-edge, edge:-edge]
        assert inner.any()
        assert dark.sum() == inner.sum()


def test_test_square_measures_100_mm(pages):
    dark = np.asarray(pages[1][0].convert("L")) < 100
    # Lines of 0.3 mm and 100 mm: the only rows and columns of the cover with more than 900 dark pixels.
    for axis in (0, 1):
        lines = np.flatnonzero(dark.sum(axis=axis) > 900)
        low, high = lines[lines < lines.mean()].mean(), lines[lines > lines.mean()].mean()
        assert (high - low) * PIXEL == pytest.approx(100, abs=PIXEL)


def test_sheets_put_together_show_the_whole_outline_at_true_size(pages):
    sheets, images = pages
    (tiling,) = sheets.tilings
    (piece,) = tiling.pieces
    assert len(images) == 1 + len(tiling.tiles)
    line = shapely.LineString(polyline(piece.outline, 0.01))
    places = shapely.get_coordinates(line.segmentize(2.0))
    shown = np.zeros(len(places), bool)
    for tile, image in zip(tiling.tiles, images[1:], strict=True):

        def to_mm(pixels, tile=tile):
            left, bottom = tiling.edge, tiling.edge + CAPTION
            return np.stack(
                [
                    pixels[:, 0] * PIXEL - left + tile.x,
                    (tiling.page[1] - pixels[:, 1] * PIXEL) - bottom + tile.y,
                ],
                axis=1,
            )

        far, _ = off_the_outline(reddish(image), piece, to_mm)
        # Half the line of 0.5 mm, a pixel, and the page's rounding to whole pixels.
        assert far.max() < 0.25 + 2 * PIXEL
        found = shapely.STRtree(shapely.points(to_mm(np.argwhere(reddish(image))[:, ::-1] + 0.5)))
        _, gaps = found.query_nearest(shapely.points(places), return_distance=True, all_matches=False)
        shown |= gaps < 0.25 + 2 * PIXEL
    assert shown.all()
