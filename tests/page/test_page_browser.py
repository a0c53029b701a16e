"""The way through in Debian's Chromium, with a real pointer: from a dropped scan to the pattern in hand."""

import io
import os
import subprocess
import zipfile

import pytest

from tests.page.browsing import CALFSKIN, READY, ROOT, Bench

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

SCAN = ROOT / "meshes" / "harbour_watch_left_shin.ply"
FILES = ("pattern.svg", "pattern.pdf", "report.html", "report.json")


@pytest.fixture
def bench(browser, served):
    bench = Bench(browser, served.start(), viewport={"width": 1440, "height": 900})
    yield bench
    faults = bench.faults
    bench.close()
    assert not faults


def test_from_a_dropped_scan_to_the_pattern_that_the_command_line_makes(bench, tmp_path):
    page = bench.page
    assert bench.barriers() == []
    bench.drop(SCAN)
    bench.until("document.querySelectorAll('.handle').length >= 8")
    assert bench.state()["scan_name"] == SCAN.name
    bench.judge_nothing()

    bench.open("size")
    page.fill("#tape-girth", "383 mm")
    page.press("#tape-girth", "Enter")
    bench.until(
        "import('/static/requests.js').then(m => m.state.limb?.scale !== 1 && Boolean(m.state.leather?.current))"
    )
    assert bench.state()["job"]["scan"]["tape"] == [{"at": "widest", "girth": "383 mm"}]

    bench.open("front")
    page.click("#agree-front")
    bench.now("m.state.front_agreed")

    bench.open("opening")
    page.click("[data-turn='2']")
    page.locator("[data-seam='0'] .pick-seam").click()
    bench.click_limb(3.0, 60.0)
    bench.click_limb(3.2, 220.0)
    bench.now("Array.isArray(m.state.job.seam[0].along)")
    points = [(bearing, float(height.split()[0])) for bearing, height in bench.state()["job"]["seam"][0]["along"]]
    slope = (points[-1][0] - points[0][0]) / (points[-1][1] - points[0][1])
    # A click lands within a pixel or two: 2 mm on a limb of 45 mm radius is 2.5°.
    for clicked, height in ((171.9, 60.0), (183.3, 220.0)):
        assert points[0][0] + slope * (height - points[0][1]) == pytest.approx(clicked, abs=2.5)

    page.click("[data-turn='0']")
    bench.now("m.state.leather?.current")
    before = bench.state()["curves"]["top"]["handles"][0]["height"]
    bench.drag_handle("top-front", 24)
    bench.now("m.state.job.edges.top.front !== 'auto'", 20.0)
    after = bench.state()["curves"]["top"]["handles"][0]["height"]
    scale = page.evaluate("import('/static/view.js').then(m => m.view.scale)")
    assert before - after == pytest.approx(24 / scale, abs=1.5 / scale)

    bench.until(READY)
    assert bench.barriers() == []
    dxf, job = bench.take("pattern.dxf"), bench.take("job.toml")
    archive = zipfile.ZipFile(io.BytesIO(bench.take("calfskin.zip")))
    (tmp_path / SCAN.name).write_bytes(SCAN.read_bytes())
    (tmp_path / "job.toml").write_bytes(job)
    out = tmp_path / "made"
    done = subprocess.run([*CALFSKIN, "make", "job.toml", "--out", str(out)], cwd=tmp_path, check=False, env=os.environ)
    assert done.returncode in (0, 3)
    assert (out / "pattern.dxf").read_bytes() == dxf
    for name in FILES:
        assert (out / name).read_bytes() == archive.read(name)

    page.mouse.move(*_on_leather(page))
    bench.until("!document.getElementById('reading').hidden")
    assert "along the grain" in page.inner_text("#reading")
    assert page.locator("#drawing .finger").count() == 2


def _on_leather(page):
    return page.evaluate(
        """import('/static/view.js').then(m => {
          const box = document.getElementById('stage').getBoundingClientRect();
          const { leather } = m.layout;
          const [x, y] = m.toPixels(m.leatherLeft() + leather.width / 2, (leather.low + leather.high) / 2);
          return [x + box.left, y + box.top];
        })"""
    )


def test_a_side_that_the_foot_speaks_against_is_doubted_where_it_is_asked_for(bench):
    page = bench.page
    page.click("#empty [data-do=demo]")
    bench.now("m.state.limb")
    bench.judge_nothing()
    assert page.inner_text("#question-limb .answer") == "Left lower leg"
    page.evaluate("import('/static/requests.js').then(m => m.set([[['scan', 'side'], 'right']]))")
    bench.now("m.state.limb?.doubt")
    shown = page.inner_text("#question-limb .answer")
    assert shown.startswith("Right lower leg? The big toe’s side of the foot lies outside: the scan looks like a left")
    assert "If the side was only named wrongly, say left." in shown
    assert page.get_attribute("#question-limb", "class") == "failed"
    bench.open("limb")
    page.get_by_role("button", name="It is a left lower leg").click()
    bench.now("m.state.job.scan.side === 'left' && m.state.limb && !m.state.limb.doubt")
    assert page.get_attribute("#question-limb", "class") == "done"
    # What the scan alone says stands beside no clear verdict.
    bench.now("m.state.leather?.current && m.state.leather.fits")
    assert page.get_attribute("#verdict", "class") == "look"
    bench.open("front")
    page.click("#agree-front")
    bench.now("m.state.front_agreed")
    assert page.get_attribute("#verdict", "class") == "cased"


