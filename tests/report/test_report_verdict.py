"""The heading is the whole verdict: every stop is in it, the gravest first, until it is mended or settled knowingly."""

import io
import math
import random
import re
import subprocess
from dataclasses import replace
from html import unescape

import ezdxf
import pytest
from report_case import with_limb

import cli.make as command
from flatten.drawing.files import pattern_files
from flatten.drawing.pdf import pdf_bytes
from flatten.findings import finding, on_limb
from flatten.job.sure import sure_from
from flatten.job.text import job_of, job_table
from flatten.making import Result
from flatten.report.messages import headline
from flatten.report.numbers import report_numbers
from flatten.report.page import page_html
from flatten.report.summary import summary_lines
from flatten.report.sure import DOUBTS, KEYS, Sure, figure_of, settles
from flatten.report.verdict import heading, sure_lines, verdict_of, verdict_on
from flatten.sheet.paper import Printing
from flatten.sheet.tiles import sheets_of
from flatten.words import say

CASES = 60


def seam(ease, name="back"):
    return finding("seam.unequal", "stop", seam=name, ease=ease, length=280.0)


def front(degrees):
    return finding("limb.front elsewhere", "stop", turn=math.radians(degrees), seen="foot")


def unseen(share):
    return finding("limb.unseen", "stop", share=share, bare=True, where="at the back", off=9.0)


MAKERS = {
    "front": lambda chance: front(chance.uniform(40.0, 175.0)),
    "seam": lambda chance: seam(chance.uniform(9.0, 40.0)),
    "overlap": lambda chance: finding("report.overlaps", "stop", piece="shin guard"),
    "closed": lambda chance: finding("wearing.closed", "stop", far_end=chance.choice(["foot", "hand"])),
    "stiff": lambda chance: finding(
        "wearing.too stiff", "stop", where="at the ankle", opens=chance.uniform(10.0, 40.0), needs=60.0, gap=None
    ),
    "unseen": lambda chance: unseen(chance.uniform(0.1, 0.5)),
    "tender": lambda chance: finding(
        "wearing.near", "stop", tender=chance.choice(["fibula", "knee hollow", "crook of the elbow"])
    ),
    "limits": lambda chance: finding("leather.over limits", "stop", piece=None, verdict=chance.choice(["hard", "not"])),
}
"""A stop of each key, its figures by chance."""


@pytest.fixture(scope="module")
def sound(calf, limb):
    """The calf's report, its leather told to lie within its limits."""
    stretches = (replace(panel.stretch, fits=True, verdict="cased") for panel in limb.panels)
    panels = tuple(replace(panel, stretch=own) for panel, own in zip(limb.panels, stretches, strict=True))
    return with_limb(calf, panels=panels)


def troubled(report, found):
    """A report with findings of its scan, in this order."""
    return with_limb(report, findings=(*report.limbs[0].findings, *found))


def random_troubles(number):
    """Two to four stops of different keys, in any order, and their keys by gravity."""
    chance = random.Random(number)
    keys = chance.sample(sorted(MAKERS), chance.randint(2, 4))
    return [MAKERS[key](chance) for key in keys], [key for key in KEYS if key in keys]


def test_every_key_with_a_stop_of_today_is_tried():
    assert {DOUBTS[make(random.Random(1)).code].key for make in MAKERS.values()} == set(MAKERS)


@pytest.mark.parametrize("number", range(CASES))
def test_the_close_of_a_run_holds_every_stop_the_gravest_first(sound, number):
    found, keys = random_troubles(number)
    report = troubled(sound, found)
    lines = summary_lines(report)
    assert lines[0] == f"Not to be cut as it is: {len(found)} things stand against it, the gravest first."
    by_key = {DOUBTS[each.code].key: each for each in found}
    assert lines[1 : len(found) + 1] == [f"  {n}. {say.stop(by_key[key])}" for n, key in enumerate(keys, 1)]
    assert not verdict_of(report).may_be_cut


