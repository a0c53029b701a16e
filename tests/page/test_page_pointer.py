"""The bench in Debian's Chromium: mouse, touch and keys on limb, leather and seams; one page for all tests."""

import json
import math

import numpy as np
import pytest
import trimesh
from PIL import Image

from tests.figures import cropped, on
from tests.page.browsing import HERE, ROOT, Bench, Server
from tests.scan.scan_files import ply_bytes

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

WIDE = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def demo(browser, tmp_path_factory):
    """A bench with the demo leg on it."""
    server = Server(tmp_path_factory.mktemp("pointer") / "bench")
    # A mouse and a touch screen, as many a computer has.
    bench = Bench(browser, server.start(), viewport=WIDE, has_touch=True)
    bench.page.click("#empty [data-do=demo]")
    bench.now("m.state.job !== null")
    bench.judge_nothing()
    bench.now("m.state.leather?.current")
    yield bench
    bench.close()
    server.stop()


@pytest.fixture
def bench(demo):
    """The same bench, looked at from the front, and nothing of it faulty after the test."""
    demo.page.set_viewport_size(WIDE)
    demo.page.click("[data-show=both]")
    demo.page.click("[data-turn='0']")
    demo.page.locator("#pointer-area").press("0")
    demo.faults.clear()
    yield demo
    assert demo.faults == []


def near(places, wanted, within):
    return np.abs(np.array(places) - np.array(wanted)).max() <= within


def barriers_in_every_look(bench):
    """What axe finds in the dark, in the light, and on a phone."""
    found = []
    for look in ("dark", "light"):
        bench.page.emulate_media(color_scheme=look)
        found += bench.barriers()
    bench.page.set_viewport_size(PHONE)
    found += bench.barriers()
    bench.page.set_viewport_size(WIDE)
    return found


def test_a_place_under_the_pointer_is_shown_on_limb_and_leather_both_ways(bench):
    page = bench.page
    at = bench.place(0.4, 150.0, reach=55.0)
    page.mouse.move(*at)
    bench.until("document.querySelectorAll('#drawing .finger').length === 2")
    on_limb, on_leather = bench.fingers()
    # A frame and whole pixels of the pointer: two pixels.
    assert near(on_limb, at, 2.0)
    words = page.inner_text("#reading")
    assert "% along the grain" in words
    assert "% across it" in words
    page.mouse.move(*on_leather)
    bench.until(f"Math.abs(document.querySelectorAll('#drawing .finger')[1].getAttribute('cx') - {on_leather[0]}) < 3")
    assert near(bench.fingers(), [on_limb, on_leather], 4.0)
    assert "mm above the ankle" in page.inner_text("#reading")
    # A left leg seen from the front: its outside is at the right, on the limb and on the leather.
    page.mouse.move(*bench.place(0.9, 150.0, reach=55.0))
    bench.until(f"document.querySelectorAll('#drawing .finger')[0]?.getAttribute('cx') > {on_limb[0] + 10}")
    assert bench.fingers()[1][0] > on_leather[0] + 10
    page.mouse.move(5, 5)
    bench.until("document.getElementById('reading').hidden")


FOUND_AGAIN = """async () => {
  const [view, scene] = await Promise.all([import('/static/view.js'), import('/static/scene.js')]);
  const place = scene.mostStretched();
  const found = scene.leatherAt(...view.toPixels(...place.flat));
  return [place.chart, found?.chart ?? null];
}"""
"""A place of leather as height and bearing, and the one that the picture shows where it is drawn."""


def test_leather_beside_a_limb_that_has_grown_wider_is_where_its_outline_is(bench):
    page = bench.page
    before = bench.view()["scale"]
    page.evaluate("import('/static/view.js').then(m => { m.layout.reach += 25; })")
    page.click("[data-show=both]")
    bench.drawn()
    # As high as before, the bench keeps its scale: nothing but the limb's width has changed.
    assert bench.view()["scale"] == before
    place, found = page.evaluate(FOUND_AGAIN)
    page.evaluate("import('/static/view.js').then(m => { m.layout.reach -= 25; })")
    assert found == pytest.approx(place, abs=0.01)


