"""What an edge is refused for is mended by the button at its question, in one step that can be undone."""

import pytest

from tests.page.browsing import ROOT, Bench

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]


def test_an_edge_beyond_the_scan_is_raised_by_the_button_at_its_question(browser, served):
    bench = Bench(browser, served.start(), viewport={"width": 1280, "height": 720})
    page = bench.page
    bench.drop(ROOT / "meshes" / "harbour_watch_left_shin.ply")
    bench.now("m.state.limb")
    page.evaluate("import('/static/requests.js').then((m) => m.set([[['edges', 'bottom'], '-200 mm']]))")
    bench.now("m.state.failure?.question === 'edges'")
    assert page.get_attribute("#question-edges", "class") == "failed"
    (button,) = page.locator("#question-edges .answers button").all()
    assert button.inner_text().startswith("Raise the bottom edge by ")
    assert bench.barriers() == []
    button.click()
    bench.now("!m.state.failure && m.state.leather?.current")
    assert bench.state()["job"]["edges"]["bottom"]["front"] == "-29 mm"
    assert page.locator("#question-edges .answers").is_hidden()
    page.click("#undo")
    bench.now("m.state.failure?.question === 'edges'")
