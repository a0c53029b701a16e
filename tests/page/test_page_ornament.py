"""Ornament on the page: motifs asked for, drawings brought, what is carved shown, and what lets a motif fit."""

import io
import json
import zipfile

import numpy as np
import pytest
import shapely
from threadpoolctl import threadpool_limits

from cli.demo import SCANS
from cli.page.answers import woven
from cli.page.brought import recognised
from cli.page.seen import BroughtError, Item
from cli.page.stages import Stages, question_of
from cli.page.state import page_state
from cli.page.updates import JobMade, WorkRequest
from flatten.job.ornamented import MotifError
from flatten.job.text import read_job
from flatten.limb.kind import QUARTERS
from flatten.making import make
from flatten.ornament.model import OrnamentError
from flatten.ornament.sheets import CARVED
from flatten.pattern.path import polyline
from tests.page.arrived import brought

RINGS = (
    b'<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="-30 -20 60 40" fill="none" '
    b'stroke="black"><circle cx="-8" r="14"/><circle cx="8" r="14"/></svg>'
)
QUICK = [(["output", "mesh"], "quick"), (["output", "bound"], False), (["output", "advice"], False)]
ON_ALL = (["ornament", "calm_only"], False)


@pytest.fixture
def leg(session):
    """The demo leg, cut short at the ankle's side: a piece of a third of the size."""
    session.take_demo()
    session.change([*QUICK, ON_ALL, *[(["edges", "bottom", quarter], "150 mm") for quarter in QUARTERS]])
    return session


def worked(session):
    """What the fine worker makes of the job on the bench."""
    updates = []
    kept = session.state.kept
    request = WorkRequest(session.state.job, kept.scan_path(SCANS[0].file), 1, fine=True, companions=kept.companions)
    with threadpool_limits(1):
        Stages().run(request, updates.append)
    for update in updates:
        session.work.apply(update, request)
    return [item for item in updates if isinstance(item, JobMade)][-1]


def bring(client, key, name, data):
    return client.post(f"/companion/{key}", content=brought({name: data}))


def test_a_drawing_is_brought_woven_shown_and_taken_along(leg, client, tmp_path):
    """Files equal to the command line's, byte for byte; and what is shown of it is what is cut."""
    leg.change([(["motif"], [{"kind": "filling"}])])
    assert bring(client, "motif.0.file", "my rings.svg", RINGS).status_code == 200
    motif = leg.state.job.motif[0]
    assert (motif.kind, motif.file) == ("drawing", "my rings.svg")
    leg.change([(["motif", 0, "width"], "3 mm"), (["motif", 0, "apart"], "0.8 mm")])
    done = worked(leg)
    told = page_state(leg)
    assert told["made"]["ornament"][0].startswith("The drawing: 2 strands that come back, 2 crossings")
    payload = client.get(f"/payload/carved?{told['made']['carved']}").content
    arrays = unpacked(payload)
    (limb,) = done.result.report.limbs
    piece = limb.pieces[0]
    carved = shapely.MultiLineString([polyline(mark.path, 0.01) for mark in piece.marks if mark.kind == CARVED])
    flat = limb.panels[0].flat
    shown = arrays["flat"] - [0.0, np.float32((flat.panel.heights - flat.uv[:, 1]).mean())]
    away = shapely.distance(shapely.points(shown), carved)
    # The piece has its lines within a fiftieth of a mm of what was worked out, the page within a hundredth.
    assert away.max() < 0.03
    # On the limb lines are as long as on the flat piece, but for what the leather gives.
    pairs = np.delete(np.arange(len(shown) - 1), arrays["starts"][1:].astype(int) - 1)
    lengths = [np.linalg.norm(np.diff(arrays[name], axis=0)[pairs], axis=1).sum() for name in ("flat", "worn")]
    assert 0.93 < lengths[1] / lengths[0] < 1.1

    archive = zipfile.ZipFile(io.BytesIO(client.get("/take/calfskin.zip").content))
    assert archive.read("my rings.svg") == RINGS
    archive.extractall(tmp_path / "out")
    again = dict(make(read_job(tmp_path / "out" / "job.toml"), folder=tmp_path / "out", out=tmp_path / "out").files)
    assert {name: archive.read(name) for name in again} == again
    assert {"tooling.pdf"} < set(again)

    # The ZIP comes back with its drawing, as one more job.
    files = [Item(f"calfskin.zip/{name}", archive.read(name)) for name in archive.namelist()]
    (place, item), *others = recognised(files).companions
    assert (place.path, item.name, others) == (("motif", 0, "file"), "my rings.svg", [])


def unpacked(payload):
    length = int.from_bytes(payload[:4], "little")
    head = json.loads(payload[4 : 4 + length])
    kinds = {"f4": "<f4", "u4": "<u4", "u1": "u1"}
    found = {}
    for name, told in head["arrays"].items():
        count = int(np.prod(told["shape"]))
        found[name] = np.frombuffer(payload, kinds[told["kind"]], count, 4 + length + told["start"])
        found[name] = found[name].reshape(told["shape"])
    return found