def test_keys_turn_move_and_size_the_limb_and_lead_the_finger(bench):
    page = bench.page
    page.locator("#pointer-area").focus()
    before = bench.view()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("+")
    after = bench.view()
    assert after["turn"] - before["turn"] == pytest.approx(0.12)
    assert after["tip"] - before["tip"] == pytest.approx(-0.08)
    assert after["x"] == pytest.approx(before["x"] - 30 / before["scale"])
    assert after["scale"] == pytest.approx(1.2 * before["scale"])
    page.keyboard.press("-")
    page.keyboard.press("0")
    assert bench.view()["tip"] == 0
    assert bench.view()["scale"] == pytest.approx(before["scale"])

    page.keyboard.press("Enter")
    bench.until("document.querySelectorAll('#drawing .finger').length === 2")
    most = bench.state()["leather"]["spots"][0][0]
    assert page.locator("#finger").get_attribute("aria-pressed") == "true"
    # The patch that is stretched most has its larger figure along or across the grain, or turned between them.
    shown = [float(line.split()[0].replace("−", "-")) for line in page.locator("#reading span").all_inner_texts()[:2]]
    assert max(shown) <= float(most.split()[0]) + 0.05
    first = bench.fingers()
    for _ in range(4):
        page.keyboard.press("ArrowUp")
    bench.drawn()
    # Four steps of 5 mm up the limb, and so on the leather beside it, whose heights are bent a little.
    scale = bench.view()["scale"]
    moved = [was[1] - now[1] for was, now in zip(first, bench.fingers(), strict=True)]
    assert moved[0] == pytest.approx(20 * scale, abs=1.5)
    assert moved[1] == pytest.approx(20 * scale, rel=0.15)
    assert bench.barriers() == []
    page.keyboard.press("Escape")
    bench.until("document.querySelectorAll('#drawing .finger').length === 0")


def test_one_finger_sideways_and_two_fingers_turn_and_two_apart_enlarge(bench):
    touch = bench.context.new_cdp_session(bench.page)

    def send(kind, *points):
        places = [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(points)]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": places})

    x, y = bench.place(0.0, 150.0)
    before = bench.view()
    send("touchStart", (x, y))
    for step in range(1, 6):
        send("touchMove", (x + 20 * step, y))
    send("touchEnd")
    turned = bench.view()
    # The first move shows that it is no tap, and turns already.
    assert turned["turn"] - before["turn"] == pytest.approx(100 * 0.009, abs=0.01)
    assert turned["scale"] == before["scale"]

    send("touchStart", (x - 50, y), (x + 50, y))
    for step in range(1, 6):
        send("touchMove", (x - 50 - 10 * step, y), (x + 50 + 10 * step, y))
    send("touchEnd")
    spread = bench.view()
    assert spread["scale"] == pytest.approx(2.0 * before["scale"], rel=0.02)
    assert spread["turn"] == turned["turn"]

    send("touchStart", (x - 50, y), (x + 50, y))
    for step in range(1, 6):
        send("touchMove", (x - 50, y + 10 * step), (x + 50, y + 10 * step))
    send("touchEnd")
    tipped = bench.view()
    assert tipped["scale"] == pytest.approx(spread["scale"], rel=0.02)
    assert tipped["tip"] - spread["tip"] == pytest.approx(50 * 0.006, abs=0.01)
    assert tipped["y"] == pytest.approx(spread["y"], abs=1.0)


