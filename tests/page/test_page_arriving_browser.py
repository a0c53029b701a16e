"""Files, folders and archives let go over the bench, two windows on it, and a server that is gone."""

import io
import json
import zipfile

import pytest

from tests.page.browsing import Bench
from tests.scan.scan_files import gltf_content, obj_bytes, tube

pytestmark = [pytest.mark.browser, pytest.mark.xdist_group("page")]

LIMB = tube(columns=24, rows=20)
JOB = '[scan]\nfile = "shin.obj"\nlimb = "lower leg"\nside = "left"\n[wear]\nease = "17 mm"\n'
STRIPS = """load = "10 kg"
width = "25 mm"
thickness = "3 mm"
strip = [
  { direction = "along", L0 = "100 mm", L2 = "104 mm" },
  { direction = "across", L0 = "100 mm", L2 = "106 mm" },
]
"""
MESSAGE = "document.querySelector('#message p').textContent"


def written(folder):
    """A phone's three files, a folder with a glTF in two files, and the bench's own ZIP."""
    three = folder / "three"
    three.mkdir()
    (three / "leg.jpg").write_bytes(b"\xff\xd8\xff\xe0" + bytes(3_000_000))
    (three / "leg.mtl").write_text("newmtl skin\nmap_Kd leg.jpg\n")
    (three / "leg.obj").write_bytes(obj_bytes(*LIMB, first_line="mtllib leg.mtl"))
    export = folder / "export"
    (export / "parts").mkdir(parents=True)
    content, data = gltf_content(LIMB[0] / 1000.0, LIMB[1])
    content["buffers"][0]["uri"] = "parts/points.bin"
    (export / "shin.gltf").write_text(json.dumps(content))
    (export / "parts" / "points.bin").write_bytes(data)
    (export / ".DS_Store").write_bytes(b"\x00\x00\x00\x01Bud1")
    own = io.BytesIO()
    with zipfile.ZipFile(own, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("job.toml", JOB + '[leather]\nlimits = "hide.toml"\n')
        archive.writestr("report.json", "{}")
        archive.writestr("shin.obj", obj_bytes(*LIMB))
        archive.writestr("hide.toml", STRIPS)
    (folder / "calfskin.zip").write_bytes(own.getvalue())


def test_what_is_let_go_over_the_bench_is_understood_and_a_lost_server_is_told(browser, served, tmp_path):
    written(tmp_path)
    bench = Bench(browser, served.start())
    page = bench.page

    three = tmp_path / "three"
    bench.drop(three / "leg.jpg", three / "leg.mtl", three / "leg.obj")
    bench.now("m.state.scan_name === 'leg.obj'", 20)
    assert page.evaluate(MESSAGE) == "leg.jpg and leg.mtl are not needed."
    assert page.locator("#message.note").is_visible()

    bench.drop(tmp_path / "export")
    bench.now("m.state.scan_name === 'shin.gltf' && m.state.scan?.faces > 0", 20)

    bench.drop(three / "leg.jpg")
    bench.until(f"{MESSAGE}.includes('leg.jpg is a JPEG picture')", 10)
    assert page.locator("#message.note").count() == 0
    assert bench.state()["scan_name"] == "shin.gltf"

    bench.drop(tmp_path / "calfskin.zip")
    bench.now("m.state.scan_name === 'shin.obj'", 20)
    state = bench.state()
    assert state["job"]["wear"]["ease"] == "17 mm"
    assert (state["job"]["leather"]["limits"], state["strips"]["name"]) == ("hide.toml", "hide.toml")

    # Another browser is let in by an address that this window asks for, and both show the same.
    page.click("#another-window")
    address = page.locator("#another code").inner_text(timeout=5000)
    other = Bench(browser, address)
    assert other.state()["scan_name"] == "shin.obj"
    bench.page.evaluate("import('/static/requests.js').then(m => m.set([[['wear', 'ease'], '12 mm']]))")
    other.now("m.state.job.wear.ease === '12 mm'", 10)
    other.page.evaluate("import('/static/requests.js').then(m => m.set([[['leather', 'thickness'], '4 mm']]))")
    bench.now("m.state.job.leather.thickness === '4 mm' && m.state.job.wear.ease === '12 mm'", 10)
    bench.page.evaluate("import('/static/requests.js').then(m => m.post('/do/undo'))")
    other.page.evaluate("import('/static/requests.js').then(m => m.post('/do/undo'))")
    bench.now("m.state.job.wear.ease === '17 mm'", 10)
    other.close()
    assert bench.barriers() == []
    assert [fault for fault in bench.faults if "422" not in fault] == []  # the picture alone was refused

    # What is typed in and not sent stays, and the sentence stays, until the server can be heard again.
    bench.open("under")
    typed = page.locator("#question-under input").first
    typed.fill("21 mm")
    assert page.locator("#lost").is_hidden()
    served.kill()
    page.locator("#lost").wait_for(timeout=10_000)
    assert "start calfskin page again" in page.locator("#lost").inner_text()
    bench.page.click("#undo", force=True)
    assert page.locator("#lost").is_visible()
    assert typed.input_value() == "21 mm"
    assert bench.barriers() == []
    bench.close()
    again = Bench(browser, served.start())
    assert again.state()["scan_name"] == "shin.obj"
    again.close()