def test_nothing_but_stops_is_in_the_heading(sound):
    assert verdict_of(sound).stops == ()
    assert verdict_of(sound).may_be_cut
    assert heading(verdict_of(sound), sound.panels) == headline(sound.panels)
    assert summary_lines(sound)[0] == say.text(headline(sound.panels))


def test_one_stop_takes_the_place_of_a_fair_verdict_which_stands_beneath(sound):
    lines = summary_lines(troubled(sound, [front(64.0)]))
    assert lines[0] == "Not to be cut as it is: one thing stands against it."
    assert "The front that was given lies 64° round the limb" in lines[1]
    assert "As far as the leather goes, this can be formed cased (wet)." in lines[2:]


def items(html):
    """The texts of the heading's list of stops."""
    listed = re.search(r'<ol class="stops">(.*?)</ol>', html, re.DOTALL)
    return [] if listed is None else [unescape(one) for one in re.findall(r"<li>(.*?)</li>", listed[1])]


@pytest.mark.parametrize("number", range(12))
def test_report_page_and_numbers_hold_every_stop_the_gravest_first(sound, number):
    found, keys = random_troubles(number)
    report = troubled(sound, found)
    wanted = [say.stop(each) for key in keys for each in found if DOUBTS[each.code].key == key]
    html, verdict = page_html(report), report_numbers(report)["verdict"]
    assert items(html) == wanted
    assert '<header class="stopped">' in html
    assert html.index("<h1>Not to be cut as it is: ") < html.index('<ol class="stops">') < html.index("</header>")
    assert not verdict["may_be_cut"]
    assert [(stop["key"], stop["text"]) for stop in verdict["stops"]] == list(zip(keys, wanted, strict=True))
    assert {stop["settled"] for stop in verdict["stops"]} == {False}
    assert [(stop["sure"] is None) for stop in verdict["stops"]] == [KEYS[key] is None for key in keys]


def test_report_page_and_numbers_say_what_was_settled(sound):
    report = replace(troubled(sound, [seam(17.2)]), sure=(Sure("seam", 17.2),))
    html, verdict = page_html(report), report_numbers(report)["verdict"]
    assert "stopped" not in html.partition("</style>")[2]
    assert "You said that you are sure: the two sides of the seam" in html.partition("</header>")[0]
    assert verdict["may_be_cut"]
    assert [(stop["sure"], stop["settled"]) for stop in verdict["stops"]] == [("17.2 mm", True)]


@pytest.mark.parametrize("stopped", [False, True])
def test_what_is_cut_from_says_that_it_is_not_to_be_cut(sound, stopped):
    """Read back by another reader of DXF."""
    files = dict(pattern_files(sound.cut, "harbour", sheets=sheets_of(sound.cut, Printing()), stopped=stopped))
    drawing = ezdxf.read(io.StringIO(files["pattern.dxf"].decode()))
    texts = [text.dxf.text for text in drawing.modelspace().query('TEXT[layer=="TEXT"]')]
    assert ("NOT TO BE CUT AS IT IS: read report.html" in texts) == stopped
    assert (b"NOT TO BE CUT AS IT IS" in files["pattern.svg"]) == stopped


@pytest.mark.browser
@pytest.mark.parametrize("stopped", [False, True])
def test_each_sheet_says_that_it_is_not_to_be_cut(sound, stopped, tmp_path):
    """Read back by poppler, the cover first."""
    (tmp_path / "pattern.pdf").write_bytes(pdf_bytes(sheets_of(sound.cut, Printing()), "harbour", stopped=stopped))
    told = subprocess.run(["pdftotext", tmp_path / "pattern.pdf", "-"], capture_output=True, text=True, check=True)
    pages = told.stdout.split("\f")[:-1]
    assert len(pages) > 2
    assert [("NOT TO BE CUT AS IT IS" in page) for page in pages] == [stopped] * len(pages)


