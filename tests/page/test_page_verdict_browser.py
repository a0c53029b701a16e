"""Stops in Debian's Chromium: in the heading, in the work order, settled and taken back by the keyboard alone."""

import pytest

from tests.page.browsing import ROOT, Bench

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

SCAN = ROOT / "meshes" / "harbour_watch_left_shin.ply"
HEADLINE = "document.getElementById('headline').textContent"


@pytest.fixture(params=[(1440, 900), (390, 844)], ids=["wide", "narrow"])
def bench(browser, served, request):
    width, height = request.param
    bench = Bench(browser, served.start(), viewport={"width": width, "height": height})
    yield bench
    faults = bench.faults
    bench.close()
    assert not faults


def keys(bench):
    verdict = bench.state()["verdict"]
    return [stop["key"] for stop in verdict["stops"]], [stop["key"] for stop in verdict["settled"]]


def test_a_stop_is_settled_and_taken_back_by_the_keyboard(bench):
    """A front that was named at the back, and leather that is too stiff for the shape."""
    page = bench.page
    bench.drop(SCAN)
    bench.now("m.state.limb !== null")
    bench.judge_nothing()
    front = [-value for value in bench.state()["limb"]["axes"][0]]
    changes = f"[[['scan', 'front'], {front}], [['leather', 'limits'], 'dry'], [['output', 'mesh'], 'quick']]"
    page.evaluate(f"import('/static/requests.js').then(m => m.set({changes}))")
    bench.now("m.state.verdict.stops.length === 2 && m.state.made?.current && !m.state.work")
    assert keys(bench) == (["front", "limits"], [])
    assert page.evaluate(HEADLINE) == "Not to be cut as it is: 2 things stand against it, the gravest first."
    listed = page.locator("#stops > li")
    assert listed.count() == 2
    assert "lies 180° round the limb from where the foot puts it" in listed.nth(0).inner_text()
    assert listed.nth(1).locator("button").count() == 0
    assert page.locator("#question-front").get_attribute("class") == "failed"
    assert "lies 180° round the limb" in page.locator("#question-front .answer").inner_text()
    assert page.locator("#question-edges").get_attribute("class") == "failed"
    assert bench.barriers() == []

    bench.read()
    listed.nth(0).locator("a").focus()
    page.keyboard.press("Enter")
    assert page.locator("#question-front > details").get_attribute("open") is not None
    bench.read()
    listed.nth(0).locator("a").focus()
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.dataset.stop") == "front"
    page.keyboard.press("Enter")
    bench.now("m.state.verdict.settled.length === 1")
    assert keys(bench) == (["limits"], ["front"])
    assert bench.state()["job"]["sure"] == {"front": "180°"}
    assert page.locator("#settled > li").inner_text().startswith("You said that you are sure: the front")
    assert page.evaluate("document.activeElement.dataset.stop") == "front"
    assert page.locator("#question-front").get_attribute("class") != "failed"
    assert bench.barriers() == []

    page.keyboard.press("Enter")
    bench.now("m.state.verdict.settled.length === 0")
    assert keys(bench) == (["front", "limits"], [])
    assert bench.state()["job"]["sure"] == {}
