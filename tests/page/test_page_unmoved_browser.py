"""What the maker is at stays, in Debian's Chromium: what a pointer is pressed on, and the question that is open."""

import pytest

from tests.page.browsing import Bench, Server

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

LEATHER = "#question-leather > details"
PRESSED = "#job-list li [aria-label^='Delete']"


@pytest.fixture(scope="module")
def bench(browser, tmp_path_factory):
    """A bench with the demo leg on it."""
    server = Server(tmp_path_factory.mktemp("unmoved") / "bench")
    bench = Bench(browser, server.start(), viewport={"width": 1280, "height": 720})
    bench.page.click("#empty [data-do=demo]")
    bench.now("m.state.job !== null")
    bench.judge_nothing()
    bench.now("m.state.leather?.current")
    yield bench
    assert bench.faults == []
    bench.close()
    server.stop()


def set_values(bench, changes):
    bench.page.evaluate(f"import('/static/requests.js').then(m => m.set({changes}))")


def press(bench, place):
    box = bench.page.locator(place).first.bounding_box()
    bench.page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    bench.page.mouse.down()


def test_a_button_that_is_pressed_while_a_name_is_written_is_clicked(bench):
    page = bench.page
    page.click("#jobs-count")
    page.click("#job-list [data-name]")
    page.locator("#job-list input").fill("The mole, left")
    press(bench, PRESSED)
    # The name is taken, and its news is shown, before the pointer is let up.
    bench.now("m.state.jobs[0].name === 'The mole, left'")
    bench.drawn()
    page.mouse.up()
    bench.until("document.querySelector('#job-list strong')?.textContent === 'The mole, left'")
    assert page.locator("#job-list [data-sure]").count() == 1
    # Left and come back to, it asks again.
    page.focus("#job-list [data-name]")
    assert page.locator("#job-list [data-sure]").count() == 0
    assert page.locator(PRESSED).get_attribute("aria-label") == "Delete The mole, left with its scan"
    page.keyboard.press("Escape")


def test_a_link_that_is_pressed_while_news_comes_is_followed(bench):
    page = bench.page
    bench.open("leather")
    bench.read()
    bench.until("document.querySelectorAll('#findings a').length > 0")
    press(bench, "#findings a")
    page.evaluate("import('/static/requests.js').then(m => m.post('/do/agree-front'))")
    bench.now("!m.state.asked.look.length")
    bench.drawn()
    page.mouse.up()
    assert page.locator(LEATHER).get_attribute("open") is None
    assert page.locator("#question-front > details").get_attribute("open") is not None
    # What waited is told now.
    bench.until("![...document.querySelectorAll('#findings a')].some((a) => a.hash === '#question-front')")


def test_a_failure_leaves_the_question_open_that_the_maker_is_in(bench):
    page = bench.page
    bench.open("leather")
    thickness = page.locator("#question-leather input[type=text]").first
    thickness.focus()
    thickness.fill("3 mm")
    set_values(bench, "[[['edges', 'bottom', 'front'], '-90 mm']]")
    bench.now("m.state.failure?.question === 'edges'")
    bench.drawn()
    assert page.locator(LEATHER).get_attribute("open") is not None
    assert thickness.input_value() == "3 mm"
    assert page.evaluate("document.activeElement.closest('#question-leather') !== null")
    assert page.get_attribute("#question-edges", "class") == "failed"
    # The way there is shown, and taken when the maker takes it.
    page.click("#gravest a")
    assert page.locator("#question-edges > details").get_attribute("open") is not None