@pytest.mark.parametrize(("sure", "code"), [((), 3), ((Sure("seam", 17.2),), 0)])
def test_the_command_ends_with_3_until_every_stop_is_settled(sound, tmp_path, monkeypatch, sure, code):
    report = replace(troubled(sound, [seam(17.2)]), sure=sure)
    monkeypatch.setattr(command.house, "make", lambda job, **how: Result(report, (), ()))
    job = job_of({"scan": {"file": "leg.ply"}}, name="the test")
    assert command.run(job, folder=tmp_path, out=tmp_path / "out", times=False) == code


def over(panel):
    return replace(panel, stretch=replace(panel.stretch, fits=False, verdict="hard"))


def test_exceeded_limits_are_a_stop_that_no_figure_settles(sound, limb):
    report = with_limb(sound, panels=tuple(over(panel) for panel in limb.panels))
    (stop,) = verdict_of(report).stops
    assert (stop.key, stop.figure, stop.settled) == ("limits", None, False)
    lines = summary_lines(report)
    assert lines[1].startswith("  1. The shape lies beyond the leather’s limits")
    assert not any(line.startswith("As far as the leather goes") for line in lines)
    assert not any("[sure]" in line for line in lines)


@pytest.mark.parametrize(("radius", "told"), [(6.5, False), (6.39, True)])
def test_a_bend_below_twice_the_thickness_cracks_the_grain(sound, radius, told):
    """3.2 mm of leather: 6.4 mm."""
    (limb,) = sound.limbs
    bent = tuple(replace(panel, bend=replace(panel.bend, radius=radius)) for panel in limb.panels)
    stops = verdict_of(with_limb(sound, panels=bent)).stops
    assert [stop.finding.code for stop in stops] == ["leather.too tight"] * told
    assert all("bends to 2.0 times its thickness" in say.stop(stop.finding) for stop in stops)


def test_a_seam_that_cannot_meet_is_a_stop_and_one_that_can_is_eased(sound):
    from flatten.pattern.model import Join

    def join(ease):
        lengths = (300.0, 300.0 - ease)
        return Join("back", "laced", 10, 5.0, 30.0, lengths, 25.0, 3.2, 3.2, 12.0)

    (stop,) = verdict_of(with_limb(sound, joins=(join(17.0),))).stops
    assert say.stop(stop.finding) == (
        "The two sides of the seam “back” differ by 17 mm in length and cannot meet: move the seam, or the edges "
        "beside it."
    )
    # 3 % of the shorter side: 8.7 mm of 291.3.
    assert verdict_of(with_limb(sound, joins=(join(8.7),))).stops == ()
    assert len(verdict_of(with_limb(sound, joins=(join(8.8),))).stops) == 1


def test_a_figure_that_was_looked_at_settles_its_stop_and_the_report_says_so(sound):
    report = replace(troubled(sound, [seam(17.2), front(64.0)]), sure=(Sure("seam", 17.2),))
    verdict = verdict_of(report)
    assert [stop.key for stop in verdict.open] == ["front"]
    assert [stop.key for stop in verdict.settled] == ["seam"]
    lines = summary_lines(report)
    assert lines[0] == "Not to be cut as it is: one thing stands against it."
    assert any(
        line.startswith("You said that you are sure: the two sides of the seam “back” differ by 17") for line in lines
    )
    both = replace(report, sure=(Sure("seam", 17.2), Sure("front", math.radians(64.0))))
    assert verdict_of(both).may_be_cut
    assert summary_lines(both)[0] == say.text(headline(sound.panels))


@pytest.mark.parametrize(("now", "holds"), [(17.2, True), (18.1, True), (16.3, True), (18.3, False), (16.1, False)])
def test_it_opens_again_where_the_figure_changes_by_more_than_its_sigma(now, holds):
    """A seam's is 1 mm."""
    assert settles(Sure("seam", 17.2), seam(now), side="left") == holds
    report = verdict_on([seam(now)], sure=[Sure("seam", 17.2)], side="left")
    assert report.may_be_cut == holds


