"""How figures come about is folded away, and tells the very figures of the report."""

import math
from dataclasses import replace
from html.parser import HTMLParser

import pytest
from report_case import with_limb

from flatten.report.curious import curious_messages
from flatten.report.page import page_html
from flatten.report.summary import summary_lines
from flatten.words.say import text, texts


class Folded(HTMLParser):
    """The texts of a page that stand in something to fold out, and those that do not."""

    def __init__(self, html):
        super().__init__(convert_charrefs=True)
        self.depth, self.folded, self.open = 0, [], []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        self.depth += tag == "details"

    def handle_endtag(self, tag):
        self.depth -= tag == "details"

    def handle_data(self, data):
        (self.folded if self.depth else self.open).append(data)


@pytest.fixture(scope="module")
def bounded(calf, limb):
    (panel,) = limb.panels
    flat = replace(panel.flat, spread_reachable=math.log(1.05))
    return with_limb(calf, panels=(replace(panel, flat=flat, least_spread=math.log(1.04)),))


def test_the_curious_are_told_what_was_proved_reached_and_cut(bounded):
    told = " ".join(texts(curious_messages(bounded)))
    (panel,) = bounded.panels
    assert "less than 4.0 % between its least and its greatest stretch" in told
    assert "5.0 % could be reached" in told
    assert f"the piece that is cut has {100 * math.expm1(panel.stretch.spread):.1f} %" in told
    assert f"adds {100 * panel.bend.strain:.1f} % to the stretch of the grain side" in told


def test_without_a_bound_none_is_told(calf):
    assert not any("lower bound" in said for said in texts(curious_messages(calf)))


def test_it_stands_folded_on_the_page_and_not_on_the_screen(bounded):
    page, screen = Folded(page_html(bounded)), "\n".join(summary_lines(bounded))
    # Beside its heading stands the same figure as within, both of the log-ratio.
    assert "no pattern with these cuts needs less than 4.0 %" in "".join(page.folded)
    for each in curious_messages(bounded):
        assert text(each) in "".join(page.folded)
        assert text(each) not in "".join(page.open)
        assert text(each) not in screen
