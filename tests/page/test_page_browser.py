"""The way through in Debian's Chromium, with a real pointer: from a dropped scan to the pattern in hand."""

import io
import json
import os
import re
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
SCAN = ROOT / "meshes" / "harbour_watch_left_shin.ply"
CALFSKIN = [sys.executable, "-c", "from cli.main import main; main()"]
CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--use-angle=swiftshader", "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist", "--no-sandbox"]
PATIENCE = 120.0
"""s. The fine pattern takes twenty on two free cores."""

STATE = "import('/static/ask.js').then(m => JSON.stringify(m.state))"
READY = "import('/static/ask.js').then(m => Boolean(m.state.made?.current && !m.state.work))"
FRONT = "document.getElementById('headline').textContent"
PLACE = """async ([bearing, height]) => {
  const view = await import('/static/view.js');
  const { middleAt } = await import('/static/drawing.js');
  const [front, lateral] = middleAt(height);
  const at = [front + 45 * Math.cos(bearing), lateral + 45 * Math.sin(bearing), height];
  const box = document.getElementById('stage').getBoundingClientRect();
  const [x, y] = view.toPixels(...view.seen(at));
  return [x + box.left, y + box.top];
}"""


class Bench:
    """A page in the browser, and everything that it must not do."""

    def __init__(self, browser, address, **look):
        self.home = address.partition("/open")[0]
        # Without motion: a look at contrast in the middle of a fade would find what nobody can read.
        self.context = browser.new_context(accept_downloads=True, reduced_motion="reduce", **look)
        self.page = self.context.new_page()
        self.faults = []
        self.page.on("console", lambda message: self._heard(message.type, message.text))
        self.page.on("pageerror", lambda error: self.faults.append(f"uncaught: {error}"))
        self.context.on("request", self._asked)
        self.page.goto(address)
        self.until("import('/static/ask.js').then(m => m.state !== null)")

    def _heard(self, kind, text):
        if kind in ("error", "warning") and "GPU stall due to ReadPixels" not in text:
            self.faults.append(f"console {kind}: {text}")

    def _asked(self, request):
        if not request.url.startswith((f"{self.home}/", "blob:")):
            self.faults.append(f"asked outside: {request.url}")

    def state(self):
        return json.loads(self.page.evaluate(STATE))

    def until(self, js, patience=PATIENCE):
        """Seconds until an expression is true; polled, as the page's policy forbids code from strings."""
        begun = time.monotonic()
        while not self.page.evaluate(js):
            assert time.monotonic() - begun < patience, (
                f"still not: {js}; {self.page.evaluate(FRONT)}; {self.page.inner_text('body')[-300:]}; {self.faults}"
            )
            time.sleep(0.05)
        return time.monotonic() - begun

    def drop(self, *files):
        """Let files go over the bench, as the hand does."""
        self.page.locator("#stage").scroll_into_view_if_needed()
        hand = self.context.new_cdp_session(self.page)
        box = self.page.locator("#stage").bounding_box()
        at = {"x": box["x"] + box["width"] / 2, "y": box["y"] + box["height"] / 2}
        data = {"items": [], "files": [str(file) for file in files], "dragOperationsMask": 1}
        for kind in ("dragEnter", "dragOver", "drop"):
            hand.send("Input.dispatchDragEvent", {"type": kind, "data": data, **at})

    def open(self, question):
        details = self.page.locator(f"#question-{question} > details")
        if details.get_attribute("open") is None:
            details.locator("> summary").click()

    def click_limb(self, bearing, height):
        self.page.mouse.click(*self.page.evaluate(PLACE, [bearing, height]))

    def drag_knob(self, key, dy):
        knob = self.page.locator(f"[data-key={key}]:not(.behind)")
        knob.wait_for()
        box, before = knob.bounding_box(), None
        while box != before:  # the bench may still be taking another height
            time.sleep(0.3)
            box, before = knob.bounding_box(), box
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        for step in range(1, 9):
            self.page.mouse.move(x, y + dy * step / 8)
        self.page.mouse.up()

    def take(self, name):
        self.open("files")
        with self.page.expect_download() as waiting:
            self.page.click(f"[data-file='{name}']")
        return Path(waiting.value.path()).read_bytes()

    def barriers(self):
        """What axe finds on the page as it is shown."""
        self.page.evaluate((HERE / "axe" / "axe.min.js").read_text("utf-8"))
        found = self.page.evaluate("axe.run(document, { resultTypes: ['violations'] })")
        return [
            f"{rule['id']}: {node['target']} {node['failureSummary']}"
            for rule in found["violations"]
            for node in rule["nodes"]
        ]

    def close(self):
        self.context.close()


@pytest.fixture(scope="module")
def browser():
    api = pytest.importorskip("playwright.sync_api")
    if not Path(CHROMIUM).exists():
        pytest.fail("Debian's chromium is not installed; the check installs it")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def served(tmp_path):
    """The opening address of a page of its own, and how to start another on the same folder."""
    running = []

    def start():
        process = subprocess.Popen(
            [*CALFSKIN, "page", "--no-browser", "--folder", str(tmp_path / "bench")],
            stdout=subprocess.PIPE,
            text=True,
            cwd=ROOT,
            env={**os.environ, "PYTHONUNBUFFERED": "1"},
        )
        running.append(process)
        return re.search(r"http://\S+", process.stdout.readline())[0]

    yield start
    for process in running:
        process.terminate()
        process.wait(20)


