"""All choices of edges, seams, darts and what is cut, made on the bench by pointer and by keyboard alone."""

import os
import subprocess

import pytest

from cli.demo import SCANS
from tests.page.browsing import CALFSKIN, READY, ROOT, Bench

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]


AT_KNEE = 60.0
"""mm from the limb's middle to its skin below the knee."""


@pytest.fixture
def bench(browser, served):
    """The demo leg as it is first shown, coarse and judged by nothing."""
    bench = Bench(browser, served.start(), viewport={"width": 1440, "height": 900})
    bench.page.click("#empty [data-do=demo]")
    bench.now("m.state.worn && m.state.curves")
    quick = "[[['output', 'mesh'], 'quick'], [['output', 'bound'], false], [['output', 'advice'], false]]"
    bench.page.evaluate(f"import('/static/requests.js').then(m => m.set({quick}))")
    yield bench
    faults = bench.faults
    bench.close()
    assert not faults


def choose(bench, question, label, value, *, within=""):
    """Answer a field by its label, as a maker reads it; by keyboard: the field is gone to, written in, and left."""
    bench.open(question)
    field = bench.page.locator(f"#question-{question} {within}").get_by_label(label, exact=True).locator("visible=true")
    if field.evaluate("(input) => input.tagName") == "SELECT":
        field.select_option(label=value)
    else:
        field.focus()
        bench.page.keyboard.press("Control+a")
        bench.page.keyboard.type(value)
        bench.page.keyboard.press("Enter")


def job(bench):
    return bench.state()["job"]


