"""What is read on printed sheets, by the words that another program finds in the PDF: none lies across a joint."""

import re
import subprocess
from dataclasses import replace
from html import unescape

import numpy as np
import pytest
import shapely
import shapely.affinity

import cli.demo
from cli.demo import SCANS
from flatten.drawing.pdf import pdf_bytes
from flatten.job.pieces import pieces_of
from flatten.job.text import job_of, read_job
from flatten.leather.limits import PRESETS
from flatten.making import lay, make
from flatten.pattern.clashes import clashes
from flatten.pattern.lettering import text_box
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import CAPTION, seen, sheets_of
from flatten.sheet.turned import inscriptions_of
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, limb_of
from tests.test_jobs_random import made

MM = 25.4 / 72.0
WORD = re.compile(r'<word xMin="(\S+)" yMin="(\S+)" xMax="(\S+)" yMax="(\S+)">(.*?)</word>')
MUST = ("name", "grain", "check line")
"""What a joint never cuts where there is room beside it."""


def words_of(data, folder):
    """The words on each page, each with its box in mm from the page's upper left corner."""
    (folder / "pattern.pdf").write_bytes(data)
    call = ["pdftotext", "-bbox", folder / "pattern.pdf", "-"]
    told = subprocess.run(call, capture_output=True, text=True, check=True).stdout
    pages = told.split("<page ")[1:]
    return [[(unescape(word), np.array(box, float) * MM) for *box, word in WORD.findall(page)] for page in pages]


def must_be_read(piece):
    """The words of a piece's name block, and those beside its arrow and its check line."""
    boxes = [shapely.Polygon(each.box).buffer(1e-6) for each in piece.inscriptions if each.kind in MUST]
    labels = [label for label in piece.labels if any(box.contains(shapely.Polygon(text_box(label))) for box in boxes)]
    return {word for label in labels for word in label.text.split()}


def across(sheets, pages):
    """Words that lie across the edge of what is seen of a sheet once all are joined, by the sheet's name."""
    drawn = [(tiling, tile) for tiling in sheets.tilings for tile in tiling.tiles]
    assert len(pages) == 1 + len(drawn)
    found = []
    for (tiling, tile), words in zip(drawn, pages[1:], strict=True):
        part = shapely.affinity.translate(
            seen(tile, tiling.window), -tile.x + tiling.edge, -tile.y + tiling.edge + CAPTION
        )
        for word, (x0, y0, x1, y1) in words:
            box = shapely.box(x0, tiling.page[1] - y1, x1, tiling.page[1] - y0)
            if shapely.overlaps(part, box):
                found.append((tile.name, word))
    return found


def cut_on(pieces, paper="A4"):
    """What must be read and is cut, of pieces on a paper, by the boxes of what is written."""
    found = []
    for tiling in sheets_of(pieces, Printing(paper)).tilings:
        parts = [seen(tile, tiling.window).buffer(1e-6) for tile in tiling.tiles]
        for piece in tiling.pieces:
            for each in inscriptions_of(piece):
                box = shapely.Polygon(each.box)
                if each.kind in MUST and not any(part.contains(box) for part in parts):
                    found.append((piece.name, each.kind))
    return found


PAPERS = ("A4", "Letter")


@pytest.fixture(scope="module")
def guards():
    """The pieces of a pair of made-up shin guards, laid flat on the mesh of a preview, by what they are printed on."""
    scan = {"file": "made-up.ply", "limb": "lower leg", "side": "left"}
    job = job_of({"scan": scan, "piece": {"pair": "mirrored"}}, name="the test")
    design = design_of(job, found_on(limb_of(calf, high=400.0)))
    laid = lay(design, limits=PRESETS["cased"], announce=lambda step: None, edge_length=8.0)
    designs = {paper: replace(design, printing=Printing(paper)) for paper in (*PAPERS, "one page")}
    drawn = {paper: pieces_of(replace(laid, design=own)) for paper, own in designs.items()}
    return {paper: pieces.cut for paper, pieces in drawn.items()}


@pytest.mark.parametrize("paper", PAPERS)
def test_no_name_arrow_or_check_line_lies_across_a_joint(guards, paper):
    sheets = sheets_of(guards[paper], Printing(paper))
    assert max(len(tiling.tiles) for tiling in sheets.tilings) > 1
    assert not any(tiling.cuts for tiling in sheets.tilings)
    assert not cut_on(guards[paper], paper)


