"""The leather moves while a line is held, in Debian's Chromium: by pointer and by keys."""

import json

import pytest

from tests.page.browsing import Bench, Server

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

SHOWN = """import('/static/drawing.js').then(m => {
  const [panel] = m.shownPanels();
  const tops = Array.from(panel.boundary, (i) => [panel.flat[2 * i], panel.flat[2 * i + 1]]);
  return Math.max(...tops.filter(([x]) => Math.abs(x) < 20).map(([, y]) => y));
})"""
"""mm. The height of the leather that is shown, at its front."""

OLD = "document.querySelectorAll('#drawing .leather .old').length"
READING = "Array.from(document.querySelectorAll('#reading span'), (line) => line.textContent).join('\\n')"


@pytest.fixture(scope="module")
def bench(browser, tmp_path_factory):
    """A bench with the demo leg on it."""
    server = Server(tmp_path_factory.mktemp("trial") / "bench")
    bench = Bench(browser, server.start(), viewport={"width": 1440, "height": 900})
    bench.page.click("#empty [data-do=demo]")
    bench.now("m.state.job !== null")
    bench.judge_nothing()
    bench.now("m.state.leather?.current")
    bench.until(f"{OLD} === 0")
    yield bench
    assert bench.faults == []
    bench.close()
    server.stop()


def settled(bench):
    bench.now("m.state.leather?.current")
    bench.until(f"{OLD} === 0")
    bench.drawn()


def held(bench, key):
    """The middle of a point on the screen, its button pressed there."""
    point = bench.page.locator(f"[data-key={key}]:not(.behind)")
    box = point.bounding_box()
    at = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    bench.page.mouse.move(*at)
    bench.page.mouse.down()
    return at


def test_leather_moves_while_its_edge_is_dragged_and_is_one_step_of_undo(bench):
    page = bench.page
    settled(bench)
    before, view, top = bench.state(), bench.view(), page.evaluate(SHOWN)
    job, front = before["job"], json.dumps(before["job"]["edges"]["top"]["front"])
    x, y = held(bench, "top-front")
    page.mouse.move(x, y + 10)
    bench.until(f"{READING}.includes('squeezed')")
    page.mouse.move(x, y + 40)
    fall = 40 / view["scale"]
    # What is shown is the leather of where the pointer is, within what a coarse mesh moves it and half its edge.
    bench.until(f"{SHOWN}.then((top) => Math.abs({top} - top - {fall}) < 6)")
    assert page.evaluate(OLD) == 1
    lines = page.evaluate(READING).splitlines()
    assert lines[0].startswith("Top edge, front: ")
    assert [line.split(" up to ")[0] for line in lines[1:]] == ["stretched", "squeezed"]
    # Nothing has been made of it yet, and nothing has moved under the pointer.
    assert bench.state()["job"] == job
    assert bench.state()["leather"]["payload"] == before["leather"]["payload"]
    assert bench.view() == view
    page.mouse.up()
    bench.now(f"m.state.job.edges.top.front !== {front}")
    settled(bench)
    assert abs(top - page.evaluate(SHOWN) - fall) < 6
    assert bench.view() == view
    page.click("#undo")
    bench.now(f"m.state.job.edges.top.front === {front}")
    settled(bench)
    assert bench.state()["job"] == job


def test_leather_moves_with_a_point_that_keys_move_and_escape_puts_all_back(bench):
    page = bench.page
    settled(bench)
    before, top = bench.state(), page.evaluate(SHOWN)
    front = json.dumps(before["job"]["edges"]["top"]["front"])
    page.locator("[data-key=top-front]").press("PageDown")
    bench.until(f"{OLD} === 1")
    bench.until(f"{SHOWN}.then((shown) => Math.abs({top} - shown - 10) < 4)")
    assert page.evaluate(READING).splitlines()[0] == "Top edge, front: 304 mm"
    bench.now(f"m.state.job.edges.top.front !== {front}")
    settled(bench)
    assert page.evaluate("document.getElementById('reading').hidden")
    page.click("#undo")
    bench.now(f"m.state.job.edges.top.front === {front}")
    settled(bench)
    # Held by the pointer, then put back by a key: job, undo and leather are as they were.
    x, y = held(bench, "top-front")
    page.mouse.move(x, y + 30)
    bench.until(f"{OLD} === 1")
    page.keyboard.press("Escape")
    bench.drawn()
    assert page.evaluate(OLD) == 0
    assert page.evaluate("document.getElementById('reading').hidden")
    page.mouse.move(x, y + 60)
    page.mouse.up()
    bench.drawn()
    after = bench.state()
    assert after["job"] == before["job"]
    assert after["can_undo"] == before["can_undo"]
    # The fine leather may have been laid meanwhile, half a millimetre from the preview; 30 px are more.
    assert abs(page.evaluate(SHOWN) - top) < 2.0
    at = page.locator("[data-key=top-front]").bounding_box()
    assert abs(at["y"] + at["height"] / 2 - y) < 1.0
