"""Another language is one more table: whatever a user sees of a job goes through it."""

from __future__ import annotations

import re
from dataclasses import replace
from html.parser import HTMLParser

import numpy as np
import pytest

import flatten.drawing.cover
import flatten.drawing.pdf
from flatten.findings import message
from flatten.job.text import job_of
from flatten.leather.limits import PRESETS
from flatten.leather.model import Reading, StripTest
from flatten.leather.waves import Wave
from flatten.limb.kind import LOWER_LEG
from flatten.making import finish, lay
from flatten.pattern.symmetry import Evened
from flatten.report.model import Advised
from flatten.report.page import page_html
from flatten.report.summary import summary_lines
from flatten.report.verdict import sure_lines, verdict_of
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of
from flatten.unwrap.certificate.binding import binding_of
from flatten.unwrap.certificate.model import Certificate
from flatten.words.english import ENGLISH
from flatten.words.language import Language
from flatten.worn.motion import Motion, Touch
from flatten.worn.putting_on import PuttingOn
from tests.analytic_jobs import design_of, found_on
from tests.limbs import calf, limb_of

MARKED = re.compile(r"⟦[^⟦⟧]*⟧")

TITLE = "7"
"""A job's title without a letter: what is found in letters is not the maker's."""

LINES = '[leather]\nthickness = "2.4 mm"\n'


class _Names(dict[str, str]):
    """Every key's English name between marks."""

    def get(self, key, default=None):
        return f"⟦{ENGLISH.names.get(key, key)}⟧"


def marked(sentence):
    return lambda **figures: f"⟦{sentence(**figures)}⟧"


def both_marked(words):
    """What is wrong and what settles it, each between marks."""
    return lambda **figures: tuple(f"⟦{part}⟧" for part in words(**figures))


MARKS = Language(
    tag="qaa",
    sentences={code: marked(sentence) for code, sentence in ENGLISH.sentences.items()},
    names=_Names(),
    stops={code: both_marked(words) for code, words in ENGLISH.stops.items()},
)
"""English with marks round every sentence and name: what stands outside them is not from the table."""


def unmarked(text):
    """The letters of a text that stand outside all marks, units apart."""
    while MARKED.search(text):
        text = MARKED.sub(" ", text)
    return re.findall(r"[^\W\d_]+", re.sub(r"\d (mm|in)\b", "", text))


