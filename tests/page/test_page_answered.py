"""What the page answers to a browser that asks, and to one that asks for what it must not have."""

import json
import re
from importlib.resources import files
from pathlib import Path

import pytest

from cli.page.palette import PAGE
from cli.page.updates import LeatherLaid
from flatten.report.palette import css_variables
from tests.page.arrived import brought
from tests.scan.scan_files import ply_bytes, tube


def test_a_path_that_is_sent_is_only_a_name(client, session, tmp_path):
    client.post("/bring", content=brought({"/etc/evil.ply": ply_bytes(*tube(columns=12, rows=6))}))
    while session.arrival is not None:
        client.get("/texts")
    assert session.state.scan_name == "evil.ply"
    there = {str(path.relative_to(tmp_path / "bench")) for path in tmp_path.rglob("*") if path.is_file()}
    assert there == {
        "bench.json",
        *(f"jobs/0001/{name}" for name in ("scan.ply", "job.toml", "note.json", "steps.json")),
    }


def test_only_the_known_files_can_be_taken(client):
    client.post("/do/demo")
    for path in ("/take/..%2f..%2fetc%2fpasswd", "/take/scan.ply", "/static/../app.py", "/static/%2e%2e/app.py"):
        assert client.get(path).status_code in (404, 409)
    assert client.get("/take/pattern.dxf").status_code == 409
    assert client.get("/take/job.toml").headers["content-disposition"] == 'attachment; filename="job.toml"'


@pytest.mark.parametrize("body", ["", "{", "[1]", '[["a"]]', "[" * 100_000, "null"])
def test_what_is_no_list_of_changes_is_refused_in_a_sentence(client, body):
    client.post("/do/demo")
    answer = client.post("/set", content=body)
    assert answer.status_code in (409, 422)
    assert answer.json()["sentence"]


def test_a_long_list_of_changes_is_refused(client):
    assert client.post("/set", content=b"#" * 300_000).status_code == 413


def test_a_scan_that_announces_too_much_is_refused(client):
    answer = client.post("/bring", headers={"content-length": str(200 * 2**20)}, content=b"x")
    assert answer.status_code == 413
    assert "101 MB" in answer.json()["sentence"]


def test_the_page_has_no_code_or_style_inside(client):
    html = client.get("/").text
    assert "<style" not in html
    assert "style=" not in html
    assert not re.search(r"\son\w+\s*=", html)
    assert html.count("<script") == html.count('<script type="module" src="/static/')


def test_the_pages_colours_come_as_a_style_sheet(client):
    answer = client.get("/static/palette.css")
    assert answer.headers["content-type"] == "text/css; charset=utf-8"
    assert answer.text == css_variables(PAGE)
    assert "--thread: #a94b0a;" in answer.text
    html = client.get("/").text
    assert html.index('href="/static/palette.css"') < html.index('href="/static/page.css"')


def test_the_page_names_every_script_so_that_none_waits_for_another_to_be_read(client):
    static = Path(str(files("cli.page") / "static"))
    scripts = {path.relative_to(static).as_posix() for path in static.rglob("*.js")} - {"main.js"}
    assert set(re.findall(r'<link rel="modulepreload" href="/static/([^"]+)">', client.get("/").text)) == scripts


def test_the_state_is_plain_json(client):
    client.post("/do/demo")
    state = client.post("/set", content=json.dumps([[["wear", "ease"], "10 mm"]])).json()
    assert state["job"]["wear"]["ease"] == "10 mm"
    assert state["can_undo"] is True


def test_a_payload_that_a_newer_one_has_replaced_is_no_fault_and_not_mistaken_for_it(client, session):
    client.post("/do/demo")
    assert client.get("/payload/leather?3").status_code == 204
    session.state.leather, session.state.payloads["leather"] = LeatherLaid(b"leather", False, None), 7
    assert client.get("/payload/leather?7").content == b"leather"
    for number in ("6", "77", ""):
        answer = client.get(f"/payload/leather?{number}")
        assert (answer.status_code, answer.content) == (204, b"")
    assert client.get("/payload/pattern?7").status_code == 404


def test_seams_are_added_and_taken_away_by_the_page(client):
    client.post("/do/demo")
    assert [seam["name"] for seam in client.post("/do/add-seam").json()["job"]["seam"]] == ["back", "front"]
    assert [seam["name"] for seam in client.post("/do/remove-seam?seam=0").json()["job"]["seam"]] == ["front"]
    for asked in ("", "?seam=x", "?seam=-1", "?seam=²", "?seam=" + "9" * 5000, "?seam=0"):
        assert client.post(f"/do/remove-seam{asked}").status_code == 422


def test_the_colours_of_the_page_are_the_reports(client):
    ramp = client.post("/do/demo").json()["ramp"]
    kinds = [band["kind"] for band in ramp["bands"]]
    assert kinds == ["q4", "q3", "q2", "q1", "even", "s1", "s2", "s3", "s4", "s5", "s6", "s7"]
    assert (len(ramp["squeeze"]), len(ramp["stretch"])) == (4, 7)
    assert ramp["bands"][6]["words"] == f"{100 * ramp['stretch'][1]:.0f}–{100 * ramp['stretch'][2]:.0f}"