def test_every_seam_is_named_moved_and_taken_away(bench):
    page = bench.page
    bench.open("opening")
    page.click("#add-seam")
    bench.now("m.state.job.seam.length === 2")
    page.locator("[data-seam='1']").get_by_label("Its name").fill("shin")
    page.keyboard.press("Enter")
    bench.now("m.state.job.seam[1].name === 'shin'")
    page.locator("[data-seam='1']").get_by_label("It is", exact=True).select_option("stitched")
    bench.now("m.state.job.seam[1].kind === 'stitched'")
    assert page.locator("[data-seam='1']").get_by_label("Lacing gap").is_hidden()
    page.locator("[data-seam='0']").get_by_label("Lacing gap").fill("30 mm")
    page.keyboard.press("Enter")
    bench.now("m.state.job.seam[0].gap === '30 mm'")
    bench.now("m.state.leather?.current && m.state.leather.regions.length === 2")

    # The second seam runs straight up the front: its one point takes it round the limb.
    page.click("[data-turn='0']")
    handle = page.locator("[data-key='seam-1']:not(.behind)")
    handle.wait_for()
    page.wait_for_timeout(300)
    box = handle.bounding_box()
    centre = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    page.mouse.move(*centre)
    page.mouse.down()
    target = bench.place(0.5, 160.0)
    for share in (0.25, 0.5, 0.75, 1.0):
        page.mouse.move(centre[0] + share * (target[0] - centre[0]), centre[1])
    page.mouse.up()
    bench.now("typeof m.state.job.seam[1].along === 'number'")
    # As far to the side as 0.5 rad is at 45 mm from the middle; the surface lies some 55 mm from it.
    assert bench.state()["job"]["seam"][1]["along"] == pytest.approx(
        math.degrees(math.asin(45 / 57 * math.sin(0.5))), abs=5
    )
    assert bench.state()["job"]["seam"][0]["along"] == "back"
    page.locator("[data-key='seam-1']").press("ArrowRight")
    before = bench.state()["job"]["seam"][1]["along"]
    bench.now(f"Math.abs(m.state.job.seam[1].along - {before} - 1) < 0.01")

    page.locator("[data-seam='1'] .pick-seam").click()
    assert bench.barriers() == []
    bench.click_limb(0.2, 60.0)
    bench.click_limb(-0.2, 240.0)
    bench.now("Array.isArray(m.state.job.seam[1].along)")
    assert bench.state()["job"]["seam"][0]["along"] == "back"
    page.locator("[data-seam='1'] .add-point").click()
    bench.now("m.state.job.seam[1].along.length === 3")
    page.locator("[data-seam='1']").get_by_role("button", name="Take this seam away").click()
    bench.now("m.state.job.seam.length === 1")
    assert page.locator("[data-seam]").count() == 1


def test_the_front_is_set_by_a_click_on_the_limb(bench):
    bench.now("m.state.leather?.current")
    page = bench.page
    axes = np.array(bench.state()["limb"]["axes"])
    bench.open("front")
    page.click("#pick-front")
    bench.until("!document.getElementById('asking').hidden")
    turned = 0.4
    bench.click_limb(turned, 150.0)
    bench.now("m.state.job.scan.front !== 'auto'")
    bench.now(f"m.state.limb && m.state.limb.axes[0][0] !== {axes[0][0]}")
    found = np.array(bench.state()["limb"]["axes"])
    # The new front looks where the click was: by as much to the outside of the old one.
    outside = math.atan2(found[0] @ axes[1], found[0] @ axes[0])
    # The click falls on the skin along the line of sight: at 45 of some 55 mm from the middle.
    assert outside == pytest.approx(math.asin(45 / 55 * math.sin(turned)), abs=0.1)
    assert page.locator("#question-front.done").count() == 1
    page.click("#undo")
    bench.now("m.state.job.scan.front === 'auto'")


def test_the_joint_is_set_by_a_click_on_the_limb_and_the_top_edge_follows(bench):
    bench.now("m.state.leather?.current")
    page = bench.page
    bench.open("limb")
    assert page.locator("#pick-joint").inner_text() == "Click the middle of the kneecap"
    page.click("#pick-joint")
    bench.until("!document.getElementById('asking').hidden")
    bench.click_limb(0.0, 290.0)
    bench.now("m.state.job.scan.joint !== 'auto'")
    point = np.array(bench.state()["job"]["scan"]["joint"]["point"]) * bench.state()["scan"]["unit_mm"]
    limb = bench.state()["limb"]
    assert np.array(limb["axes"])[2] @ (point - np.array(limb["origin"])) == pytest.approx(290.0, abs=8.0)
    bench.now("m.state.limb && m.state.leather?.current")
    page.click("#auto-joint")
    bench.now("m.state.job.scan.joint === 'auto'")


