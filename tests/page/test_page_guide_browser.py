"""Looking about, the key sheet and the round in Debian's Chromium; one page for all tests."""

import json
import math

import pytest

from flatten.limb.kind import QUARTERS
from tests.page.browsing import Bench, Server

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

WIDE = {"width": 1440, "height": 900}
PHONE = {"width": 390, "height": 844}


@pytest.fixture(scope="module")
def demo(browser, tmp_path_factory):
    """A bench with the demo leg on it."""
    server = Server(tmp_path_factory.mktemp("guide") / "bench")
    bench = Bench(browser, server.start(), viewport=WIDE)
    bench.page.click("#empty [data-do=demo]")
    bench.now("m.state.job !== null")
    bench.judge_nothing()
    bench.now("m.state.leather?.current")
    yield bench
    bench.close()
    server.stop()


@pytest.fixture
def bench(demo):
    demo.page.set_viewport_size(WIDE)
    demo.page.click("#show-all")
    demo.faults.clear()
    yield demo
    assert demo.faults == []


def test_buttons_turn_tip_move_and_show_all(bench):
    page = bench.page
    start = bench.view()
    page.get_by_role("button", name="Turn to the right").click()
    page.get_by_role("button", name="Tip its top towards you").click()
    page.get_by_role("button", name="Move to the left").click()
    page.get_by_role("button", name="Move up").click()
    seen = bench.view()
    assert seen["turn"] - start["turn"] == pytest.approx(math.radians(15))
    assert seen["tip"] - start["tip"] == pytest.approx(math.radians(10))
    # What is moved to the left shows more of what lies at the right.
    assert seen["x"] - start["x"] == pytest.approx(60 / start["scale"])
    assert seen["y"] - start["y"] == pytest.approx(-60 / start["scale"])
    page.click("#show-all")
    shown = bench.view()
    # The fine leather may have come since, a little wider or narrower.
    assert [shown[name] for name in ("x", "y", "scale")] == pytest.approx(
        [start[name] for name in ("x", "y", "scale")], rel=0.01
    )
    assert shown["tip"] == 0.0
    page.get_by_role("button", name="Turn to the left").click()
    assert bench.view()["turn"] == pytest.approx(start["turn"])
    # Where the row has no room for them, one button opens them.
    page.set_viewport_size(PHONE)
    left = page.get_by_role("button", name="Turn to the left")
    assert not left.is_visible()
    page.click("#look-about")
    box = left.bounding_box()
    assert min(box["width"], box["height"]) >= 24
    assert bench.barriers() == []
    page.click("#look-about")
    assert not left.is_visible()


BAR = """() => {
  const box = document.getElementById('bands').getBoundingClientRect();
  const at = (one) => (one.getBoundingClientRect().left - box.left) / box.width;
  const reach = document.querySelector('#bar .reach').getBoundingClientRect();
  return {
    ends: [reach.left, reach.right].map((x) => (x - box.left) / box.width),
    limits: [...document.querySelectorAll('#bar .limit')].map(at),
    words: [...document.querySelectorAll('#bar .end')].map((one) => one.textContent),
    beside: [...document.querySelectorAll('#bands li')].map((one) => one.classList.contains('beside')),
  };
}"""


def test_the_colour_bar_ends_where_this_leather_does_and_marks_its_limits(bench):
    """Twelve bands as wide as one another: squeezed from 5 % on, 3, 2, 1; even; stretched from 1 % on ..."""
    told = bench.state()["leather"]["bar"]
    shown = bench.page.evaluate(BAR)
    assert [mark["words"] for mark in told["limits"]] == ["−3.0 %", "+5.0 %"]
    assert shown["limits"] == pytest.approx([2 / 12, 9 / 12], abs=0.005)
    least, most = (told[end]["share"] for end in ("squeezed", "stretched"))
    assert -0.03 <= least < -0.02 < 0.04 < most <= 0.05
    # Between 3 and 2 % of squeeze in the third band, between 4 and 5 % of stretch in the ninth.
    wanted = [(3 - (least + 0.02) / -0.01) / 12, (8 + (most - 0.04) / 0.01) / 12]
    assert shown["ends"] == pytest.approx(wanted, abs=0.005)
    assert shown["words"] == [
        f"squeezed up to {told['squeezed']['words']}",
        f"stretched up to {told['stretched']['words']}",
    ]
    assert [n for n, beside in enumerate(shown["beside"]) if not beside] == list(range(2, 9))


PRESSED = """async () => {
  const { keyTables } = await import('/static/keys.js');
  const rows = keyTables().flatMap(({ place, rows }) => rows.map((row) => ({ place, ...row })));
  return rows.map(({ place, keys, shift, ctrl }) => ({ place, keys, shift: Boolean(shift), ctrl: Boolean(ctrl) }));
}"""


