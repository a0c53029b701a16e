"""What a maker does on the bench becomes the job, and can be undone."""

import asyncio
import io
import zipfile
from types import SimpleNamespace

import pytest

from cli.page import work as work_module
from cli.page.edits import EditError
from cli.page.folder import Folder
from cli.page.session import Session, SessionError
from cli.page.state import page_state
from cli.page.updates import Done, JobMade
from flatten.job.errors import JobError
from flatten.job.text import job_text
from flatten.leather.model import LeatherError
from tests.analytic_jobs import found_on
from tests.limbs import cylinder
from tests.page.arrived import arrived, brought
from tests.page.idle import IdleWorker
from tests.page.test_page_unasked import RICH


def ease(session):
    return session.state.job.wear.ease


def test_a_change_can_be_undone_and_done_again(session):
    session.take_demo()
    session.change([(["wear", "ease"], "12 mm")])
    session.change([(["wear", "ease"], "14 mm")])
    session.undo()
    assert ease(session) == 12.0
    session.undo()
    assert ease(session) == 8.0
    session.redo()
    assert ease(session) == 12.0
    session.change([(["wear", "ease"], "9 mm")])
    with pytest.raises(SessionError):
        session.redo()


def test_a_seam_is_added_where_most_leather_is_and_taken_away_again(session):
    session.take_demo()
    session.add_seam()
    session.add_seam()
    seams = session.state.job.seam
    assert [(seam.name, seam.along, seam.kind) for seam in seams] == [
        ("back", "back", "laced"),
        ("front", "front", "laced"),
        ("outside", "outside", "laced"),
    ]
    session.change([(["seam", 1, "name"], "shin"), (["seam", 1, "kind"], "riveted"), (["seam", 1, "along"], 20)])
    session.remove_seam(0)
    assert [(seam.name, seam.kind, seam.along) for seam in session.state.job.seam] == [
        ("shin", "riveted", 20),
        ("outside", "laced", "outside"),
    ]
    for _ in range(4):
        session.undo()
    assert [seam.name for seam in session.state.job.seam] == ["back"]


def test_an_added_seam_takes_no_name_that_is_there(session):
    session.take_text(
        '[scan]\nfile = "leg.ply"\n[[seam]]\nname = "front"\n[[dart]]\nname = "front 2"\n', sent_name="job.toml"
    )
    session.add_seam()
    assert [seam.name for seam in session.state.job.seam] == ["front", "front 3"]


def test_the_last_seam_stays_and_one_that_is_not_there_is_an_error(session):
    session.take_demo()
    before = session.state.job
    with pytest.raises(EditError, match="one seam must stay"):
        session.remove_seam(0)
    assert session.state.job is before
    for number in (1, -1):
        with pytest.raises(EditError, match="there is no seam"):
            session.remove_seam(number)
    session.add_seam()
    with pytest.raises(EditError, match="there is no seam"):
        session.remove_seam(-1)


def test_what_the_page_does_not_ask_about_survives_every_change(session):
    session.take_text(RICH, sent_name="job.toml")
    opened = session.state.job
    session.change([(["wear", "ease"], "12 mm"), (["edges", "top", "front"], "310 mm")])
    session.add_seam()
    session.remove_seam(2)
    session.undo()
    session.redo()
    arrived(session, "other.ply")
    table, before = session.state.job.model_dump(mode="json"), opened.model_dump(mode="json")
    assert (table["wear"].pop("ease"), before["wear"].pop("ease")) == ("12 mm", "8 mm")
    assert (table["edges"]["top"].pop("front"), before["edges"]["top"].pop("front")) == ("310 mm", "auto")
    assert (table["scan"].pop("file"), before["scan"].pop("file")) == ("other.ply", "leg.ply")
    assert table == before
    assert Session(Folder(session.folder.path)).state.job == session.state.job


def test_what_is_set_again_to_the_same_is_no_step(session):
    session.take_demo()
    session.change([(["wear", "ease"], "8 mm")])
    with pytest.raises(SessionError):
        session.undo()


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (["wear", "ease"], "abc"),
        (["wear", "eas"], "3 mm"),
        (["wear", "ease", "more"], "3 mm"),
        (["seam", 7, "gap"], "3 mm"),
        (["leather", "thickness"], "80 mm"),
        (["scan", "tape"], [{"at": "widest", "girth": "1 mm"}]),
        ([], "x"),
    ],
)
def test_a_wrong_value_changes_nothing(session, path, value):
    session.take_demo()
    before = session.state.job
    with pytest.raises(JobError):
        session.change([(path, value)])
    assert session.state.job is before


def test_every_change_is_a_newer_revision(session):
    session.take_demo()
    before = session.revision
    session.change([(["wear", "ease"], "9 mm")])
    assert session.revision > before


def test_an_opened_job_waits_for_its_scan_and_keeps_its_settings(session):
    session.take_text('[scan]\nfile = "../scans/leg.ply"\n[wear]\nease = "11 mm"\n', sent_name="job.toml")
    assert session.state.scan_name is None
    assert session.state.job.scan.file == "leg.ply"
    arrived(session, "leg.ply")
    assert (session.state.scan_name, ease(session)) == ("leg.ply", 11.0)


def test_the_saved_job_opens_on_its_own_scan(session):
    session.take_demo()
    text = job_text(session.state.job)
    session.change([(["wear", "ease"], "12 mm")])
    session.take_text(text, sent_name="job.toml")
    assert ease(session) == 8.0
    assert session.state.scan_name == "harbour_watch_left_shin.ply"


