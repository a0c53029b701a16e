"""The report in Debian's Chromium: nothing asked for, nothing in the way, lines copied, and pictures whole on paper."""

import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest
from test_report_folds import ADVISED, LINES, MOST_ABOVE
from test_report_verdict import random_troubles, troubled

from flatten.report.page import page_html
from tests.page.browsing import PATIENCE

AXE = Path(__file__).parent.parent / "page" / "axe" / "axe.min.js"

VIEWS = {"wide": {"width": 1120, "height": 900}, "phone": {"width": 390, "height": 844}}

PAPERS = {
    "A4": {"format": "A4"},
    "Letter": {"format": "Letter"},
    "low": {"width": "210mm", "height": "105mm"},
}
"""Papers of the printer's dialogue; on the low one a picture as wide as the page would be too tall."""

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def address(calf, tmp_path_factory):
    """A stopped report with advice, as a file."""
    stopped = troubled(replace(calf, advice=(ADVISED,)), random_troubles(2)[0])
    path = tmp_path_factory.mktemp("report") / "report.html"
    path.write_text(page_html(stopped), "utf8")
    return f"file://{path}"


class Read:
    """A report that is open in the browser, and everything that it must not do."""

    def __init__(self, browser, address, **look):
        self.context = browser.new_context(reduced_motion="reduce", **look)
        self.page = self.context.new_page()
        self.page.set_default_timeout(1000.0 * PATIENCE)
        self.faults, self.asked = [], []
        self.page.on("console", lambda message: self.faults.append(message.text))
        self.page.on("pageerror", lambda error: self.faults.append(f"uncaught: {error}"))
        self.context.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(address)

    def unfold(self):
        self.page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")

    def barriers(self):
        """What axe finds on the page as it is shown."""
        self.page.evaluate(AXE.read_text("utf-8"))
        found = self.page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
        return [f"{rule['id']}: {node['target']}" for rule in found["violations"] for node in rule["nodes"]]


@pytest.fixture
def read(browser, address):
    """Opens the report as it is looked at: its size, its colours."""
    opened = []

    def opening(view="wide", colours="light", **more):
        opened.append(Read(browser, address, viewport=VIEWS[view], color_scheme=colours, **more))
        return opened[-1]

    yield opening
    for each in opened:
        assert each.faults == []
        assert {url.partition("#")[0] for url in each.asked} == {address}
        each.context.close()


@pytest.mark.parametrize("folded", [True, False])
@pytest.mark.parametrize("colours", ["light", "dark"])
@pytest.mark.parametrize("view", VIEWS)
def test_nothing_stands_in_a_readers_way(read, view, colours, folded):
    report = read(view, colours)
    if not folded:
        report.unfold()
    assert report.barriers() == []
    wide, room = report.page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide <= room


@pytest.mark.parametrize("view", VIEWS)
def test_few_words_are_seen_above_the_first_fold(read, view):
    seen = read(view).page.evaluate(
        """() => {
          const whole = document.body.innerText;
          return whole.slice(0, whole.indexOf(document.querySelector('.fold h2').innerText));
        }"""
    )
    assert 60 < len(seen.split()) <= MOST_ABOVE


def test_on_a_phone_the_picture_stands_right_after_the_heading(read):
    after, tall = read("phone").page.evaluate(
        """() => {
          const box = (which) => document.querySelector(which).getBoundingClientRect();
          const picture = box('.narrow svg').top;
          return [picture - box('header').bottom, box('.advice, .fold').top - picture];
        }"""
    )
    assert 0 <= after < 80
    assert tall > 0


def test_a_button_copies_the_lines_and_says_so(read):
    report = read(permissions=["clipboard-read", "clipboard-write"])
    report.page.click(".advice summary")
    report.page.click(".advice .copy")
    report.page.wait_for_selector(".advice [role=status]:not(:empty)")
    assert report.page.inner_text(".advice [role=status]") == "Copied."
    assert report.page.evaluate("navigator.clipboard.readText()") == LINES


def test_where_the_clipboard_is_closed_the_lines_are_marked_or_copied_all_the_same(read):
    report = read()
    report.page.evaluate("void (navigator.clipboard.writeText = () => Promise.reject(new Error('closed')))")
    report.page.click(".advice summary")
    report.page.click(".advice .copy")
    report.page.wait_for_selector(".advice [role=status]:not(:empty)")
    assert report.page.evaluate("getSelection().toString().trim()") == LINES.strip()


def test_by_keyboard_a_fold_opens_and_a_button_is_reached(read):
    page = read().page
    page.focus(".advice summary")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "copy"


def test_without_a_script_no_button_is_shown_and_the_folds_still_open(read):
    page = read(java_script_enabled=False).page
    page.click(".advice summary")
    assert page.locator(".advice pre").first.is_visible()
    assert page.locator(".copy:visible").count() == 0


@pytest.mark.parametrize("script", [True, False])
@pytest.mark.parametrize("paper", PAPERS)
def test_on_paper_all_is_unfolded_and_no_picture_is_cut(read, tmp_path, paper, script):
    """Read back by poppler: all texts of a picture stand on one page, and each page has its number."""
    report = read(java_script_enabled=script)
    report.page.pdf(path=tmp_path / "report.pdf", **PAPERS[paper])
    read_back = ["pdftotext", "-layout", tmp_path / "report.pdf", "-"]
    told = subprocess.run(read_back, capture_output=True, text=True, check=True, timeout=60).stdout
    *pages, _ = told.split("\f")
    for number, page in enumerate(pages, 1):
        assert re.search(rf"\b{number} ?/ ?{len(pages)}\b", page)
    whole = " ".join(told.split())
    for part in ("Case the leather", "What to buy", "How this job is set", "Copy these lines"):
        assert (part in whole) == (part != "Copy these lines")
    html = Path(report.page.url.removeprefix("file://")).read_text("utf8")
    body = re.sub(r'<div class="narrow">.*?</div>', "", html, flags=re.DOTALL)
    pictures = re.findall(r"<svg viewBox.*?</svg>", body, re.DOTALL)
    texts = [re.findall(r"<text[^>]*>([^<]+)</text>", each) for each in pictures]
    shown = [own for own in texts if own]
    assert len(shown) >= 6
    seen = [" ".join(page.split()) for page in pages]
    for own in shown:
        assert any(all(" ".join(text.split()) in page for text in own) for page in seen), own