def test_every_choice_is_made_with_pointer_and_keys_and_gives_the_command_lines_bytes(bench, tmp_path):
    page = bench.page

    # A dart by a click near the top edge, and moved by the arrows of its tip.
    bench.open("darts")
    page.click("#pick-dart")
    page.mouse.click(*bench.place(0.5, 285.0, reach=AT_KNEE))
    bench.now("m.state.job.dart.length === 1 && m.state.curves?.darts.length === 1")
    (dart,) = job(bench)["dart"]
    assert (dart["edge"], dart["depth"]) == ("top", "60 mm")
    assert dart["along"] == pytest.approx(28.6, abs=2.5)
    page.locator("[data-key=dart-0]").focus()
    page.keyboard.press("ArrowUp")
    bench.now("m.state.job.dart[0].depth !== '60 mm'")
    assert float(job(bench)["dart"][0]["depth"].split()[0]) == pytest.approx(59.0, abs=0.3)
    assert job(bench)["dart"][0]["along"] == dart["along"]

    # One where a seam's gap is is refused in words, and another by keys alone: Enter sets it at the cross.
    page.click("[data-turn='2']")
    page.click("#pick-dart")
    bench.click_limb(3.14, 240.0)
    bench.until("!document.getElementById('message').hidden")
    assert "lies in the gap of a seam" in page.inner_text("#message")
    bench.faults[:] = [fault for fault in bench.faults if "422" not in fault]
    page.locator("#message button").click()
    page.click("[data-turn='1']")
    page.locator("#pick-dart").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    bench.now("m.state.job.dart.length === 2")
    assert job(bench)["dart"][1]["along"] == pytest.approx(90.0, abs=10.0)
    choose(bench, "darts", "When worn", "it stays open (a slash)", within="[data-dart='1']")
    bench.now("m.state.job.dart[1].kind === 'slash'")
    choose(bench, "darts", "How deep it is", "30 mm", within="[data-dart='1']")
    bench.now("m.state.job.dart[1].depth === '30 mm' && m.state.job.dart[1].opening === '10 mm'")

    # What is refused is said beside its field, and nothing is applied.
    choose(bench, "darts", "How deep it is", "500 mm", within="[data-dart='1']")
    bench.until("document.querySelector('[data-dart=\"1\"] .wrong') !== null")
    assert "15 to 400 mm" in page.inner_text("[data-dart='1'] .wrong")
    bench.faults[:] = [fault for fault in bench.faults if "422" not in fault]
    page.keyboard.press("Escape")
    assert job(bench)["dart"][1]["depth"] == "30 mm"

    # Edges: through points, one more by a click, one less by its button; arched by a figure.
    choose(bench, "edges", "It runs", "through points of my own", within="fieldset:nth-of-type(1)")
    bench.now("m.state.job.edges.top.points.length === 4")
    page.click("[data-turn='0']")
    page.click("[data-pick-edge=top]")
    page.mouse.click(*bench.place(0.4, 318.0, reach=AT_KNEE))
    bench.now("m.state.job.edges.top.points.length === 5")
    bearing, height = job(bench)["edges"]["top"]["points"][1]
    assert (bearing, float(height.split()[0])) == (pytest.approx(22.9, abs=3.0), pytest.approx(318.0, abs=4.0))
    page.locator("#question-edges .away").nth(1).click()
    bench.now("m.state.job.edges.top.points.length === 4")
    choose(bench, "edges", "It runs", "higher in front and behind", within="fieldset:nth-of-type(2)")
    bench.now("m.state.job.edges.bottom.shape === 'arched'")
    choose(bench, "edges", "Higher in front and behind by", "25 mm")
    bench.now("m.state.job.edges.bottom.by === '25 mm'")

    # A strapped seam, its straps at heights of their own; a second seam that is riveted, skived, on top from a side.
    choose(bench, "opening", "It is", "strapped")
    choose(bench, "opening", "The straps sit", "at heights of my own")
    bench.now("m.state.job.seam[0].at.length === 2")
    choose(bench, "opening", "Heights of their middles", "80 mm, 200 mm")
    choose(bench, "opening", "Each strap", "runs through slots")
    bench.now("m.state.job.seam[0].hold === 'slots'")
    page.click("#add-seam")
    bench.now("m.state.job.seam.length === 2")
    second = {"within": "[data-seam='1']"}
    choose(bench, "opening", "It runs along", "the inside", **second)
    choose(bench, "opening", "It is", "riveted", **second)
    choose(bench, "opening", "On top lies the leather", "from the front", **second)
    choose(bench, "opening", "Both layers are thinned there", "to half their thickness", **second)
    choose(bench, "opening", "From rivet to rivet", "35 mm", **second)
    bench.now("m.state.job.seam[1].pitch === '35 mm'")
    assert job(bench)["seam"][0]["at"] == ["80 mm", "200 mm"]
    assert {key: job(bench)["seam"][1][key] for key in ("along", "kind", "on_top", "skive")} == {
        "along": "inside",
        "kind": "riveted",
        "on_top": "front",
        "skive": "auto",
    }

    # Lips, lines, corners; the pair.
    choose(bench, "finish", "Bottom edge, by", "4 mm")
    choose(bench, "finish", "Border for carving", "6 mm")
    choose(bench, "finish", "Corners rounded by", "9 mm")
    choose(bench, "pieces", "It is cut", "for this limb alone")
    choose(bench, "pieces", "Name on its label", "mole guard")
    bench.now("m.state.job.piece.name === 'mole guard'")
    told = job(bench)
    assert (told["edges"]["flare"]["bottom"], told["edges"]["lines"]["border"]) == ("4 mm", "6 mm")
    assert (told["piece"]["corners"], told["piece"]["pair"]) == ("9 mm", "no")

    bench.until(READY)
    assert bench.state()["unasked"] == []
    assert bench.barriers() == []
    made = {name: bench.take(name) for name in ("pattern.dxf", "report.html")}
    scan = SCANS[0].bare.file
    (tmp_path / scan).write_bytes((ROOT / "meshes" / scan).read_bytes())
    (tmp_path / "job.toml").write_bytes(bench.take("job.toml"))
    done = subprocess.run([*CALFSKIN, "make", "job.toml", "--out", "made"], cwd=tmp_path, check=False, env=os.environ)
    assert done.returncode in (0, 3)
    for name, body in made.items():
        assert (tmp_path / "made" / name).read_bytes() == body, name
