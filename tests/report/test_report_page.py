import base64
import hashlib
import re
import subprocess
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from report_case import calf_report, with_limb

from flatten.leather.limits import PRESETS, given_limits
from flatten.leather.model import Reading, StripTest
from flatten.leather.stretch import stretch_report
from flatten.limb.kind import FOREARM, LOWER_LEG
from flatten.report.cautions import standing_cautions
from flatten.report.model import Setting
from flatten.report.page import page_html
from flatten.words.say import texts

VOID = {"meta", "path", "rect", "link", "br", "img"}


class Reader(HTMLParser):
    """Reads a page strictly: tags must nest; keeps tags, attributes and the text that a person sees."""

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.open, self.tags, self.attributes, self.seen = [], [], [], []
        self.feed(text)
        self.close()
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += attrs
        if tag not in VOID:
            self.open.append(tag)

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_startendtag(self, tag, attrs):
        self.tags.append(tag)
        self.attributes += attrs

    def handle_data(self, data):
        if not {"style", "script"} & set(self.open):
            self.seen.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.seen).split())


@pytest.fixture(scope="module")
def html(calf):
    return page_html(calf)


@pytest.fixture(scope="module")
def page(html):
    return Reader(html)


def test_the_page_asks_nobody_for_anything(html, page):
    assert not {"link", "img", "iframe", "object", "image", "use", "form"} & set(page.tags)
    assert not {"src", "href", "xlink:href", "srcset", "action"} & {name for name, _ in page.attributes}
    assert all(target.startswith("#hatch-") for target in re.findall(r"url\(([^)]*)\)", html))
    assert "://" not in html
    assert "@import" not in html


def test_the_pages_policy_lets_nothing_in_but_its_own_script(html, page):
    """The browser reckons the same hash over what stands between the tags."""
    (script,) = re.findall(r"<script>(.*?)</script>", html, re.DOTALL)
    own = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    (policy,) = [value for name, value in page.attributes if name == "content" and "default-src" in value]
    assert policy == (
        "default-src 'none'; style-src 'unsafe-inline'; img-src data:; "
        f"script-src 'sha256-{own}'; base-uri 'none'; form-action 'none'"
    )
    assert not re.search(r"fetch|XMLHttpRequest|import|Worker|eval|innerHTML", script)


@pytest.mark.parametrize(
    "word", ["spread", "certificate", "excess", "uv", "converged", "saddle", "nan", "none type", "null", "tensor"]
)
def test_the_page_speaks_the_benchs_words(page, word):
    spoken = page.text + " ".join(value for name, value in page.attributes if name == "aria-label")
    assert not re.search(rf"\b{word}\b", spoken, re.IGNORECASE)


def test_a_users_text_stays_text(html, page):
    assert "Harbour watch, reed guard &lt;left&gt; &amp; right" in html
    assert "<left>" not in html
    assert "Harbour watch, reed guard <left> & right" in page.text


def test_a_file_name_and_a_setting_stay_text(calf, limb):
    odd = with_limb(calf, scan=replace(limb.scan, file="<script>x</script>.ply"))
    html = page_html(replace(odd, settings=(Setting("output.title", "<b>&"),)))
    assert Reader(html).tags.count("script") == 1
    assert "&lt;b&gt;&amp;" in html


def test_the_verdict_is_the_first_thing_said(page):
    places = [
        page.text.index(words) for words in ("Not to be cut as it is", "The shape lies beyond", "The leather stretches")
    ]
    assert places == sorted(places)


def test_all_cautions_are_on_the_page(limb, page):
    for caution in texts((*limb.findings, *standing_cautions(LOWER_LEG))):
        assert caution in page.text


# The cautions that a user must meet: costume only; the peroneal nerve [published: PMC8567814]; heat; blades;
# solvents; laser; local rules; body data.
@pytest.mark.parametrize(
    "word",
    [
        *("protective", "peroneal", "Numbness", "clinician", "scald", "away from yourself", "flame", "labels"),
        *("chrome", "Local rules", "who agrees", "stays on this computer"),
    ],
)
def test_each_caution_that_a_user_must_meet_is_there(word):
    assert any(word in caution for caution in texts(standing_cautions(LOWER_LEG)))


def test_an_arm_has_no_nerve_of_the_knee():
    assert not any("knee" in caution for caution in texts(standing_cautions(FOREARM)))