def test_the_key_sheet_tells_every_key_and_each_of_them_works(bench):
    page = bench.page
    page.keyboard.press("?")
    assert page.locator("#key-sheet[open]").count() == 1
    assert bench.barriers() == []
    told = page.locator("#key-sheet tr", has=page.locator("kbd"))
    lines = dict(zip(told.locator("td").all_inner_texts(), told.locator("th").all_inner_texts(), strict=True))
    assert lines["undo the last change"].split() == ["CtrlZ"]
    assert lines["move limb and leather"] == "Shift←→↑↓"
    page.keyboard.press("Escape")
    assert page.locator("#key-sheet[open]").count() == 0
    rows = page.evaluate(PRESSED)
    assert len(rows) >= 18
    assert page.locator("#key-sheet kbd").count() == sum(len(row["keys"]) + row["shift"] + row["ctrl"] for row in rows)
    # What looks about is tried key by key: each changes what is seen.
    page.locator("#pointer-area").focus()
    for key in ("ArrowLeft", "ArrowUp", "Shift+ArrowLeft", "Shift+ArrowDown", "+", "-", "0"):
        before = bench.view()
        page.keyboard.press(key)
        assert bench.view() != before, key
    page.keyboard.press("Enter")
    assert page.locator("#finger[aria-pressed=true]").count() == 1
    page.keyboard.press("Escape")
    assert page.locator("#finger[aria-pressed=true]").count() == 0
    # Opened by its button, it gives the focus back.
    page.click("#keys")
    page.keyboard.press("Escape")
    assert page.evaluate("document.activeElement.id") == "keys"
    # Where text is written a question mark is one.
    bench.open("under")
    page.locator("#question-under input[type=text]").first.press("?")
    assert page.locator("#key-sheet[open]").count() == 0
    page.keyboard.press("Backspace")


OVERLAP = """() => {
  const [card, ring] = ['round-card', 'round-ring'].map((id) => document.getElementById(id).getBoundingClientRect());
  const over = (low, high, other, beyond) => Math.max(0, Math.min(high, beyond) - Math.max(low, other));
  return over(card.left, card.right, ring.left, ring.right) * over(card.top, card.bottom, ring.top, ring.bottom);
}"""
"""px² of what a step speaks of that its card covers."""


def test_the_round_goes_beside_each_thing_and_is_left_by_the_keyboard(bench):
    page = bench.page
    job = bench.state()["job"]
    page.locator("#round").focus()
    page.keyboard.press("Enter")
    titles = []
    while page.locator("#round-card").is_visible():
        bench.drawn()
        titles.append(page.inner_text("#round-title"))
        assert page.locator("#round-ring").is_visible(), titles[-1]
        assert page.evaluate(OVERLAP) == 0, titles[-1]
        assert page.evaluate("document.activeElement.id") == "round-title"
        for _ in range(2 if titles[1:] else 1):
            page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.id") == "round-next"
        page.keyboard.press("Enter")
    assert titles[0] == "The limb at its ruler"
    assert titles[-1] == "Take it away"
    assert len(titles) == 8
    assert page.evaluate("document.activeElement.id") == "round"
    # The maker's own work lies as it did, and the round is known to be seen.
    assert bench.state()["job"] == job
    assert "round-seen=1" in page.evaluate("document.cookie")
    page.click("#round")
    page.click("#round-next")
    page.click("#round-back")
    assert page.inner_text("#round-title") == titles[0]
    for width, height in ((1440, 900), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        assert bench.barriers() == []
    page.keyboard.press("Escape")
    assert not page.locator("#round-card").is_visible()


LOW = [[["output", "advice"], True], [["output", "mesh"], "quick"], [["leather", "limits"], "dry"]] + [
    [["edges", edge, quarter], height]
    for edge, height in {"bottom": "100 mm", "top": "250 mm"}.items()
    for quarter in QUARTERS
]
"""A low piece that is worked dry: advice for it comes soon."""

TRIED = "document.querySelectorAll('#drawing .trial path').length"


def test_advice_is_seen_before_it_is_taken_and_given_back(bench):
    """First by the pointer, then by the keyboard alone."""
    page = bench.page
    page.evaluate(f"import('/static/requests.js').then(m => m.set({json.dumps(LOW)}))")
    bench.now("m.state.made?.current && m.state.made.advice.length && !m.state.work")
    bench.read()
    before = bench.state()
    first = before["made"]["advice"][0]
    page.locator("#advice-list li").first.hover()
    # The outline, and both edges and the seam's part that is seen, each on its light ground.
    bench.until(f"{TRIED} >= 6")
    assert page.inner_text("#reading").splitlines() == [
        f"{sort} up to {old} → {new}"
        for sort, (old, new) in (("stretched", first["stretch"]), ("squeezed", first["squeeze"]))
    ]
    assert bench.state()["job"] == before["job"]
    page.mouse.move(5, 5)
    bench.until(f"{TRIED} === 0 && document.getElementById('reading').hidden")
    page.locator("#advice-list li").first.get_by_role("button").click()
    bench.now("m.state.followed")
    assert bench.state()["followed"]["change"] == first["change"]
    assert bench.state()["job"] != before["job"]
    assert bench.barriers() == []
    page.click("#give-back")
    bench.now("!m.state.followed")
    assert bench.state()["job"] == before["job"]

    bench.now("m.state.work")
    bench.now("m.state.made?.current && m.state.made.advice.length && !m.state.work")
    page.locator("#advice-lead").focus()
    page.keyboard.press("Tab")
    bench.until(f"{TRIED} >= 6")
    page.keyboard.press("Enter")
    bench.now("m.state.followed")
    bench.until("document.activeElement.id === 'give-back'")
    page.keyboard.press("Enter")
    bench.now("!m.state.followed")
    assert bench.state()["job"] == before["job"]