def test_undo_reload_stop_and_what_cannot_be_read(browser, served, tmp_path):
    address = served.start()
    bench = Bench(browser, address, viewport={"width": 390, "height": 844}, color_scheme="dark")
    page = bench.page
    page.click("#empty [data-do=demo]")
    bench.now("m.state.leather")
    bench.now("m.state.work?.goal === 'pattern'")
    page.click("#stop")
    bench.now("m.state.work?.stopped")
    assert bench.state()["made"] is None
    assert bench.state()["leather"]["fine"] is False
    assert page.locator("#go-on").is_visible()
    assert bench.barriers() == []
    bench.judge_nothing()

    bench.open("under")
    page.get_by_label("Ease on the girth").fill("12 mm")
    page.keyboard.press("Enter")
    bench.now("m.state.job.wear.ease === '12 mm'")
    page.click("#undo")
    bench.now("m.state.job.wear.ease === '8 mm'")
    page.click("#redo")
    bench.now("m.state.job.wear.ease === '12 mm'")
    page.reload()
    bench.now("m.state?.job?.wear.ease === '12 mm'")
    bench.now("m.state.leather?.current")

    bench.open("opening")
    page.locator("[data-key=top-front]").focus()
    before = bench.state()["curves"]["top"]["handles"][0]["height"]
    for _ in range(3):
        page.keyboard.press("ArrowDown")
    lowered = "import('/static/requests.js').then(m => Math.abs(m.state.curves.top.handles[0].height - {}) < 0.06)"
    bench.until(lowered.format(before - 3.0))

    assert bench.faults == []
    bench.open("under")
    page.get_by_label("Ease on the girth").fill("much")
    page.keyboard.press("Enter")
    wrong = page.locator("#question-under .wrong")
    wrong.first.wait_for()
    assert wrong.inner_text().startswith("“much” is not a length")
    padding = page.get_by_label("Clothing and padding")
    padding.fill("-3 mm")
    padding.press("Enter")
    wrong.nth(1).wait_for()
    ease = page.get_by_label("Ease on the girth")
    assert (ease.input_value(), padding.input_value()) == ("much", "-3 mm")
    # Something else that is done leaves both to be mended.
    page.get_by_label("Thickness", exact=True).evaluate("(input) => { input.value = '3 mm'; }")
    page.get_by_label("Thickness", exact=True).dispatch_event("change")
    bench.now("m.state.job.leather.thickness === '3 mm'")
    assert [field.get_attribute("aria-invalid") for field in (ease, padding)] == ["true", "true"]
    described = padding.get_attribute("aria-describedby").split()
    assert page.locator(f"#{described[-1]}").inner_text() == "“-3 mm” is outside 0 to 100 mm."
    assert page.locator("#question-under [role=alert]").count() == 2
    assert page.locator("#message").is_hidden()
    assert bench.barriers() == []
    padding.press("Escape")
    assert (padding.input_value(), padding.get_attribute("aria-invalid")) == ("3 mm", None)
    ease.fill("9 mm")
    ease.press("Enter")
    bench.now("m.state.job.wear.ease === '9 mm'")
    assert wrong.count() == 0
    # The browser itself writes a refused request to its console.
    bench.until("true")
    assert [fault for fault in bench.faults if "422" not in fault] == []
    bench.faults.clear()

    # What is no scan, or none that can be read, takes nothing from the bench.
    (tmp_path / "broken.ply").write_bytes(b"ply\nformat ascii 1.0\nelement vertex 3\nend_header\n1 2\n")
    for file in (ROOT / "README.md", tmp_path / "broken.ply"):
        page.evaluate("document.getElementById('message').hidden = true")
        bench.drop(file)
        bench.until("!document.getElementById('message').hidden")
        assert file.name in page.inner_text("#message")
        assert bench.barriers() == []
    state = bench.state()
    assert (state["job"]["wear"]["ease"], state["failure"], state["can_undo"]) == ("9 mm", None, True)
    page.click("#message button")
    page.click("#jobs-count")
    page.get_by_role("button", name="Name Harbour watch").click()
    page.keyboard.type("The mole, left")
    page.keyboard.press("Enter")
    bench.now("m.state.jobs[0].name === 'The mole, left' && m.state.jobs.length === 1")
    assert bench.barriers() == []
    assert [fault for fault in bench.faults if "422" not in fault] == []
    bench.close()