def test_over_the_limits_and_in_trouble_nothing_bars_the_way(bench):
    page = bench.page
    bench.open("leather")
    page.get_by_label("How it is formed").select_option("dry")
    bench.now("m.state.leather?.current && !m.state.leather.fits")
    assert page.locator("#verdict.over, #verdict.stopped").count() == 1
    assert barriers_in_every_look(bench) == []
    bench.open("edges")
    page.locator("#question-edges fieldset").nth(1).get_by_label("front").fill("-90 mm")
    page.keyboard.press("Enter")
    bench.now("m.state.failure?.question === 'edges'")
    assert page.inner_text("#headline").startswith("It cannot be made like this.")
    assert page.locator("#question-edges.failed").count() == 1
    # What lies half beneath the head of the work order is scrolled to before it is pressed.
    page.evaluate("document.querySelector('#question-edges .answers button').scrollIntoView({ block: 'center' })")
    assert bench.barriers() == []
    # Said once, with a way to the question that it is about.
    assert page.inner_text("body").count("the surface can be trusted only above") == 1
    bench.open("leather")
    bench.read()
    page.click("#findings a")
    assert page.evaluate("document.activeElement === document.querySelector('#question-edges summary')")
    assert page.locator("#question-edges > details[open]").count() == 1
    for _ in range(2):
        page.click("#undo")
    bench.now("m.state.job.leather.limits === 'cased' && !m.state.failure")


def test_advice_is_offered_without_a_barrier_and_followed_by_its_button(bench):
    page = bench.page
    changes = "[[['output', 'advice'], true], [['output', 'mesh'], 'quick'], [['leather', 'limits'], 'dry']]"
    page.evaluate(f"import('/static/requests.js').then(m => m.set({changes}))")
    bench.now("m.state.made?.current && m.state.made.advice.length")
    bench.read()
    assert page.locator("#advice[open]").count() == 1
    assert barriers_in_every_look(bench) == []
    before = bench.state()["job"]
    page.locator("#advice button").first.click()
    bench.until(
        f"import('/static/requests.js').then(m => JSON.stringify(m.state.job) !== {json.dumps(compact(before))})"
    )
    page.click("#undo")
    bench.until(
        f"import('/static/requests.js').then(m => JSON.stringify(m.state.job) === {json.dumps(compact(before))})"
    )
    page.click("#undo")
    bench.now("m.state.job.leather.limits === 'cased' && !m.state.job.output.advice && m.state.leather?.current")


def compact(value):
    """A value as a browser writes it."""
    return json.dumps(value, separators=(",", ":"), ensure_ascii=False)


def test_a_payload_that_is_no_longer_there_is_refused_and_no_fault(bench):
    refused = "m.payload('leather', 0).catch(error => error instanceof m.RefusedError)"
    assert bench.page.evaluate(f"import('/static/requests.js').then(m => {refused})") is True


