"""All files that a job on the bench makes: plates, lining, mock-up, former, layout; and a strip test that is typed."""

import io
import zipfile

import pytest
from threadpoolctl import threadpool_limits

from cli.demo import SCANS
from cli.page.companions import CompanionError
from cli.page.session import SessionError
from cli.page.stages import Stages, question_of
from cli.page.updates import JobMade, WorkRequest
from flatten.drawing.kerf import KerfError
from flatten.former.model import FormerError
from flatten.job.text import job_text, read_job
from flatten.leather.model import LeatherError
from flatten.leather.strips import read_strip_test
from flatten.limb.kind import QUARTERS
from flatten.making import make
from flatten.sheet.ground import HideError
from flatten.worn.lames import LameError
from flatten.worn.plates import PlateError

MORE = [
    (["plate"], [{"name": "shin plate", "around": ["inside", "outside"], "heights": ["190 mm", "250 mm"]}]),
    (["lining"], {"thickness": "1 mm"}),
    (["mockup", "material"], "felt"),
    (["fitting"], [{"material": "paper", "showed": ["fits at the widest"]}]),
    (["piece", "pair"], "no"),
    (["former", "kind"], "ribs"),
    (["hide"], [{"shape": "side"}]),
    (["output", "kerf", "cut"], "0.2 mm"),
    (["output", "fitting_record"], True),
]
FORM = {
    "load": "10",
    "width": "20",
    "thickness": "3.2 mm",
    "strip": [
        {"direction": "along", "L0": "100", "L1": "101", "L2": "106", "L3": "", "L4": ""},
        {"direction": "across", "L0": "100 mm", "L2": "108.5 mm", "L3": "107", "L4": "105"},
    ],
}


def test_the_bench_makes_every_file_that_the_command_line_makes(session, client, tmp_path):
    session.take_demo()
    half = [(["edges", "bottom", quarter], "180 mm") for quarter in QUARTERS]
    session.change([*half, *MORE, *[(["output", key], value) for key, value in (("mesh", "quick"), ("bound", False))]])
    session.change([(["output", "advice"], False)])
    job, scan = session.state.job, session.state.kept.scan_path(SCANS[0].file)
    updates = []
    Stages().run(WorkRequest(job, scan, 1, fine=True), updates.append)
    session.state.made = next(item for item in updates if isinstance(item, JobMade))
    session.state.made_job = job
    made = dict(session.state.made.result.files)

    (tmp_path / SCANS[0].file).write_bytes(scan.read_bytes())
    (tmp_path / "job.toml").write_text(job_text(job), "utf-8")
    with threadpool_limits(1):
        again = dict(make(read_job(tmp_path / "job.toml"), folder=tmp_path, out=tmp_path).files)
    assert made == again
    assert {"mockup.pdf", "mockup.dxf", "fitting.pdf", "former-ribs.dxf", "former-ribs.pdf", "layout.dxf"} < set(
        made
    ), sorted(made)
    archive = zipfile.ZipFile(io.BytesIO(client.get("/take/calfskin.zip").content))
    assert {name: archive.read(name) for name in again} == again
    for name, body in again.items():
        answer = client.get(f"/take/{name}")
        assert (answer.status_code, answer.content) == (200, body), name
    assert client.get("/take/former.stl").status_code == 404
    assert client.get("/take/layout.svg").headers["content-type"] == "image/svg+xml"


@pytest.mark.parametrize(
    ("error", "question"),
    [
        (PlateError("x"), "plates"),
        (LameError("x"), "plates"),
        (HideError("x"), "hides"),
        (FormerError("x"), "former"),
        (KerfError("x"), "files"),
    ],
)
def test_an_error_about_what_lies_beside_belongs_to_its_question(error, question):
    assert question_of(error) == question


@pytest.mark.parametrize(
    ("change", "question"),
    [
        ((["hide"], [{"outline": "hide.dxf"}]), "hides"),
        ((["hide"], [{"outline": "../../hide.dxf"}]), "hides"),
        ((["shop", "prices"], "prices.toml"), "files"),
        ((["motif"], [{"kind": "drawing", "file": "/reeds.svg"}]), "ornament"),
    ],
)
def test_files_that_were_not_brought_are_not_passed_over(session, change, question):
    session.take_demo()
    off = [(["output", key], False) for key in ("bound", "advice")]
    session.change([*[(["edges", "bottom", side], "200 mm") for side in QUARTERS], *off, change])
    job, scan = session.state.job, session.state.kept.scan_path(SCANS[0].file)
    with pytest.raises(CompanionError, match=r"“\w+\.\w+” (is|are) not on the bench") as caught:
        Stages().run(WorkRequest(job, scan, 1, fine=True), lambda update: None)
    assert caught.value.question == question


def test_readings_that_are_typed_in_are_the_strip_test_that_a_file_would_be(session, client):
    with pytest.raises(SessionError):
        session.take_readings(FORM)
    session.take_demo()
    told = client.post("/readings", json=FORM).json()
    assert told["job"]["leather"]["limits"] == told["strips"]["name"] == "my-strips.toml"
    test = read_strip_test(session.state.kept.strips)
    assert (test.load_kg, test.width, test.thickness) == (10.0, 20.0, 3.2)
    assert tuple(each.least for each in test.wet) == (pytest.approx(0.06), pytest.approx(0.085))
    # Typed in again as it is shown, it is the same.
    shown = told["offered"]["readings"]
    assert [row["direction"] for row in shown["strip"]] == ["along", "across"]
    before = session.state.kept.strips.read_text("utf-8")
    client.post("/readings", json=shown)
    assert session.state.kept.strips.read_text("utf-8") == before


def test_readings_without_sense_are_refused_and_the_kept_ones_stay(session, client):
    session.take_demo()
    session.take_readings(FORM)
    before = session.state.kept.strips.read_bytes()
    shrunk = {**FORM, "strip": [{**FORM["strip"][0], "L2": "90"}, FORM["strip"][1]]}
    for wrong in (shrunk, {**FORM, "load": "much"}, {**FORM, "strip": FORM["strip"][:1]}, {}, [], "x"):
        with pytest.raises(LeatherError):
            session.take_readings(wrong)
        assert client.post("/readings", json=wrong).status_code == 422
    assert client.post("/readings", content="{").status_code == 409
    assert session.state.kept.strips.read_bytes() == before


def test_the_card_and_the_strip_sheet_are_offered_on_the_jobs_paper(session, client):
    first = client.get("/card").content
    session.take_demo()
    session.change([(["output", "paper"], "Letter")])
    for address in ("/card", "/strip-sheet"):
        answer = client.get(address)
        assert answer.headers["content-type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")
    assert client.get("/card").content != first
    session.change([(["output", "paper"], "one page")])
    assert client.get("/card").content == first
