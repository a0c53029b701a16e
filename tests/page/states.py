"""Every state that the page can be in, one after the other: each walk brings a bench there and yields its name."""

import json

from tests.figures import cropped
from tests.page.browsing import READY, ROOT
from tests.scan.scan_files import ply_bytes

QUESTIONS = (
    "scan", "limb", "size", "front", "under", "leather", "edges", "opening", "darts", "finish", "pieces", "plates",
    "ornament", "tried", "hides", "former", "files",
)  # fmt: skip

FULL_JOB = [
    [["output", "bound"], False],
    [["output", "advice"], False],
    [["output", "mesh"], "quick"],
    [["plate"], [{"name": "shin plate", "around": [-40, 40], "heights": ["90 mm", "200 mm"]}]],
    [["fitting"], [{"pattern": "leather", "showed": ["tight by 4 mm at the widest"]}]],
    [["hide"], [{"shape": "side", "length": "2200 mm", "width": "1100 mm", "thickness": "3.2 mm"}]],
    [["dart"], [{"name": "calf dart", "edge": "top", "along": "outside", "depth": "50 mm"}]],
    [["former", "kind"], "ribs"],
    [["ornament", "calm_only"], False],
    [["motif"], [{"kind": "border", "on": "shin plate", "width": "3 mm"}]],
]
"""A job in which each form of the work order has an entry."""


def set_values(bench, changes):
    bench.page.evaluate(f"import('/static/requests.js').then(m => m.set({json.dumps(changes)}))")


def arriving(bench):
    """From the empty bench to leather with something in each form."""
    page = bench.page
    yield "empty"
    page.click("#empty [data-do=demo]")
    bench.now("m.state.scan !== null")
    yield "scan being read"
    bench.now("m.state.limb")
    set_values(bench, FULL_JOB)
    bench.now("m.state.worn && m.state.leather?.current")
    yield "leather laid"


UNFOLD = """(id) => document.querySelectorAll(`${id} details`).forEach((one) => { one.open = true; })"""


def asked(bench):
    """Every question open, with all that is folded away in it; the key sheet; each step of the round."""
    page = bench.page
    for question in QUESTIONS:
        bench.open(question)
        page.evaluate(UNFOLD, f"#question-{question} .parts")
        yield f"question {question}"
    page.click("#keys")
    yield "key sheet"
    page.keyboard.press("Escape")
    page.click("#round")
    while page.locator("#round-card").is_visible():
        yield f"round: {page.inner_text('#round-title')}"
        page.click("#round-next")


def held(bench):
    """A point of an edge held by the pointer, and what comes of it."""
    page = bench.page
    page.evaluate("scrollTo(0, 0)")
    knob = page.locator("[data-key=top-front]:not(.behind)")
    box = knob.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 12)
    page.mouse.move(x, y + 25)
    bench.until("document.getElementById('reading').innerText.includes('squeezed')")
    yield "edge held"
    page.keyboard.press("Escape")
    page.mouse.up()
    bench.open("front")
    page.click("#pick-front")
    yield "click asked for"
    page.locator("#asking button").first.click()
    page.click("#jobs-count")
    yield "jobs listed"
    page.click("#jobs-count")


def made(bench):
    """The files made, all that is told of them, and a stop."""
    page = bench.page
    bench.until(READY)
    bench.open("files")
    page.evaluate(UNFOLD, "#question-files .parts")
    yield "files made"
    page.evaluate("scrollTo(0, 0)")
    page.click("#tell")
    page.evaluate(UNFOLD, "#told")
    yield "told"
    set_values(bench, [[["leather", "limits"], "dry"]])
    bench.now("m.state.verdict.stops.length && m.state.leather?.current")
    yield "stop told"
    page.click("#told-close")
    page.locator(".pin.stop:not(.behind)").first.focus()
    yield "pin read"


def gone_wrong(bench):
    """What is refused, what cannot be made, and work that was stopped."""
    page = bench.page
    bench.open("under")
    ease = page.get_by_label("Ease on the girth")
    ease.fill("much")
    ease.press("Enter")
    page.locator("#question-under .wrong").first.wait_for()
    yield "field refused"
    ease.press("Escape")
    bench.drop(ROOT / "README.md")
    bench.until("!document.getElementById('message').hidden")
    yield "drop refused"
    page.evaluate("document.getElementById('message').hidden = true")
    set_values(bench, [[["edges", "bottom", "front"], "-90 mm"]])
    bench.now("m.state.failure?.question === 'edges'")
    yield "failure"
    page.evaluate("import('/static/requests.js').then((m) => m.post('/do/undo'))")
    bench.now("m.state.work && !m.state.failure")
    page.evaluate("import('/static/requests.js').then((m) => m.post('/do/stop'))")
    bench.now("m.state.work?.stopped")
    yield "work stopped"


def several(bench, folder):
    """Two legs and a trunk in one scan, before one leg is picked and after it."""
    page = bench.page
    legs = cropped("pair of legs")
    (folder / "legs.ply").write_bytes(ply_bytes(legs.points, legs.faces))
    bench.drop(folder / "legs.ply")
    bench.now("m.state.failure?.question === 'limb' && m.state.scan")
    yield "limb asked for"
    left = legs.points[legs.points[:, 1] > 50.0]
    pick = left[abs(left[:, 2] - 300.0).argmin()].tolist()
    set_values(bench, [[["scan", "unit"], "mm"], [["scan", "pick"], pick], [["scan", "limb"], "lower leg"]])
    bench.now("m.state.limb && m.state.leather?.current && !m.state.failure")
    yield "limb picked"
    page.click("[data-turn='2']")
    yield "limb picked, from behind"


def unheard(bench, server, folder):
    """The server gone, and a kept job that cannot be read once it is there again."""
    page = bench.page
    server.kill()
    bench.until("!document.getElementById('lost').hidden")
    yield "server lost"
    for kept in (folder / "jobs").iterdir():
        (kept / "job.toml").write_text("[scan", "utf-8")
    page.goto("about:blank")  # what was there would go on asking the server that is gone
    address = server.start()
    bench.home = address.partition("/open")[0]
    page.goto(address)
    bench.now("m.state !== null")
    page.click("#jobs-count")
    yield "job unreadable"