@pytest.fixture
def bench(browser, served):
    bench = Bench(browser, served(), viewport={"width": 1440, "height": 900})
    yield bench
    faults = bench.faults
    bench.close()
    assert not faults


def test_from_a_dropped_scan_to_the_pattern_that_the_command_line_makes(bench, tmp_path):
    page = bench.page
    assert bench.barriers() == []
    bench.drop(SCAN)
    bench.until("document.querySelectorAll('.knob').length >= 8")
    assert bench.state()["scan_name"] == SCAN.name

    bench.open("size")
    page.fill("#tape-girth", "383 mm")
    page.press("#tape-girth", "Enter")
    bench.until("import('/static/ask.js').then(m => m.state.limb?.scale !== 1 && Boolean(m.state.leather?.current))")
    assert bench.state()["job"]["scan"]["tape"] == [{"at": "widest", "girth": "383 mm"}]

    bench.open("front")
    page.click("#agree-front")
    bench.until("import('/static/ask.js').then(m => m.state.front_agreed)")

    bench.open("opening")
    page.click("[data-turn='2']")
    page.locator("[data-seam='0'] .pick-seam").click()
    bench.click_limb(3.0, 60.0)
    bench.click_limb(3.2, 220.0)
    bench.until("import('/static/ask.js').then(m => Array.isArray(m.state.job.seam[0].along))")
    points = [(bearing, float(height.split()[0])) for bearing, height in bench.state()["job"]["seam"][0]["along"]]
    slope = (points[-1][0] - points[0][0]) / (points[-1][1] - points[0][1])
    # A click lands within a pixel or two: 2 mm on a limb of 45 mm radius is 2.5°.
    for clicked, height in ((171.9, 60.0), (183.3, 220.0)):
        assert points[0][0] + slope * (height - points[0][1]) == pytest.approx(clicked, abs=2.5)

    page.click("[data-turn='0']")
    bench.until("import('/static/ask.js').then(m => Boolean(m.state.leather?.current))")
    before = bench.state()["curves"]["top"]["knobs"][0]["height"]
    bench.drag_knob("top-front", 24)
    bench.until("import('/static/ask.js').then(m => m.state.job.edges.top.front !== 'auto')", 20.0)
    after = bench.state()["curves"]["top"]["knobs"][0]["height"]
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
    for name in ("pattern.svg", "pattern.pdf", "report.json"):
        assert (out / name).read_bytes() == archive.read(name)

    page.mouse.move(*_on_leather(page))
    bench.until("!document.getElementById('reading').hidden")
    assert "along the grain" in page.inner_text("#reading")
    assert page.locator("#drawing .finger").count() == 2


def _on_leather(page):
    return page.evaluate(
        """import('/static/view.js').then(m => {
          const box = document.getElementById('stage').getBoundingClientRect();
          const { leather } = m.things;
          const [x, y] = m.toPixels(m.leatherLeft() + leather.width / 2, (leather.low + leather.high) / 2);
          return [x + box.left, y + box.top];
        })"""
    )


def test_undo_reload_stop_and_what_cannot_be_read(browser, served):
    address = served()
    bench = Bench(browser, address, viewport={"width": 390, "height": 844}, color_scheme="dark")
    page = bench.page
    page.click("#empty [data-do=demo]")
    bench.until("import('/static/ask.js').then(m => Boolean(m.state.leather))")
    bench.until("import('/static/ask.js').then(m => Boolean(m.state.work?.of === 8))")
    page.click("#stop")
    bench.until("import('/static/ask.js').then(m => m.state.work?.stopped)")
    assert bench.state()["made"] is None
    assert bench.state()["leather"]["fine"] is False
    assert page.locator("#go-on").is_visible()
    assert bench.barriers() == []

    bench.open("under")
    page.get_by_label("Ease on the girth").fill("12 mm")
    page.keyboard.press("Enter")
    bench.until("import('/static/ask.js').then(m => m.state.job.wear.ease === '12 mm')")
    page.click("#undo")
    bench.until("import('/static/ask.js').then(m => m.state.job.wear.ease === '8 mm')")
    page.click("#redo")
    bench.until("import('/static/ask.js').then(m => m.state.job.wear.ease === '12 mm')")
    page.reload()
    bench.until("import('/static/ask.js').then(m => m.state?.job?.wear.ease === '12 mm')")
    bench.until("import('/static/ask.js').then(m => Boolean(m.state.leather?.current))")

    bench.open("opening")
    page.locator("[data-key=top-front]").focus()
    before = bench.state()["curves"]["top"]["knobs"][0]["height"]
    for _ in range(3):
        page.keyboard.press("ArrowDown")
    lowered = "import('/static/ask.js').then(m => Math.abs(m.state.curves.top.knobs[0].height - {}) < 0.06)"
    bench.until(lowered.format(before - 3.0))

    assert bench.faults == []
    bench.open("under")
    page.get_by_label("Ease on the girth").fill("much")
    page.keyboard.press("Enter")
    bench.until("!document.getElementById('message').hidden")
    assert "'much' is not a length" in page.inner_text("#message")
    # The browser itself writes a refused request to its console.
    bench.until("true")
    assert [fault for fault in bench.faults if "422" not in fault] == []
    bench.faults.clear()

    bench.drop(ROOT / "README.md")
    bench.until("import('/static/ask.js').then(m => m.state.trouble !== null)")
    assert "README.md" in page.inner_text("#findings")
    assert page.locator("#question-scan.trouble").count() == 1
    assert bench.barriers() == []
    assert bench.faults == []
    bench.close()