class _Page(HTMLParser):
    """The texts of a page that a person sees or hears, apart from settings and lines of the job file."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.open, self.texts, self.language = [], [], None
        self.feed(html)
        self.close()

    def handle_starttag(self, tag, attrs):
        if tag not in ("meta", "path", "rect", "br"):
            self.open.append(tag)
        self.texts += [value for name, value in attrs if name in ("aria-label", "title", "alt")]
        self.language = dict(attrs)["lang"] if tag == "html" else self.language

    def handle_startendtag(self, tag, attrs):
        """A tag that is its own end holds no text."""

    def handle_endtag(self, tag):
        self.open.pop()

    def handle_data(self, data):
        if not {"style", "script", "pre", "dl"} & set(self.open):
            self.texts.append(data)


def stouter(h, b):
    return 1.05 * calf(h, b) + 2.0 * np.sin(b)


@pytest.fixture(scope="module")
def result():
    """A pair in two pieces each, laced and riveted with flared lips, laid flat on coarse meshes."""
    table = {
        "scan": {"file": "left.ply"},
        "other_scan": {"file": "right.ply"},
        "edges": {"bottom": "40 mm", "top": "280 mm", "flare": {"bottom": "4 mm", "depth": "25 mm"}},
        "seam": [{"name": "1", "along": "back"}, {"name": "2", "along": "front", "kind": "riveted"}],
        "piece": {"pair": "own scan"},
        "output": {"title": TITLE},
    }
    job = job_of(table, name="the test")
    limbs = []
    for skin, side in ((limb_of(calf), "left"), (limb_of(stouter), "right")):
        found = found_on(skin, side=side)
        laid = lay(design_of(job, found), limits=PRESETS["cased"], announce=lambda step: None, edge_length=10.0)
        limbs.append((found, laid))
    return finish(job, limbs, text="", announce=lambda step: None, language=MARKS)


@pytest.fixture(scope="module")
def report(result):
    """The report with something of all that may be told in it."""
    first, second = result.report.limbs
    read = (Reading(0.05, 0.04, 0.06, 3), None)
    test = StripTest(10.0, 20.0, 3.2, read, (read[0], read[0]), read, read, read)
    panel, *more = first.panels
    binding = binding_of(Certificate("disc", 0.02, 0.02, centre=9, radius=30.0), panel.flat, kind=LOWER_LEG)
    panel = replace(
        panel,
        flat=replace(panel.flat, overlaps=2, converged=False),
        stretch=replace(panel.stretch, limits=replace(panel.stretch.limits, test=test)),
        least_spread=0.02,
        binding=binding,
        waves=(Wave("top edge", 1.5, 280.0, np.pi),),
    )
    even = (Evened(0, 0, ((0, 0),), 2.3, 1.1, 3.1, 0.0, 210.0), Evened(0, 1, ((0, 0),), 0.1, 0.1))
    knee = Motion("bending the knee", "top", 350.0, np.pi, 2.4)
    touch = Touch(knee, 1.2, np.pi, np.zeros(1), np.ones(1))
    wearing = replace(
        first.wearing,
        on=PuttingOn("too stiff", 15.0, 42.0, 51.0, 40.0),
        catch=-3.0,
        touches=(touch,),
        near=("fibula",),
    )
    first = replace(first, panels=(panel, *more), even=even, wearing=wearing)
    advised = Advised((message("advice.case"), message("advice.slides")), LINES)
    return replace(result.report, limbs=(first, second), advice=(advised,))


def test_a_page_says_nothing_that_is_not_in_the_table(report):
    page = _Page(page_html(report, language=MARKS))
    assert page.language == "qaa"
    assert len(page.texts) > 200
    assert [(text, found) for text in page.texts if (found := unmarked(text))] == []


def test_the_close_of_a_run_says_nothing_that_is_not_in_the_table(report):
    lines = summary_lines(report, language=MARKS)
    own = {f"     {line}".rstrip() for line in (*LINES.splitlines(), *sure_lines(verdict_of(report)))}
    assert own <= set(lines)
    assert [(line, found) for line in lines if line not in own and (found := unmarked(line))] == []


def test_pieces_bear_nothing_that_is_not_in_the_table(result):
    first, *_ = result.report.cut
    assert first.name == "⟦⟦shin guard⟧, outside⟧"
    for piece in result.report.cut:
        texts = [label.text for label in piece.labels]
        assert any("GRAIN" in text.upper() for text in texts)
        # A text that was broken into lines is one again.
        assert unmarked(" ".join(texts)) == []


def test_printed_sheets_say_nothing_that_is_not_in_the_table(result, monkeypatch):
    put = []
    for module in (flatten.drawing.cover, flatten.drawing.pdf):
        monkeypatch.setattr(module, "put_text", lambda canvas, x, y, height, text, **more: put.append(text))
    flatten.drawing.pdf.pdf_bytes(sheets_of(result.report.cut, Printing()), TITLE, language=MARKS)
    sheets = re.compile(r"[A-Z]\d")
    texts = [text for text in put if not sheets.fullmatch(text)]
    assert len(texts) > 20
    # A text that was broken into lines is one again.
    assert unmarked(" ".join(texts)) == []


def test_findings_of_the_second_limb_are_told_as_its_own(report):
    told = summary_lines(report)
    assert any(line.startswith("On the right: ") for line in told)
    assert not any(line.startswith("On the left: ") for line in told)