def test_another_scan_keeps_the_makers_leather_and_asks_the_rest_anew(session):
    session.take_demo()
    session.change([(["leather", "thickness"], "4 mm"), (["edges", "top", "front"], "300 mm")])
    arrived(session, "other.ply")
    job = session.state.job
    assert job.leather.thickness == 4.0
    assert job.edges.top.front is None
    assert job.scan.tape == ()


STRIPS = """\
load = "10 kg"
width = "20 mm"
thickness = "3.2 mm"

[[strip]]
direction = "along"
L0 = 100.0
L2 = 106.0

[[strip]]
direction = "across"
L0 = 100.0
L2 = 104.0
"""


def test_a_strip_test_is_known_from_a_job_file_by_its_content(session):
    session.take_demo()
    session.take_text(STRIPS, sent_name="../hides/belly.TOML")
    assert session.state.job.leather.limits == "belly.toml"
    session.take_text(STRIPS, sent_name="back.toml")
    assert session.state.job.leather.limits == session.state.strips_name == "back.toml"
    session.undo()
    assert session.state.job.leather.limits == "belly.toml"


def test_readings_without_sense_change_nothing_and_are_called_by_the_makers_name(session):
    session.take_demo()
    session.take_text(STRIPS, sent_name="back.toml")
    before = session.state.job
    with pytest.raises(LeatherError, match=r"strip 1 of 'belly\.toml'"):
        session.take_text(STRIPS.replace("106.0", "90.0"), sent_name="belly.toml")
    assert session.state.job is before
    assert session.state.kept.strips.read_text() == STRIPS
    assert not session.folder.arriving.exists()


def test_a_strip_test_that_an_opened_job_names_is_to_be_brought_and_no_path_is_followed(session, client):
    session.take_demo()
    scan = session.state.scan_name
    session.take_text(f'[scan]\nfile = "{scan}"\n[leather]\nlimits = "../../etc/strips.toml"\n', sent_name="job.toml")
    state = page_state(session)
    assert state["strips"] == {"name": None, "awaited": "strips.toml"}
    session.change([(["wear", "ease"], "12 mm")])
    assert session.state.job.leather.limits == "strips.toml"
    state = client.post("/bring", content=brought({"strips.toml": STRIPS.encode()})).json()["state"]
    assert state["strips"] == {"name": "strips.toml", "awaited": None}
    with pytest.raises(JobError, match="not on the bench"):
        session.change([(["leather", "limits"], "../other.toml")])


def test_a_strip_test_is_kept_and_cleared_with_the_session(session):
    session.take_demo()
    session.take_text(STRIPS, sent_name="back.toml")
    assert Session(Folder(session.folder.path)).state.strips_name == "back.toml"
    session.clear()
    assert list(session.folder.path.iterdir()) == []


def test_the_archive_holds_what_makes_the_files_again(session, client):
    session.take_demo()
    session.take_text(STRIPS, sent_name="back.toml")
    files = (("pattern.dxf", b"dxf"), ("job.toml", job_text(session.state.job).encode()))
    session.state.made, session.state.made_job = JobMade(SimpleNamespace(files=files)), session.state.job
    scan = session.state.scan_name

    def archived():
        entries = zipfile.ZipFile(io.BytesIO(client.get("/take/calfskin.zip").content))
        return {name: entries.read(name) for name in entries.namelist()}

    assert archived() == {
        **dict(files),
        scan: session.state.kept.scan_path(scan).read_bytes(),
        "back.toml": STRIPS.encode(),
    }
    # A strip test that the job no longer goes by is left out.
    session.change([(["leather", "limits"], "dry")])
    session.state.made_job = session.state.job
    assert set(archived()) == {"pattern.dxf", "job.toml", scan}


def test_a_strip_test_comes_after_there_is_a_job(session):
    with pytest.raises(SessionError, match="bring a scan first"):
        session.take_text(STRIPS, sent_name="back.toml")


def test_the_session_is_there_after_a_new_start(session, monkeypatch):
    session.take_demo()
    session.change([(["wear", "ease"], "12 mm")])
    with pytest.raises(SessionError, match="limb is not found yet"):
        session.agree_front()
    session.state.limb = found_on(cylinder())
    session.agree_front()
    again = Session(Folder(session.folder.path))
    assert (ease(again), again.state.front) == (12.0, session.state.front)
    assert again.state.front is not None
    assert again.state.scan_name == "harbour_watch_left_shin.ply"


def test_clearing_leaves_nothing(session):
    session.take_demo()
    session.clear()
    assert session.state.job is None
    assert list(session.folder.path.iterdir()) == []


class SlowWorker(IdleWorker):
    """A preview takes until it gives way; what was asked of it is kept."""

    def __init__(self):
        self.requested, self.left = [], asyncio.Event()

    def give_way(self):
        self.left.set()

    async def updates(self, request):
        self.requested.append(request.job)
        await self.left.wait()
        self.left.clear()
        yield Done()


def test_a_newer_change_lets_a_running_preview_give_way_and_only_the_last_is_finished(tmp_path, monkeypatch):
    monkeypatch.setattr(work_module, "Worker", SlowWorker)

    async def two_changes():
        session = Session(Folder(tmp_path / "bench"))
        running = asyncio.create_task(session.work.run())
        session.take_demo()
        await asyncio.sleep(0)
        first = session.state.job
        for ease in ("12 mm", "14 mm"):
            session.change([(["wear", "ease"], ease)])
        session.undo()
        session.undo()
        for _ in range(10):
            await asyncio.sleep(0)
        # The demo's preview gave way, and the demo's job is wanted again: no fine pattern before its own preview.
        assert session.work._quick.requested == [first, first]
        assert session.work._fine_task is None
        running.cancel()

    asyncio.run(two_changes())
