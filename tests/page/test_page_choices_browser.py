"""What is not wanted by default, in Debian's Chromium and by the keyboard alone: plates, try-ons, leathers, strips."""

import json

import pytest

from tests.page.browsing import READY, Bench

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

SMALL = [
    *[[["edges", "bottom", side], "180 mm"] for side in ("front", "outside", "back", "inside")],
    [["output", "mesh"], "quick"],
    [["output", "bound"], False],
    [["output", "advice"], False],
    [["piece", "pair"], "no"],
]
"""A job of half a piece, cut for one limb and judged by nobody: its files are there at once."""


def set_values(bench, changes):
    bench.page.evaluate(f"import('/static/requests.js').then(m => m.set({json.dumps(changes)}))")


def press(bench, name, **more):
    """A button that is reached and pressed by keys."""
    button = bench.page.get_by_role("button", name=name, **more)
    button.focus()
    bench.page.keyboard.press("Enter")


def unfold(bench, question):
    bench.page.locator(f"#question-{question} > details > summary").focus()
    bench.page.keyboard.press("Enter")


def write(bench, field, text):
    field.focus()
    field.press("Control+a")
    bench.page.keyboard.type(text)
    bench.page.keyboard.press("Enter")


def test_what_lies_beside_the_pieces_is_told_by_the_keyboard_alone(browser, served):
    bench = Bench(browser, served.start(), viewport={"width": 1280, "height": 720})
    page = bench.page
    page.click("#empty [data-do=demo]")
    bench.now("m.state.limb")
    set_values(bench, SMALL)
    bench.now("m.state.worn && m.state.leather?.current")

    unfold(bench, "plates")
    press(bench, "Add a plate")
    bench.now("m.state.job.plate.length === 1 && m.state.leather?.current")
    write(bench, page.get_by_label("From", exact=True), "-30")
    bench.now("m.state.job.plate[0].around[0] === -30")
    plates = page.locator("#question-plates")
    for label, wrong in (("Inside the leather’s edges by", "70 mm"), ("Rivet holes", "wide"), ("To", "round")):
        write(bench, plates.get_by_label(label, exact=True), wrong)
    plates.locator(".wrong").nth(2).wait_for()
    told = plates.locator(".wrong").all_inner_texts()
    assert sorted(words.split(";")[0] for words in told) == [
        "That is no stretch round the limb",
        "“70 mm” is outside 0 to 60 mm.",
        "“wide” is not a length",
    ]
    assert page.locator("#message").is_hidden()
    assert bench.barriers() == []
    for label in ("Inside the leather’s edges by", "Rivet holes", "To"):
        plates.get_by_label(label, exact=True).press("Escape")
    assert plates.locator(".wrong").count() == 0
    assert plates.get_by_label("To", exact=True).input_value() == "40°"

    press(bench, "Point at two corners on the limb")
    page.keyboard.press("Enter")
    page.locator("#asking", has_text="corner across").wait_for()
    for key in ("ArrowLeft", "ArrowLeft", "Shift+ArrowUp", "Shift+ArrowUp"):
        page.keyboard.press(key)
    bench.drawn()
    page.keyboard.press("Enter")
    bench.now("m.state.job.plate[0].around[0] !== -30")
    plate = bench.state()["job"]["plate"][0]
    assert plate["around"][0] < plate["around"][1]
    low, high = (float(height.split()[0]) for height in plate["heights"])
    assert high - low > 5.0
    page.click("#undo")
    bench.now("m.state.job.plate[0].around[0] === -30")

    unfold(bench, "size")
    girth = page.get_by_label("Girth by tape", exact=True)
    write(bench, girth, "wide")
    page.locator("#question-size .wrong", has_text="“wide” is not a length").wait_for()
    assert girth.get_attribute("aria-invalid") == "true"
    girth.press("Escape")
    assert (girth.input_value(), page.locator("#question-size .wrong").count()) == ("383 mm", 0)
    press(bench, "Add another tape")
    bench.now("m.state.job.scan.tape.length === 2")
    press(bench, "Take this tape away: Tape 2")
    bench.now("m.state.job.scan.tape.length === 1 && m.state.leather?.current")

    unfold(bench, "tried")
    press(bench, "Add a try-on")
    bench.now("m.state.job.fitting.length === 1")
    press(bench, "Add this sentence")
    bench.now("m.state.job.fitting[0].showed.length === 1")
    sentence = page.get_by_label("Sentence 1", exact=True)
    write(bench, sentence, "tight at the widest")
    wrong = page.locator("#question-tried .wrong")
    wrong.wait_for()
    assert "does not say by how much" in wrong.inner_text()
    write(bench, sentence, "tight by 4 mm at the widest")
    bench.now("m.state.job.fitting[0].showed[0] === 'tight by 4 mm at the widest'")
    assert wrong.count() == 0

    unfold(bench, "leather")
    page.locator("#question-leather summary", has_text="Strips of your own leather").focus()
    page.keyboard.press("Enter")
    for number, readings in ((1, {"L0": "100", "L2": "106"}), (4, {"L0": "100", "L2": "90"})):
        for name, read in readings.items():
            page.get_by_label(f"Strip {number}, {name}").fill(read)
    page.get_by_label("Thickness of their leather").fill("3.2 mm")
    press(bench, "Keep these readings")
    page.locator(".strips .wrong").wait_for()
    assert "must be at least L0" in page.locator(".strips .wrong").inner_text()
    page.get_by_label("Strip 4, L2").fill("107")
    press(bench, "Keep these readings")
    bench.now("m.state.job.leather.limits === 'my-strips.toml'")
    assert page.locator(".strips tbody tr").count() == 2

    unfold(bench, "hides")
    page.get_by_label("The pieces are laid").focus()
    page.keyboard.type("on my")
    bench.now("m.state.job.hide.length === 1")
    bench.until(READY)
    assert bench.take("layout.dxf").startswith(b"  0\nSECTION")
    assert "layout.svg" in bench.state()["made"]["files"]
    assert bench.state()["unasked"] == []
    assert bench.barriers() == []
    assert [fault for fault in bench.faults if "422" not in fault] == []
    bench.close()
