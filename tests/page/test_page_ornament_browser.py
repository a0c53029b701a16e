"""Ornament by pointer and keys: a motif asked for, drawn anew, refused, lifted by a button, and a drawing brought."""

import pytest

from tests.page.browsing import Bench
from tests.page.states import set_values

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

MADE = "m.state.made?.current && m.state.leather?.fine"
RINGS = (
    '<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="-30 -20 60 40" fill="none" '
    'stroke="black"><circle cx="-8" r="14"/><circle cx="8" r="14"/></svg>'
)


def test_a_motif_from_its_first_word_to_its_lines_on_the_leather(browser, served, tmp_path):
    (tmp_path / "rings.svg").write_text(RINGS)
    (tmp_path / "notes.txt").write_text("no drawing")
    bench = Bench(browser, served.start(), viewport={"width": 1440, "height": 900})
    page = bench.page
    page.locator("button[data-do=demo]").first.click()
    bench.now("m.state.leather")
    quick = [[["edges", "bottom", side], "150 mm"] for side in ("front", "outside", "back", "inside")]
    set_values(
        bench, [*quick, [["output", "mesh"], "quick"], [["output", "bound"], False], [["output", "advice"], False]]
    )
    bench.open("ornament")
    question = page.locator("#question-ornament")
    question.get_by_role("button", name="Add a motif").click()
    bench.now("m.state.job.motif.length === 1")
    # What is added is gone on with by keys alone.
    assert page.evaluate("document.activeElement.closest('.entry') !== null")
    question.get_by_role("button", name="Draw another one").focus()
    page.keyboard.press("Enter")
    bench.now("m.state.job.motif[0].seed === 2")
    width = question.get_by_label("Width of the bands")
    width.fill("80 mm")
    width.press("Enter")
    question.locator(".wrong").wait_for()
    assert width.get_attribute("aria-invalid") == "true"
    assert "=" not in question.locator(".wrong").inner_text()
    width.press("Escape")
    # More strands than there is room for: how many fit is one click away.
    strands = question.get_by_label("Strands", exact=True)
    strands.fill("40")
    strands.press("Enter")
    bench.now("m.state.answers.ornament?.length")
    question.locator(".answers button, button.answer").first.click()
    bench.now(f"{MADE} && m.state.made.carved")
    bench.until("document.querySelector('#drawing .leather .carved') !== null")
    # A wrong file changes nothing and says why beside its button; the right one is woven and shown.
    chooser = question.locator("input[type=file]")
    chooser.set_input_files(tmp_path / "notes.txt")
    question.locator(".wrong").wait_for()
    assert "is no SVG or DXF file" in question.locator(".wrong").inner_text()
    assert bench.state()["job"]["motif"][0]["kind"] == "filling"
    chooser.set_input_files(tmp_path / "rings.svg")
    bench.now("m.state.job.motif[0].file === 'rings.svg'")
    set_values(bench, [[["motif", 0, "width"], "3 mm"], [["motif", 0, "apart"], "0.8 mm"]])
    bench.now(f"{MADE} && m.state.made.ornament.some((words) => words.includes('2 crossings'))")
    bench.until("document.querySelectorAll('#drawing .curves .carved').length === 1")
    assert bench.barriers() == []
    bench.open("files")
    assert "The ornament to trace and carve" in page.inner_text("#question-files")
    bench.close()