def test_a_step_that_is_undone_finds_its_own_drawing(leg, client):
    """A second file of the same name does not take the first one's place; the same file again is the same."""
    leg.change([(["motif"], [{"kind": "border"}])])
    other = RINGS.replace(b"14", b"12")
    names = []
    for data in (RINGS, other, RINGS):
        bring(client, "motif.0.file", "rings.svg", data).raise_for_status()
        names.append(leg.state.job.motif[0].file)
    assert names == ["rings.svg", "rings (2).svg", "rings.svg"]
    leg.undo()
    assert (leg.state.kept.companions / leg.state.job.motif[0].file).read_bytes() == other
    # What is made again has no file, and lies along no side.
    leg.change([(["motif", 0, "kind"], "filling")])
    assert leg.state.job.motif[0].file == ""


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("rings.png", b"\x89PNG", "is no SVG or DXF file"),
        ("rings.svg", b"<svg", "rings.svg"),
        ("rings.svg", b'<svg xmlns="http://www.w3.org/2000/svg" width="9mm" height="9mm"/>', "has no lines"),
        ("rings.dxf", b"no drawing", "rings.dxf"),
        ("con.svg", b"", "con.svg"),
        ("../../rings.svg", b"<!DOCTYPE a [<!ENTITY b 'c'>]><svg>&b;</svg>", "rings.svg"),
    ],
)
def test_what_is_no_drawing_is_refused_in_one_sentence_and_nothing_is_changed(leg, client, name, data, said):
    leg.change([(["motif"], [{}])])
    before = leg.state.job
    answer = bring(client, "motif.0.file", name, data)
    assert answer.status_code == 422
    assert said in answer.json()["sentence"]
    assert leg.state.job is before
    folder = leg.state.kept.companions
    assert not folder.exists() or list(folder.iterdir()) == []


def test_a_file_is_kept_in_the_jobs_own_folder_whatever_it_is_called(leg, client):
    leg.change([(["motif"], [{}])])
    for sent in ("../../../rings.svg", "a\\b\\rings.svg", "ri<ng>s?.svg", "aux.svg", ".svg.svg"):
        bring(client, "motif.0.file", sent, RINGS).raise_for_status()
        kept = leg.state.kept.companions / leg.state.job.motif[0].file
        assert kept.is_file()
        assert kept.parent == leg.state.kept.companions
    assert bring(client, "motif.7.file", "rings.svg", RINGS).status_code == 422
    assert bring(client, "scan.file", "rings.svg", RINGS).status_code == 422


def test_a_drawing_that_is_dropped_is_told_where_it_belongs():
    with pytest.raises(BroughtError, match="bring it where one is asked for: under Ornament"):
        recognised([Item("rings.svg", RINGS)])


def test_what_lets_a_motif_fit_is_a_button_that_lifts_what_was_said(leg):
    """On this guard a filling that keeps off all leather that moves finds no room."""
    leg.change([(["edges", "bottom", quarter], "110 mm") for quarter in QUARTERS])
    leg.change([(["ornament", "calm_only"], True), (["motif"], [{"strands": 16}])])
    (limb,) = worked(leg).result.report.limbs
    assert [each.code for each in limb.findings if each.code.startswith("ornament.")] == ["ornament.left out"]
    (answer,) = woven(leg.state.job, limb.findings)
    assert page_state(leg)["answers"]["ornament"] == [answer]
    leg.change([(path, value) for path, value in answer["changes"]])
    (limb,) = worked(leg).result.report.limbs
    assert [each.code for each in limb.findings if each.code.startswith("ornament.left")] == []
    assert woven(leg.state.job, limb.findings) == []
    assert len(limb.ornaments[0].motifs) == 1


def test_an_open_end_is_mended_at_one_click(leg, client):
    leg.change([(["motif"], [{}])])
    open_end = RINGS.replace(b'<circle cx="8" r="14"/>', b'<path d="M-4 0H60"/>')
    bring(client, "motif.0.file", "open.svg", open_end).raise_for_status()
    leg.change([(["motif", 0, "width"], "3 mm")])
    (limb,) = worked(leg).result.report.limbs
    (answer,) = woven(leg.state.job, limb.findings)
    assert answer["changes"] == [[["motif", 0, "mend"], True]]


def test_errors_about_ornament_belong_to_its_question():
    assert question_of(MotifError("x")) == question_of(OrnamentError("x")) == "ornament"


def test_a_job_without_a_motif_sends_nothing_that_is_carved(leg):
    assert worked(leg).carved == b""
    assert page_state(leg)["made"]["carved"] == 0
    assert "tooling.pdf" not in dict(leg.state.made.result.files)