def test_on_a_phone_the_nearest_of_an_edges_points_is_taken(bench):
    page = bench.page
    page.set_viewport_size(PHONE)
    page.locator("#stage").scroll_into_view_if_needed()
    bench.drawn()
    places = {}
    for quarter in ("front", "outside", "inside"):
        box = page.locator(f"[data-key=bottom-{quarter}]").bounding_box()
        places[quarter] = (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    apart = min(math.dist(places["front"], places[side]) for side in ("outside", "inside"))
    # They are nearer to one another than the fingertip's room round each, and yet none covers another.
    assert box["width"] < apart < 40.0
    for quarter, (x, y) in places.items():
        page.mouse.move(x, y)
        page.mouse.down()
        assert page.locator(".handle.held").get_attribute("data-key") == f"bottom-{quarter}"
        page.mouse.up()
    # Of the limb alone, which is drawn larger, no point lies under the note about the work, 84 px high.
    page.click("[data-show=limb]")
    bench.drawn()
    stage, highest = (page.locator(which).bounding_box() for which in ("#stage", "[data-key=top-front]"))
    assert highest["y"] - stage["y"] > 84.0


def test_on_glass_a_swipe_scrolls_and_a_knob_moves_by_as_many_mm_as_the_finger(bench):
    page = bench.page
    page.set_viewport_size(PHONE)
    page.evaluate("scrollTo(0, 0)")
    bench.drawn()
    glass = bench.context.new_cdp_session(page)

    def send(kind, *points):
        glass.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in points]})

    before = bench.view()
    x, y = bench.place(0.0, 150.0)
    send("touchStart", (x, y))
    for step in range(1, 9):
        send("touchMove", (x, y - 20 * step))
    send("touchEnd")
    bench.until("scrollY > 80")
    assert (bench.view()["turn"], bench.view()["tip"]) == (before["turn"], before["tip"])
    # A swipe goes on by itself for a while.
    bench.until("(async (y) => { await new Promise(done => setTimeout(done, 300)); return scrollY === y; })(scrollY)")
    page.evaluate("scrollTo(0, 0)")
    bench.drawn()
    # Every knob has 24 px for itself.
    page.evaluate((HERE / "axe" / "axe.min.js").read_text("utf-8"))
    rules = "{ runOnly: ['target-size'], rules: { 'target-size': { enabled: true } } }"
    assert page.evaluate(f"axe.run('#handles', {rules}).then(found => found.violations.length)") == 0
    # 96 px of glass are 25.4 mm.
    box = page.locator("[data-key=top-front]").bounding_box()
    x, y = box["x"] + 12, box["y"] + 12
    height = next(handle["height"] for handle in bench.state()["curves"]["top"]["handles"])
    send("touchStart", (x, y))
    for step in range(1, 7):
        send("touchMove", (x, y + 8 * step))
    send("touchEnd")
    bench.now("!m.state.curves.top.handles[0].auto")
    bench.until("!document.querySelector('.handle.held')")
    moved = bench.state()["curves"]["top"]["handles"][0]["height"]
    assert height - moved == pytest.approx(48 * 25.4 / 96, abs=0.2)
    page.evaluate("import('/static/requests.js').then(m => m.post('/do/undo'))")
    bench.now("m.state.leather?.current && !m.state.curves.top.handles.some(handle => !handle.auto)")


def test_a_job_file_with_a_seam_that_cannot_be_is_refused_and_the_page_lives_on(bench):
    page = bench.page
    job = page.evaluate("fetch('/take/job.toml').then(answer => answer.text())")
    level = job.replace('along = "back"', 'along = [[180, "50 mm"], [170, "50 mm"]]')
    assert level != job
    bring = "text => import('/static/requests.js').then(m => m.bring([{ path: 'job.toml', part: new Blob([text]) }]))"
    page.evaluate(bring, level)
    bench.now("m.state.failure?.question === 'opening'")
    assert "must climb" in page.inner_text("#findings")
    page.click("#undo")
    bench.now("m.state.job.seam[0].along === 'back' && !m.state.failure")
    bench.until("document.querySelectorAll('.handle').length >= 8")


def test_a_pen_mark_on_the_scan_is_seen_and_the_leather_gives_way_to_it(bench, tmp_path):
    page = bench.page
    scan = trimesh.load(ROOT / "meshes" / "harbour_watch_left_shin.ply", process=False)
    green = np.tile(np.array([40, 170, 60, 255], np.uint8), (len(scan.vertices), 1))
    scan.visual.vertex_colors = green
    scan.export(tmp_path / "marked.ply")
    assert not page.locator("#colours").is_visible()
    bench.drop(tmp_path / "marked.ply")
    bench.now("m.state.scan_name === 'marked.ply' && m.state.leather?.current")
    page.click("[data-show=limb]")
    assert page.locator("#colours").is_visible()

    def greenish():
        bench.drawn()
        page.locator("#stage").screenshot(path=tmp_path / "stage.png")
        red, green, blue = np.asarray(Image.open(tmp_path / "stage.png").convert("RGB"), float).reshape(-1, 3).T
        return int(np.count_nonzero((green > 1.5 * red) & (green > 1.5 * blue)))

    plain = greenish()
    page.click("#colours")
    marked = greenish()
    assert plain == 0
    assert marked > 10_000
    assert bench.barriers() == []
    page.click("#colours")
    assert greenish() == 0


