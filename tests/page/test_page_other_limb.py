"""The other limb's own scan on the page: brought, worked with, taken along, given up; and what it is refused for."""

import io
import zipfile

import pytest
from threadpoolctl import threadpool_limits

from cli.demo import SCANS
from cli.page.brought import recognised
from cli.page.seen import Item
from cli.page.stages import Stages, WorkError
from cli.page.state import page_state
from cli.page.unasked import unasked_settings
from cli.page.updates import JobMade, WorkRequest
from flatten.job.text import read_job
from flatten.limb.kind import QUARTERS
from flatten.making import make
from tests.page.arrived import brought

QUICK = [(["output", "mesh"], "quick"), (["output", "bound"], False), (["output", "advice"], False)]


@pytest.fixture
def leg(session):
    session.take_demo()
    session.change([*QUICK, *[(["edges", "bottom", quarter], "170 mm") for quarter in QUARTERS]])
    return session


@pytest.fixture(scope="module")
def right():
    """The demo leg turned into its mirror image and a little thicker: a right one."""
    import trimesh

    from tests.page.browsing import ROOT

    scan = trimesh.load(ROOT / "meshes" / SCANS[0].file, process=False)
    scan.apply_transform([[-1.02, 0, 0, 0], [0, 1.02, 0, 0], [0, 0, 1.0, 0], [0, 0, 0, 1]])
    return scan.export(file_type="ply")


def request(session):
    kept = session.state.kept
    return WorkRequest(session.state.job, kept.scan_path(SCANS[0].file), 1, fine=True, companions=kept.companions)


def worked(session):
    updates = []
    with threadpool_limits(1):
        Stages().run(request(session), updates.append)
    for update in updates:
        session.work.apply(update, request(session))
    return [item for item in updates if isinstance(item, JobMade)][-1]


@pytest.mark.parametrize("pair", ["own scan", "mean"])
def test_both_limbs_are_cut_as_the_command_line_cuts_them(leg, client, right, tmp_path, pair):
    assert client.post("/companion/other_scan.file", content=brought({"right leg.ply": right})).status_code == 200
    assert (leg.state.job.piece.pair, leg.state.job.other_scan.file) == ("own scan", "right leg.ply")
    assert unasked_settings(leg.state.job) == []
    leg.change([(["piece", "pair"], pair), (["other_scan", "unit"], "mm")])
    limbs = worked(leg).result.report.limbs
    assert [limb.limb.side for limb in limbs] == (["left", "right"] if pair == "own scan" else ["left"])
    told = page_state(leg)["made"]
    assert len(told["pieces"]) == 1
    assert len(told["others"]) == (pair == "own scan")
    archive = zipfile.ZipFile(io.BytesIO(client.get("/take/calfskin.zip").content))
    archive.extractall(tmp_path / "out")
    again = dict(make(read_job(tmp_path / "out" / "job.toml"), folder=tmp_path / "out", out=tmp_path / "out").files)
    assert {name: archive.read(name) for name in again} == again
    # The ZIP comes back as one job with both scans.
    found = recognised([Item(f"calfskin.zip/{name}", archive.read(name)) for name in archive.namelist()])
    assert [scan.name for scan in found.scans] == [SCANS[0].file]
    assert [(place.path, item.name) for place, item in found.companions] == [(("other_scan", "file"), "right leg.ply")]


def test_a_pair_by_one_scan_alone_gives_the_other_scan_up_and_undo_brings_it_back(leg, client, right):
    client.post("/companion/other_scan.file", content=brought({"right.ply": right})).raise_for_status()
    leg.change([(["piece", "pair"], "mirrored")])
    assert leg.state.job.other_scan.file == ""
    leg.undo()
    assert (leg.state.job.piece.pair, leg.state.job.other_scan.file) == ("own scan", "right.ply")


def test_what_is_no_scan_is_refused_and_what_shows_no_limb_is_told_at_its_question(leg, client):
    before = leg.state.job
    for name, data in (("right.jpg", b"\xff\xd8"), ("right.ply", b"no scan at all")):
        assert client.post("/companion/other_scan.file", content=brought({name: data})).status_code == 422
        assert leg.state.job is before
    cube = b"solid\n" + b"facet normal 0 0 1\nouter loop\nvertex 0 0 0\nvertex 9 0 0\nvertex 0 9 0\nendloop\nendfacet\n"
    client.post("/companion/other_scan.file", content=brought({"cube.stl": cube + b"endsolid\n"})).raise_for_status()
    with pytest.raises(WorkError, match="of the other limb's scan: ") as caught:
        Stages().run(request(leg), lambda update: None)
    assert caught.value.question == "pieces"
