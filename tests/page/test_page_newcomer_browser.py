"""What somebody who has never seen the bench takes from its words: each says what is so, and no more than that."""

import pytest

from tests.page.browsing import ROOT, Bench

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

WIDE = {"width": 1280, "height": 720}
SMALL = {"width": 390, "height": 844}


def test_a_limb_that_is_another_than_was_said_is_no_choice_between_several(browser, served):
    bench = Bench(browser, served.start(), viewport=WIDE)
    page = bench.page
    bench.drop(ROOT / "meshes" / "harbour_watch_left_shin.ply")
    bench.now("m.state.limb")
    bench.judge_nothing()
    page.evaluate("import('/static/requests.js').then((m) => m.set([[['scan', 'limb'], 'upper arm']]))")
    bench.now("m.state.failure?.question === 'limb'")
    assert page.inner_text("#headline") == "This does not work yet."
    assert page.locator("#asking").is_hidden()
    assert page.locator("#pick-limb").is_hidden()
    page.click("#undo")
    bench.now("m.state.limb && !m.state.failure && m.state.leather?.current")
    # Ounces become millimetres; a hundredth of one is more than any gauge for leather tells.
    bench.open("leather")
    thickness = page.get_by_label("Thickness", exact=True).first
    thickness.fill("7 oz")
    thickness.press("Enter")
    bench.now("m.state.job.leather.thickness !== '3.2 mm'")
    thickness.press("Tab")
    assert bench.state()["job"]["leather"]["thickness"] == "2.778125 mm"
    assert thickness.input_value() == "2.78 mm"
    assert bench.faults == []


def test_the_headline_is_read_whole_on_a_small_screen(browser, served):
    bench = Bench(browser, served.start(), viewport=SMALL)
    page = bench.page
    page.evaluate(
        "document.getElementById('headline').textContent = 'Not to be cut as it is: one thing stands against it.'"
    )
    page.evaluate("document.getElementById('gravest').textContent = 'The leather bends to 1.8 times its thickness.'")
    # The button beside them, which the empty bench does not have, keeps them to the first column.
    page.evaluate("document.getElementById('tell').hidden = false")
    said = page.evaluate(
        """() => {
          const [line, all] = [document.getElementById('headline'), document.getElementById('verdict')];
          const [own, whole] = [line.getBoundingClientRect(), all.getBoundingClientRect()];
          const beneath = document.getElementById('gravest').getBoundingClientRect();
          return [line.scrollWidth - line.clientWidth, line.scrollHeight - line.clientHeight,
            own.top - whole.top, beneath.bottom - whole.bottom];
        }"""
    )
    beside, below, top, bottom = said
    assert (beside, below) == (0, 0)
    assert top >= 0.0
    assert bottom <= 0.0