def test_every_hatch_that_is_used_is_drawn(html):
    ids = re.findall(r'id="([^"]+)"', html)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([^)]+)\)", html)) <= set(ids)
    assert 'class="beyond"' in html


def test_nothing_is_hatched_where_all_lies_within(calf, limb):
    wide = given_limits(dict.fromkeys(("stretch_along", "stretch_across", "squeeze_along", "squeeze_across"), 0.2))
    panel = replace(limb.panels[0], stretch=stretch_report(limb.panels[0].flat, kind=LOWER_LEG, limits=wide))
    assert 'class="beyond"' not in page_html(with_limb(calf, panels=(panel,)))


def test_girths_stand_in_millimetres_and_inches(calf, limb, page):
    widest = next(girth for girth in limb.girths if girth.name == "widest")
    assert f"Widest calf {widest.tape:.0f} mm, 284 mm above the ankle." in page.text
    assert f"284 Widest calf {widest.tape:.0f} {widest.tape / 25.4:.1f}" in page.text


def test_each_region_has_a_cell_in_its_sides_column_and_its_levels_row(limb, html):
    table = re.search(r'<table class="regions">(.*?)</table>', html, re.DOTALL)[1]
    head, *rows = re.findall(r"<tr>(.*?)</tr>", table, re.DOTALL)
    sides = re.findall(r'<th scope="col">(.*?)</th>', head)
    shown = {}
    for row in rows:
        level = re.search(r'<th scope="row">(.*?)</th>', row)[1]
        cells = re.findall(r"<td(?: class=\"verdict (\w+)\")?>(.*?)</td>", row)
        shown |= {(side, level): cell for side, cell in zip(sides, cells, strict=True)}
    regions = limb.panels[0].stretch.regions
    assert {key for key, (verdict, _) in shown.items() if verdict} == {(one.side, one.level) for one in regions}
    for one in regions:
        verdict, told = shown[one.side, one.level]
        assert verdict == one.verdict
        assert f"{100 * (max(one.along_max, one.across_max) - 1):+.1f}" in told.replace("−", "-")
        assert ("beyond" in told) == (one.over_share > 0.0)


def test_repairs_are_told(page):
    assert "811 faces of a floor or another flat around the limb left out." in page.text
    assert "It was scaled by 1.0040 to match the tape." in page.text


def test_a_piece_that_overlaps_is_told_first(calf, limb):
    flat = replace(limb.panels[0].flat, overlaps=2, converged=False)
    text = Reader(page_html(with_limb(calf, panels=(replace(limb.panels[0], flat=flat),)))).text
    assert "Not to be cut as it is: 2 things stand against it, the gravest first. The piece “whole” lies over" in text
    assert "was not quite finished" in text


def test_a_strip_test_has_its_own_part(calf, limb, page):
    nothing, read = (None, None), (Reading(0.05, 0.05, 0.05, 3),) * 2
    limits = replace(PRESETS["cased"], test=StripTest(10.0, 20.0, 3.2, nothing, read, nothing, nothing, nothing))
    panel = replace(limb.panels[0], stretch=replace(limb.panels[0].stretch, limits=limits))
    assert "Your strip test The strips, 20 mm wide" in Reader(page_html(with_limb(calf, panels=(panel,)))).text
    assert "Your strip test" not in page.text


def test_the_same_job_gives_the_same_page(html):
    assert page_html(calf_report()) == html


@pytest.mark.browser
def test_a_browser_prints_the_page(html, tmp_path):
    (tmp_path / "report.html").write_text(html, "utf8")
    command = (
        "chromium --headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
        "--disable-component-update --disable-sync --no-pdf-header-footer --user-data-dir=profile "
        f"--print-to-pdf=report.pdf file://{tmp_path}/report.html"
    )
    subprocess.run(command.split(), cwd=tmp_path, check=True, capture_output=True, timeout=120)
    text = ["pdftotext", "-layout", "report.pdf", "-"]
    printed = subprocess.run(text, cwd=tmp_path, check=True, capture_output=True, text=True, timeout=60).stdout
    words = " ".join(printed.split())
    assert "The shape lies beyond the leather’s limits" in words
    assert "cased (wet)" in words
    assert all(caution.split(".")[0].split()[-1] in words for caution in texts(standing_cautions(LOWER_LEG)))
