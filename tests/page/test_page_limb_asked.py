"""Of a fresh scan the page asks which limb it is and of which side, and shows what the scan tells."""

from pathlib import Path

import pytest

from tests.page.browsing import Bench

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

MESHES = Path(__file__).parents[2] / "meshes"


def test_limb_and_side_of_a_fresh_scan_are_asked_and_what_was_found_can_be_agreed_to(browser, served):
    bench = Bench(browser, served.start(), viewport={"width": 1280, "height": 900})
    page = bench.page
    page.set_input_files("#scan-file", MESHES / "harbour_watch_right_shin.glb")
    bench.now("m.state.limb")
    assert page.inner_text("#question-limb .answer") == "Right lower leg? Look, and say whether it is."
    assert page.get_attribute("#question-limb", "class") == "look"
    assert "(from the scan: look)" in page.inner_text("#question-limb summary")
    bench.now("m.state.leather")
    asked = "Before you cut, look whether what was found is right: Which limb is it? · Where is its front?"
    assert asked in page.inner_text("#findings")
    bench.open("limb")
    assert (bench.state()["job"]["scan"]["limb"], bench.state()["job"]["scan"]["side"]) == ("auto", "auto")
    # It is the next question that is open, so that it lies open by itself.
    assert page.inner_text("#agree-limb") == "Right lower leg: that is right"
    page.click("#agree-limb")
    bench.now("m.state.job.scan.side === 'right' && m.state.limb")
    assert bench.state()["job"]["scan"]["limb"] == "lower leg"
    assert page.inner_text("#question-limb .answer") == "Right lower leg"
    assert page.get_attribute("#question-limb", "class") == "done"
    assert not page.locator("#agree-limb").is_visible()
    bench.open("front")
    page.click("#agree-front")
    bench.now("m.state.front_agreed && m.state.leather")
    assert "Before you cut, look" not in page.inner_text("#findings")
    bench.open("files")
    assert page.inner_text(".still-open").startswith("Still open: Is it true to size?")
    assert bench.barriers() == []
    bench.judge_nothing()
