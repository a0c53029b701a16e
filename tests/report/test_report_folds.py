"""One reader who is about to cut: few words above the first fold, and each part once, in the order of the work."""

import random
import re
from dataclasses import replace
from html import unescape
from pathlib import Path

import pytest
from folded import Folded, words
from report_case import calf_report, with_limb
from test_report_verdict import MAKERS, random_troubles, troubled

import flatten.report
from flatten.findings import message
from flatten.report.model import Advised
from flatten.report.page import page_html
from flatten.words.say import text

MOST_ABOVE = 350
"""Words above the first fold, those of the picture too."""

ROOM = Path(flatten.report.__file__).parent

LINES = '[[dart]]\nname = "dart"\nkind = "dart"\nedge = "top"\nalong = 235.0\ndepth = "50 mm"\n'

ADVISED = Advised(
    (
        message(
            "advice.change",
            changes=(
                message(
                    "advice.seams",
                    places=(message("advice.at middle", side="outside"), message("advice.at middle", side="inside")),
                ),
            ),
        ),
        message("advice.heights", side="left", too="right"),
        message(
            "advice.gain",
            stretch=0.044,
            stretched=0.049,
            squeeze=0.025,
            squeezed=0.029,
            lost=0.04,
            limbs=2,
            judged=message("advice.spare", by=0.005),
        ),
        message("advice.slides"),
    ),
    LINES,
)
"""Advice as long as it gets."""


@pytest.fixture(scope="module")
def advised(calf):
    """The calf's report with as much advice as a job is given."""
    return replace(calf, advice=(ADVISED,) * 3)


@pytest.fixture(scope="module")
def pair(advised):
    """A pair cut to its own limbs."""
    right = calf_report(side="right", edge_length=9.0)
    return replace(advised, limbs=(*advised.limbs, *right.limbs))


def above(report):
    html = page_html(report)
    return max(words(Folded(html, without=other).above) for other in ("wide", "narrow"))


def test_above_the_first_fold_stand_few_words(advised):
    assert above(advised) <= MOST_ABOVE


def test_above_the_first_fold_of_a_pair_stand_few_words(pair):
    assert above(pair) <= MOST_ABOVE


@pytest.mark.parametrize("number", range(4))
def test_above_the_first_fold_of_a_stopped_job_stand_few_words(advised, number):
    assert above(troubled(advised, random_troubles(number)[0])) <= MOST_ABOVE


def test_above_the_first_fold_stand_few_words_even_with_six_stops(calf):
    chance = random.Random(5)
    assert above(troubled(calf, [make(chance) for make in chance.sample(list(MAKERS.values()), 6)])) <= MOST_ABOVE


def test_heading_and_stops_come_first_then_the_picture_then_what_to_do_then_the_folds(advised):
    html = page_html(advised)
    parts = (
        "<h1>",
        '<ol class="stops">',
        "</header>",
        '<figure class="bench">',
        '<section class="advice">',
        'class="fold',
    )
    places = [html.index(part) for part in parts]
    assert places == sorted(places)


def test_every_fold_is_closed_and_its_name_stands_once(advised):
    folds = Folded(page_html(advised)).folds
    assert len(folds) >= 9
    assert len({name for name, _ in folds}) == len(folds)
    assert not any(opened for _, opened in folds)


def test_every_folds_summary_tells_its_heading_and_a_figure(advised):
    html = page_html(advised)
    summaries = re.findall(r'<details class="fold[^>]*>\s*<summary>(.*?)</summary>', html, re.DOTALL)
    assert len(summaries) == len(Folded(html).folds)
    assert [one for one in summaries if not re.fullmatch(r"<h2>[^<]+</h2> <span>[^<]+</span>", one)] == []


def test_every_section_is_in_the_page_once():
    page = (ROOM / "page.html.jinja").read_text("utf8")
    included = re.findall(r'include "sections/(\w+)\.jinja"', page)
    assert sorted(included) == sorted(path.stem for path in (ROOM / "sections").glob("*.jinja"))


def test_headings_go_down_by_one_level_at_a_time(advised):
    first, *levels = Folded(page_html(advised)).headings
    assert first == 1
    assert levels.count(1) == 0
    assert all(level <= before + 1 for before, level in zip([1, *levels], levels, strict=False))


def test_lines_for_the_job_file_are_folded_each_with_a_button_that_is_there_for_a_script(advised):
    html = page_html(troubled(advised, random_troubles(2)[0]))
    lines = re.findall(r'<div class="lines">\s*<pre>(.*?)</pre>\s*<p><button (.*?)>', html, re.DOTALL)
    told = [unescape(text) for text, _ in lines]
    assert told.count(LINES.strip()) == 3
    assert any(text.startswith("[sure]") for text in told)
    assert all('class="copy" hidden' in button for _, button in lines)
    assert "[sure]" not in " ".join(Folded(html).above)
    assert html.count("<pre>") == len(lines)


def test_the_short_advice_tells_change_gain_and_what_is_worse_and_the_fold_all_of_it(advised):
    seen = " ".join(" ".join(Folded(page_html(advised)).above).split())
    change, heights, _, slides = (text(each) for each in ADVISED.messages)
    assert change in seen
    assert slides in seen
    assert heights not in seen
    assert heights in " ".join(Folded(page_html(advised)).all)


def test_where_more_than_the_leather_stands_against_cutting_advice_waits_folded(advised):
    stopped = Folded(page_html(troubled(advised, random_troubles(1)[0])))
    seen = " ".join(" ".join(stopped.above).split())
    assert text(ADVISED.messages[0]) not in seen
    assert "3 changes give the leather room, once the rest is settled" in seen
    assert text(ADVISED.messages[0]) in " ".join(stopped.all)


def test_a_job_without_findings_to_look_at_has_no_fold_for_them(calf):
    assert "look" in dict(Folded(page_html(calf)).folds)
    assert "look" not in dict(Folded(page_html(with_limb(calf, findings=()))).folds)


def test_a_mirrored_pairs_pieces_are_shown_once_and_told_to_be_cut_twice(calf, limb):
    mirrored = tuple(replace(piece, side="right") for piece in limb.pieces)
    html = page_html(with_limb(calf, mirrored=mirrored))
    assert html.count('<div class="cut">') == len(limb.pieces)
    assert "once more as its mirror image, for the right" in html
    assert "mirror image" not in page_html(calf).partition('id="pieces"')[2].partition("</details>")[0]