@pytest.mark.parametrize("paper", PAPERS)
def test_nothing_is_left_out_because_of_a_joint(guards, paper):
    for own, plain in zip(guards[paper], guards["one page"], strict=True):
        assert not clashes(own)
        assert [each.kind for each in own.inscriptions].count("text") == len(plain.inscriptions) - 3
        assert sorted(each.kind for each in own.inscriptions) == sorted(each.kind for each in plain.inscriptions)
        # Which edge a side meets is told, in fewer words where those have room beside a joint.
        mates, same = (
            {label.text.split(" the ")[-1] for label in piece.labels if label.text.startswith("back: ")}
            for piece in (own, plain)
        )
        assert mates == same == {"inside edge", "outside edge"}
        # And it is the joints that move what is written.
        assert [(each.x, each.y) for each in own.labels] != [(each.x, each.y) for each in plain.labels]


@pytest.mark.browser
@pytest.mark.parametrize("paper", PAPERS)
def test_what_must_be_read_is_read_whole_in_the_pdf(guards, paper, tmp_path):
    sheets = sheets_of(guards[paper], Printing(paper))
    pages = words_of(pdf_bytes(sheets, "watch"), tmp_path)
    there = {word for words in pages[1:] for word, _ in words}
    for piece in guards[paper]:
        assert {"shin", "guard", "grain", "mm"} < must_be_read(piece) <= there
    must = set().union(*map(must_be_read, guards[paper]))
    assert not [word for _, word in across(sheets, pages) if word in must]
    assert "joint:" not in [word for word, _ in pages[0]]


@pytest.mark.browser
@pytest.mark.parametrize("paper", PAPERS)
def test_a_text_that_is_cut_is_seen_to_be(guards, paper, tmp_path):
    """Joints that pass by nothing cut something: the check can fail. The cover tells of it."""
    bare = [replace(piece, labels=(), inscriptions=()) for piece in guards["one page"]]
    sheets = sheets_of(bare, Printing(paper))
    lying = (
        replace(tiling, pieces=(piece,), cuts=True)
        for tiling, piece in zip(sheets.tilings, guards["one page"], strict=True)
    )
    written = replace(sheets, tilings=tuple(lying))
    assert {tiling.pieces[0].outline.points.tobytes() for tiling in sheets.tilings} == {
        piece.outline.points.tobytes() for piece in guards["one page"]
    }
    pages = words_of(pdf_bytes(written, "watch"), tmp_path)
    assert across(written, pages)
    assert "joint:" in [word for word, _ in pages[0]]


@pytest.mark.full
@pytest.mark.parametrize("number", range(20))
def test_on_a_made_up_job_no_joint_cuts_what_must_be_read(number):
    """Where no name, arrow or check line is cut there is nothing to tell; else the sheets say that something is."""
    _, result = made(number)
    if result is None:
        return
    pieces = result.report.cut
    cut = cut_on(pieces)
    assert len(cut) <= 1, cut
    names = [tile.name for tiling in sheets_of(pieces, Printing()).tilings for tile in tiling.tiles]
    assert len(set(names)) == len(names)


@pytest.mark.full
@pytest.mark.browser
def test_nothing_that_must_be_read_is_cut_on_the_demo(monkeypatch, tmp_path):
    monkeypatch.setattr(cli.demo, "run", lambda job, **where: 0)
    cli.demo.demo.callback(out=tmp_path, times=False)
    job = read_job(tmp_path / SCANS[0].job)
    output = job.output.model_copy(update={"mesh": "quick", "bound": False, "advice": False})
    result = make(job.model_copy(update={"output": output}), folder=tmp_path, out=tmp_path)
    pages = words_of(dict(result.files)["pattern.pdf"], tmp_path)
    sheets = sheets_of(result.report.cut, Printing())
    assert not cut_on(result.report.cut)
    must = set().union(*map(must_be_read, result.report.cut))
    # The plate's place on the guard may be told across a joint, and the plate's own name has one of its words.
    must -= {"wave", "plate", "comes", "here"}
    assert not [word for _, word in across(sheets, pages) if word in must]
