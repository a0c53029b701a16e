"""The strip test's sheet is at true size, and what is filled in there is what `calfskin leather` reads."""

import re
import subprocess

import numpy as np
import pytest
from click.testing import CliRunner
from PIL import Image

from cli.leather import leather
from flatten.drawing.striptest import CLAMPED, GAUGE, LENGTH, MARGIN, READINGS, WIDTH, strip_test_sheet
from flatten.leather.strips import read_strip_test
from flatten.sheet.paper import PAPERS, PaperError
from flatten.words.english import ENGLISH
from flatten.words.say import text

DPI = 600
PIXEL = 25.4 / DPI


def test_same_paper_same_bytes_and_no_other_paper():
    assert strip_test_sheet(paper="A4") == strip_test_sheet(paper="A4")
    with pytest.raises(PaperError):
        strip_test_sheet(paper="A7")


def test_a_strip_holds_two_clamps_and_the_two_lines_between_them():
    assert pytest.approx(10.0) == LENGTH - 2.0 * CLAMPED - GAUGE


def test_the_columns_of_the_table_are_those_that_are_read(tmp_path):
    columns = [text(head, ENGLISH).splitlines()[0] for head in READINGS]
    rows = [f"{way},{','.join(f'{100.0 + k:g}' for k in (0, 1.5, 6, 6, 2))}" for way in ("along", "across")]
    lines = [f"direction,{','.join(columns)},load,width,thickness", *(f"{row},10,20,3.2" for row in rows)]
    (tmp_path / "strips.csv").write_text("\n".join(lines))
    test = read_strip_test(tmp_path / "strips.csv")
    assert test.wet[0].mean == pytest.approx(0.06)
    assert test.dry[0].mean == pytest.approx(0.015)


def test_the_command_writes_the_sheet_and_asks_for_readings_without_it(tmp_path):
    sheet = tmp_path / "strip-test.pdf"
    done = CliRunner().invoke(leather, ["--sheet", str(sheet), "--paper", "Letter"])
    assert done.exit_code == 0, done.output
    assert sheet.read_bytes() == strip_test_sheet(paper="Letter")
    asked = CliRunner().invoke(leather, [])
    assert asked.exit_code == 2
    assert "--sheet" in asked.output


@pytest.fixture(scope="module", params=["A4", "Letter"])
def page(request, tmp_path_factory):
    """The page as grey values, row 0 on top, and its words by pdftotext."""
    folder = tmp_path_factory.mktemp("strips")
    (folder / "sheet.pdf").write_bytes(strip_test_sheet(paper=request.param))
    call = ["pdftoppm", "-r", str(DPI), "-gray", "-png", "-singlefile", "sheet.pdf", "page"]
    subprocess.run(call, cwd=folder, check=True, timeout=120)
    call = ["pdftotext", "-bbox", "sheet.pdf", "boxes.html"]
    subprocess.run(call, cwd=folder, check=True, timeout=120)
    corner = r'(?:xMin|yMin|xMax|yMax)="([\d.]+)" ?'
    boxes = re.findall(f"<word {4 * corner}", (folder / "boxes.html").read_text())
    return request.param, np.asarray(Image.open(folder / "page.png").convert("L")), np.array(boxes, float) * 25.4 / 72.0


def lines_at(dark):
    """The middles of dark runs along a row or column of pixels, mm."""
    places = np.flatnonzero(dark)
    return np.array([run.mean() + 0.5 for run in np.split(places, 1 + np.flatnonzero(np.diff(places) > 1))]) * PIXEL


@pytest.mark.browser
def test_the_lines_of_a_printed_strip_are_100_mm_apart(page):
    _, grey, _ = page
    # The two lines reach 3 mm past the strip on both sides, and nothing else does beside its middle.
    for x in (MARGIN - 1.5, MARGIN + WIDTH + 1.5):
        column = grey[:, int(x / PIXEL)] < 128
        first, last = lines_at(column)[-2:]
        assert last - first == pytest.approx(GAUGE, abs=0.1)


@pytest.mark.browser
def test_a_printed_strip_is_20_by_200_mm(page):
    _, grey, _ = page
    dark = grey < 128
    upright = dark.mean(axis=0)[: int((MARGIN + WIDTH + 6.0) / PIXEL)] > 0.6
    left, right = lines_at(upright)
    assert right - left == pytest.approx(WIDTH, abs=0.1)
    inside = dark[:, int((left + 1.0) / PIXEL) : int((right - 1.0) / PIXEL)].mean(axis=1) > 0.9
    level = lines_at(inside)
    assert level[-1] - level[0] == pytest.approx(LENGTH, abs=0.1)


@pytest.mark.browser
def test_nothing_is_written_beyond_the_paper_or_over_itself(page):
    paper, _, boxes = page
    width, height = PAPERS[paper]
    assert len(boxes) > 100
    assert boxes[:, :2].min() > 5.0
    assert boxes[:, 2].max() < width - 5.0
    assert boxes[:, 3].max() < height - 5.0
    low, high = np.maximum(boxes[:, None, :2], boxes[None, :, :2]), np.minimum(boxes[:, None, 2:], boxes[None, :, 2:])
    common = np.prod(np.clip(high - low, 0.0, None), axis=-1)
    np.fill_diagonal(common, 0.0)
    assert common.max() < 1.0