SCAN_AT = """async () => {
  const { scanAt } = await import('/static/scene.js');
  const box = document.getElementById('stage').getBoundingClientRect();
  const found = [];
  for (let x = 4; x < box.width; x += 8) for (let y = 4; y < box.height; y += 8) {
    const at = scanAt(x, y);
    if (at) found.push([x + box.left, y + box.top, ...at]);
  }
  return found;
}"""
"""Pixels of the page under which the scan lies, and its places there."""


def test_one_of_two_limbs_apart_in_one_file_is_picked_by_a_click(bench, tmp_path):
    page = bench.page
    leg = trimesh.load(ROOT / "tests" / "data" / "scans" / "leg_a_clean.ply", process=False)
    other = np.array(leg.vertices) + np.array([400.0, 0.0, 0.0])
    faces = np.concatenate([leg.faces, leg.faces + len(leg.vertices)])
    (tmp_path / "both.ply").write_bytes(ply_bytes(np.concatenate([leg.vertices, other]), faces))
    bench.drop(tmp_path / "both.ply")
    bench.now("m.state.scan_name === 'both.ply' && m.state.failure?.question === 'limb' && m.state.scan")
    shown = page.inner_text("#findings")
    assert "two limbs, or one in two halves; click the one that is meant." in shown
    assert page.inner_text("#headline").startswith("Several limbs or parts are in the scan")
    assert "--" not in shown
    assert bench.state()["scan"]["faces"] == len(faces)
    assert bench.barriers() == []
    # The click is asked for at once.
    assert "Click in the middle of the limb that is meant." in page.inner_text("#asking")
    bench.drawn()
    places = np.array(page.evaluate(SCAN_AT))
    x, y, *at = places[np.linalg.norm(places[:, 2:] - other.mean(axis=0), axis=1).argmin()]
    assert at[0] > leg.vertices[:, 0].max()
    page.mouse.click(x, y)
    bench.now("m.state.limb && m.state.leather?.current && !m.state.failure")
    assert bench.state()["scan"]["faces"] == len(leg.faces)
    assert near(bench.state()["job"]["scan"]["pick"], at, 3.0)
    bench.open("limb")
    page.click("#auto-limb")
    bench.now("m.state.failure?.question === 'limb' && m.state.job.scan.pick === 'auto'")


def test_one_limb_of_several_in_a_scan_is_picked_by_a_click(bench, tmp_path):
    page = bench.page
    legs = cropped("pair of legs")
    (tmp_path / "legs.ply").write_bytes(ply_bytes(legs.points, legs.faces))
    bench.drop(tmp_path / "legs.ply")
    bench.now("m.state.scan_name === 'legs.ply' && m.state.failure?.question === 'limb' && m.state.scan")
    assert bench.barriers() == []
    bench.drawn()
    page.click("#pick-limb")
    places = np.array(page.evaluate(SCAN_AT))
    # His left leg is on the side of the positive y; the middle of its shin is 300 mm above the floor.
    wanted = np.array(on("left thigh", 100.0))
    wanted[2] = 300.0
    x, y, *at = places[np.linalg.norm(places[:, 2:] - wanted, axis=1).argmin()]
    assert at[1] > 50.0
    page.mouse.click(x, y)
    bench.now("m.state.limb && m.state.leather?.current && !m.state.failure")
    # Pixels are whole, and one is about a millimetre.
    assert near(bench.state()["job"]["scan"]["pick"], at, 3.0)
    page.click("#undo")
    bench.now("m.state.failure?.question === 'limb' && m.state.job.scan.pick === 'auto'")
