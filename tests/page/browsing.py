"""A page in Debian's Chromium, with a real pointer, and everything that it must not do."""

import json
import os
import re
import subprocess
import sys
import time
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
CALFSKIN = [sys.executable, "-c", "from cli.main import main; main()"]
CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--enable-unsafe-swiftshader", "--no-sandbox"]
"""The browser as it comes to a computer without a graphics card; the limb alone is drawn as by one."""

PATIENCE = 120.0
"""s. The fine pattern takes twenty on two free cores."""

STATE = "import('/static/requests.js').then(m => JSON.stringify(m.state))"
READY = "import('/static/requests.js').then(m => Boolean(m.state.made?.current && !m.state.work))"
FRONT = "document.getElementById('headline').textContent"
NOW = "import('/static/requests.js').then(m => Boolean({}))"
AXE = """axe.run(document, { resultTypes: ['violations'], rules: { 'target-size': { enabled: true } } })"""
PLACE = """async ([bearing, height, reach]) => {
  const view = await import('/static/view.js');
  const { middleAt } = await import('/static/drawing.js');
  const [front, lateral] = middleAt(height);
  const at = [front + reach * Math.cos(bearing), lateral + reach * Math.sin(bearing), height];
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
        self.now("m.state !== null")

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

    def read(self):
        """Open the drawer in which all is told."""
        if self.page.get_attribute("#tell", "aria-expanded") == "false":
            self.page.click("#tell")

    def open(self, question):
        if self.page.get_attribute("#tell", "aria-expanded") == "true":
            self.page.click("#told-close")
        details = self.page.locator(f"#question-{question} > details")
        if details.get_attribute("open") is None:
            details.locator("> summary").click()

    def click_limb(self, bearing, height):
        self.page.mouse.click(*self.place(bearing, height))

    def place(self, bearing, height, *, reach=45.0):
        """Where a place of the limb is on the screen: its bearing (radians), height, and distance from the middle."""
        return self.page.evaluate(PLACE, [bearing, height, reach])

    def fingers(self):
        """Where the fingers are drawn on the screen: on the limb, on the leather."""
        return self.page.evaluate(
            """() => {
              const box = document.getElementById('stage').getBoundingClientRect();
              return [...document.querySelectorAll('#drawing .finger')].map((c) =>
                [Number(c.getAttribute('cx')) + box.left, Number(c.getAttribute('cy')) + box.top]);
            }"""
        )

    def drawn(self):
        """Wait until what has changed is drawn: the frame after next."""
        self.page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done())))")

    def view(self):
        return json.loads(self.page.evaluate("import('/static/view.js').then(m => JSON.stringify(m.view))"))

    def judge_nothing(self):
        """Let the job forgo the bound and the advice, which take longest and are another test's."""
        off = "[[['output', 'bound'], false], [['output', 'advice'], false]]"
        self.page.evaluate(f"import('/static/requests.js').then(m => m.set({off}))")

    def now(self, what, patience=PATIENCE):
        """Wait until an expression about the state `m.state` is true."""
        return self.until(NOW.format(what), patience)

    def drag_handle(self, key, dy):
        handle = self.page.locator(f"[data-key={key}]:not(.behind)")
        handle.wait_for()
        box, before = handle.bounding_box(), None
        while box != before:  # the bench may still be taking another height
            time.sleep(0.3)
            box, before = handle.bounding_box(), box
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
        """What axe finds on the page as it is shown, the size of what is clicked included (WCAG 2.2, 2.5.8)."""
        self.page.evaluate((HERE / "axe" / "axe.min.js").read_text("utf-8"))
        return [told for rule, target, told in self._found() if rule != "target-size" or self._is_small(target)]

    def _found(self):
        found = self.page.evaluate(AXE)["violations"]
        return [
            (rule["id"], node["target"], f"{rule['id']}: {node['target']} {node['failureSummary']}")
            for rule in found
            for node in rule["nodes"]
        ]

    def _is_small(self, target):
        """Whether a target is small where all of it is seen: half beneath a heading that stays, axe sees half."""
        self.page.evaluate("(one) => document.querySelector(one)?.scrollIntoView({ block: 'center' })", target[0])
        return any(rule == "target-size" and again == target for rule, again, _ in self._found())

    def close(self):
        self.context.close()


def begun(folder, **more):
    """A page that is served on a folder: its process (`more`: its other pipes), and its opening address."""
    process = subprocess.Popen(
        [*CALFSKIN, "page", "--no-browser", "--folder", str(folder)],
        stdout=subprocess.PIPE,
        text=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONUNBUFFERED": "1"},
        **more,
    )
    return process, re.search(r"http://\S+", process.stdout.readline())[0]


class Server:
    """Served pages in folders of their own; all end together."""

    def __init__(self, folder):
        self._folder = folder
        self._running = []

    def start(self):
        """The opening address of a page on the folder."""
        process, address = begun(self._folder)
        self._running.append(process)
        return address

    def kill(self):
        """End what was started last, with no time to say so."""
        process = self._running.pop()
        process.kill()
        process.wait(20)

    def stop(self):
        for process in self._running:
            process.terminate()
            process.wait(20)
