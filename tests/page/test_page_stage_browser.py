"""The stage in Debian's Chromium: limb and leather keep their room whatever is told of them."""

import re

import pytest

from tests.page.browsing import Bench, Server

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

SIZES = {(1440, 900): 0.6, (1280, 720): 0.6, (1024, 768): 0.6, (1024, 700): 0.6, (390, 844): 0.5}
"""Width and height of the window in px, and the share of its height that the stage takes at least."""


@pytest.fixture
def bench(browser, tmp_path):
    """A bench with the demo leg on it."""
    server = Server(tmp_path / "bench")
    bench = Bench(browser, server.start(), viewport={"width": 1440, "height": 900})
    bench.page.click("#empty [data-do=demo]")
    bench.now("m.state.job !== null")
    bench.judge_nothing()
    yield bench
    assert bench.faults == []
    bench.close()
    server.stop()


def boxes(bench):
    """The stage on the page at each size of the window: left, top, width, height."""
    found = {}
    for width, height in SIZES:
        bench.page.set_viewport_size({"width": width, "height": height})
        bench.page.evaluate("scrollTo(0, 0)")
        found[width, height] = bench.page.locator("#stage").bounding_box()
    bench.page.set_viewport_size({"width": 1440, "height": 900})
    return found


def set_values(bench, changes):
    bench.page.evaluate(f"import('/static/requests.js').then(m => m.set({changes}))")


def test_the_stage_keeps_its_place_and_room_in_every_state(bench):
    page = bench.page
    bench.now("m.state.scan !== null")
    at_first = boxes(bench)
    for (width, height), share in SIZES.items():
        assert at_first[width, height]["height"] >= share * height
    bench.now("m.state.leather?.current")
    assert boxes(bench) == at_first
    # Beyond its limits, with work under way; then all that is told of it, and each region, is opened.
    set_values(bench, "[[['leather', 'limits'], 'dry']]")
    bench.now("m.state.verdict.stops.length && m.state.leather?.current")
    assert page.inner_text("#gravest").startswith("The shape lies beyond the leather’s limits")
    assert boxes(bench) == at_first
    # The stop is a pin on limb and leather, where most is asked: read there, and a way to its question.
    state = bench.state()
    told = re.search(r"squeezed up to .*? at the \w+, (\d+) mm above", " ".join(state["leather"]["sentences"]))
    assert round(state["pins"][0]["chart"][0]) == int(told[1])
    pin = page.locator(".pin.stop:not(.behind)").last
    pin.hover()
    assert page.locator("#reading").inner_text().startswith("The shape lies beyond")
    page.mouse.move(5, 5)
    assert not page.locator("#reading").is_visible()
    page.locator(".pin.stop").first.focus()
    assert page.locator("#reading").is_visible()
    bench.until("!document.querySelector('.pin.stop.behind')")
    assert bench.barriers() == []
    pin.click()
    assert page.evaluate("document.activeElement === document.querySelector('#question-edges summary')")
    page.click("#tell")
    page.click("#regions summary")
    assert page.locator("#told").bounding_box()["x"] >= at_first[1440, 900]["width"]
    assert bench.barriers() == []
    assert boxes(bench) == at_first
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.id") == "tell"
    # What cannot be made.
    set_values(bench, "[[['edges', 'bottom', 'front'], '-90 mm']]")
    bench.now("m.state.failure?.question === 'edges'")
    assert "the surface can be trusted only above" in page.inner_text("#gravest")
    assert boxes(bench) == at_first
    page.click("#gravest a")
    assert page.evaluate("document.activeElement === document.querySelector('#question-edges summary')")