def size(factor, sigma=0.01):
    """The finding of a scan that its tape makes so much larger, as far as its verdict goes."""
    return finding("tape.size in doubt", "stop", size=factor, sigma=sigma)


@pytest.mark.parametrize(("now", "holds"), [(1.36, True), (1.373, True), (1.347, True), (1.375, False), (1.345, False)])
def test_a_ratios_sigma_is_a_share_of_it(now, holds):
    assert settles(Sure("size", 1.36), size(now), side="left") == holds


def test_a_name_settles_that_name_alone():
    named = finding("limb.side against", "stop", side="left")
    assert settles(Sure("side", "left"), named, side="left")
    assert not settles(Sure("side", "right"), named, side="left")
    assert not settles(Sure("limb", "left"), named, side="left")


def test_a_figure_of_one_limb_of_a_pair_holds_for_that_one():
    left, (right,) = size(1.36), on_limb([size(1.36)], "right", scan=True)
    one = verdict_on([left, right], sure=[Sure("size", 1.36, "right")], side="left")
    assert [stop.settled for stop in one.stops] == [False, True]
    assert verdict_on([left, right], sure=[Sure("size", 1.36)], side="left").may_be_cut


def test_two_seams_take_a_figure_each():
    found = [seam(17.2), seam(11.0, "front")]
    assert [stop.settled for stop in verdict_on(found, sure=[Sure("seam", 11.0)], side="left").stops] == [False, True]
    assert verdict_on(found, sure=[Sure("seam", 11.0), Sure("seam", 17.2)], side="left").may_be_cut


@pytest.mark.parametrize("number", range(CASES))
def test_lines_that_are_pasted_settle_what_they_name(sound, number):
    """As printed, rounded as they are; what remains is what no figure settles."""
    found, keys = random_troubles(number)
    verdict = verdict_of(troubled(sound, found))
    lines = sure_lines(verdict)
    settled = [key for key in keys if KEYS[key] is not None]
    assert [line.split(" = ")[0] for line in lines[1:]] == settled
    sure = sure_from(job_table("\n".join(lines), name="pasted").get("sure", {}))
    again = verdict_of(replace(troubled(sound, found), sure=sure))
    assert [stop.key for stop in again.open] == [key for key in keys if key not in settled]
    assert again.idle == ()


def test_lines_for_two_limbs_name_both():
    left, (right,) = size(1.36), on_limb([size(1.1)], "right", scan=True)
    verdict = verdict_on([left, right, seam(17.2)], sure=[], side="left")
    assert sure_lines(verdict) == ["[sure]", "size = { left = 1.36, right = 1.1 }", 'seam = "17.2 mm"']


def test_lines_keep_what_is_settled_under_the_same_key():
    found = [seam(17.2), seam(11.0, "front"), front(64.0)]
    verdict = verdict_on(found, sure=[Sure("seam", 11.0), Sure("front", math.radians(64.0))], side="left")
    assert sure_lines(verdict) == ["[sure]", 'seam = ["11 mm", "17.2 mm"]']


def test_a_figure_that_settles_nothing_is_told(sound):
    idle = summary_lines(replace(sound, sure=(Sure("size", 1.36),)))
    assert "“size = 1.36” under [sure] settles nothing that is in doubt; take it out of the job file." in idle
    moved = summary_lines(replace(troubled(sound, [seam(17.2)]), sure=(Sure("seam", 9.0),)))
    assert 'You were sure of “seam = "9 mm"”; it is "17.2 mm" now, so look at it again.' in moved


def test_no_key_settles_itself_by_another(sound):
    for key, make in MAKERS.items():
        own = figure_of(make(random.Random(3)))
        assert (own is None) == (KEYS[key] is None)
        assert own is None or own.key == key
