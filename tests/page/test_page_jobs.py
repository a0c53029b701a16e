"""Nothing that lay on the bench is lost: by another scan, a wrong one, a full disk, an end or a new start."""

import errno
import os
import random
import signal
import subprocess
import sys
import time
from datetime import datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from cli.page.app import page_app
from cli.page.bench import SessionError
from cli.page.folder import Folder
from cli.page.jobs import kept_jobs, worked_on
from cli.page.session import Session
from cli.page.state import page_state
from cli.page.updates import Failure
from cli.page.worker import BROKE_OFF
from flatten.words import say
from tests.analytic_jobs import found_on
from tests.limbs import cylinder
from tests.page.arrived import SCAN, arrived, found

ROOT = Path(__file__).parents[2]
DEMO = "harbour_watch_left_shin.ply"


def eased(session, *eases):
    for ease in eases:
        session.change([(["wear", "ease"], f"{ease} mm")])


def lies(session):
    state = session.state
    return state.scan_name, state.job.wear.ease if state.job else None, len(state.past)


@pytest.mark.parametrize("content", [b"", b"no scan at all"])
def test_a_wrong_file_leaves_all_as_it_lay_there_its_steps_too(session, content):
    session.take_demo()
    eased(session, 11, 12)
    before = lies(session)
    files = {path: path.read_bytes() for path in session.folder.path.rglob("*") if path.is_file()}
    session.folder.arriving.write_bytes(content)
    session.take_scan("holiday.jpg")
    found(session, Failure("holiday.jpg is no scan", "scan"))
    assert lies(session) == before
    assert page_state(session)["refused"]["sentence"] == "holiday.jpg is no scan."
    assert {path: path.read_bytes() for path in session.folder.path.rglob("*") if path.is_file()} == files
    session.undo()
    assert session.state.job.wear.ease == 11.0


def test_on_an_empty_bench_a_wrong_file_is_told_in_the_heading_and_leaves_nothing(session):
    session.folder.arriving.write_bytes(b"")
    session.take_scan("empty.ply")
    found(session, Failure("empty.ply is empty", "scan"))
    assert page_state(session)["failure"]["sentence"] == "empty.ply is empty."
    assert list(session.folder.path.iterdir()) == []


def test_a_scan_lies_on_the_bench_only_once_it_was_read(session):
    session.take_demo()
    session.folder.arriving.write_bytes(b"x")
    session.take_scan("arm.ply")
    assert session.state.scan_name == DEMO
    found(session, SCAN)
    assert session.state.scan_name == "arm.ply"


def test_steps_that_cannot_be_read_are_told_once_and_new_ones_are_kept(session):
    session.take_demo()
    eased(session, 11, 12)
    (session.state.kept.path / "steps.json").write_text("{")
    again = Session(Folder(session.folder.path))
    assert "steps of this job that could be undone are gone" in page_state(again)["refused"]["sentence"]
    assert lies(again) == (DEMO, 12.0, 0)
    eased(again, 13)
    assert page_state(again)["refused"] is None
    assert lies(Session(Folder(session.folder.path))) == (DEMO, 13.0, 1)


def test_naming_another_job_tells_that_its_steps_cannot_be_read(session):
    session.take_demo()
    demo = session.state.kept.key
    arrived(session, "arm.ply")
    again = Session(Folder(session.folder.path))
    (again.folder.job(demo).path / "steps.json").write_text("{")
    again.rename(demo, "harbour watch")
    assert "are gone" in page_state(again)["refused"]["sentence"]


def test_a_scan_whose_reading_broke_off_is_there_when_one_goes_on(session):
    session.take_demo()
    session.folder.arriving.write_bytes(b"x")
    session.take_scan("arm.ply")
    found(session, BROKE_OFF)
    state = page_state(session)
    assert "go on" in state["failure"]["sentence"]
    assert state["work"]["stopped"]
    session.go_on()
    found(session, SCAN)
    assert lies(session)[0] == "arm.ply"


@pytest.mark.parametrize("empty", [True, False])
def test_a_scan_whose_reading_broke_off_twice_is_not_laid_down(session, empty):
    if not empty:
        session.take_demo()
    session.folder.arriving.write_bytes(b"x")
    session.take_scan("arm.ply")
    found(session, BROKE_OFF)
    session.go_on()
    found(session, BROKE_OFF)
    state = page_state(session)
    told = state["failure" if empty else "refused"]["sentence"]
    assert "arm.ply was not laid down" in told
    assert "fewer faces" in told
    assert session.arrival is None
    assert len(session.folder.jobs()) == (0 if empty else 1)
    session.take_demo()
    assert lies(session)[0] == DEMO


def test_a_scan_whose_unit_is_in_doubt_is_laid_down_to_be_asked_about(session):
    session.folder.arriving.write_bytes(b"x")
    session.take_scan("arm.ply")
    found(session, Failure("which unit is it in?", "size"))
    assert session.state.scan_name == "arm.ply"
    assert session.state.failure.question == "size"


def test_laying_down_is_undone_and_done_again_with_all_steps(session):
    session.take_demo()
    eased(session, 11, 12)
    arrived(session, "arm.ply")
    eased(session, 20)
    session.undo()
    assert session.can_undo
    session.undo()
    assert lies(session) == (DEMO, 12.0, 2)
    session.undo()
    session.undo()
    assert session.state.job.wear.ease == 8.0
    assert not session.can_undo
    session.redo()
    session.redo()
    assert session.can_redo
    session.redo()
    assert session.state.scan_name == "arm.ply"
    session.redo()
    assert session.state.job.wear.ease == 20.0
    assert not session.can_redo


def test_the_demo_takes_nothing_away(session):
    arrived(session, "arm.ply")
    eased(session, 20)
    session.take_demo()
    session.undo()
    assert lies(session) == ("arm.ply", 20.0, 1)


def test_a_job_file_that_awaits_another_scan_takes_nothing_away_and_gets_its_scan(session):
    session.take_demo()
    session.take_text('[scan]\nfile = "arm.ply"\n[wear]\nease = "13 mm"\n', sent_name="job.toml")
    assert lies(session) == (None, 13.0, 0)
    eased(session, 14)
    arrived(session, "arm.ply")
    assert lies(session) == ("arm.ply", 14.0, 1)
    assert len(session.folder.jobs()) == 2
    session.undo()
    session.undo()
    assert session.state.scan_name == DEMO


def test_a_job_that_awaits_its_scan_keeps_its_steps_though_another_is_looked_at_meanwhile(session):
    session.take_demo()
    leg = session.state.kept.key
    session.take_text('[scan]\nfile = "arm.ply"\n[wear]\nease = "13 mm"\n', sent_name="job.toml")
    eased(session, 14)
    session.folder.arriving.write_bytes(b"x")
    session.take_scan("arm.ply")
    session.open(leg)
    found(session, SCAN)
    assert lies(session) == ("arm.ply", 14.0, 1)
    assert len(session.folder.jobs()) == 2


def test_undo_survives_an_end_and_a_new_start(session):
    session.take_demo()
    eased(session, 11, 12, 13)
    session.undo()
    arrived(session, "arm.ply")
    again = Session(Folder(session.folder.path))
    assert again.state.scan_name == "arm.ply"
    again.undo()
    assert lies(again) == (DEMO, 12.0, 2)
    again.undo()
    again.redo()
    assert again.state.job.wear.ease == 12.0


def test_jobs_are_listed_laid_down_named_and_deleted_one_by_one(session):
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        client.post("/do/demo")
        arrived(session, "arm.ply")
        arm, leg = kept_jobs(session)
        assert (arm["name"], arm["current"], leg["current"]) == ("arm", True, False)
        assert leg["name"].startswith("Harbour watch")
        assert leg["limb"] == "left lower leg"
        leg = leg["id"]
        state = client.post(f"/do/open-kept?job={leg}").json()
        assert state["scan_name"] == DEMO
        state = client.post(f"/do/name-kept?job={leg}&name=Harbour watch, left").json()
        assert "Harbour watch, left" in [job["name"] for job in state["jobs"]]
        state = client.post(f"/do/delete-kept?job={leg}").json()
        assert (state["job"], [job["name"] for job in state["jobs"]]) == (None, ["arm"])
        assert client.post(f"/do/open-kept?job={leg}").status_code == 409
        assert client.post("/do/clear-all").json()["jobs"] == []
        assert list(session.folder.path.iterdir()) == []


def test_a_job_that_was_on_the_bench_just_now_comes_back_with_all_that_was_known(session):
    session.take_demo()
    found(session, SCAN)
    leg = session.state.kept.key
    arrived(session, "arm.ply")
    session.open(leg)
    assert session.state.scan is SCAN


def test_when_a_job_was_worked_on_is_told_in_words():
    now = datetime(2031, 3, 2, 8, 30).astimezone()
    told = [
        say.text(worked_on(datetime(*day, 21, 5).astimezone().timestamp(), now))
        for day in ((2031, 3, 2), (2031, 3, 1), (2031, 2, 28))
    ]
    assert told == ["today at 21:05", "yesterday at 21:05", "on 28 February"]


def test_a_job_that_cannot_be_read_stands_in_the_list_with_its_trouble_and_refuses_nobody(session):
    session.take_demo()
    arrived(session, "arm.ply")
    (session.state.kept.path / "job.toml").write_text("[lether]")
    again = Session(Folder(session.folder.path))
    assert again.state.job is None
    troubles = [job["trouble"] for job in kept_jobs(again)]
    assert sum("lether" in trouble for trouble in troubles) == 1
    broken = next(job["id"] for job in kept_jobs(again) if job["trouble"])
    with pytest.raises(SessionError, match="cannot be taken up"):
        again.open(broken)
    again.open(next(job["id"] for job in kept_jobs(again) if not job["trouble"]))
    assert again.state.scan_name == DEMO


def test_on_a_full_disk_an_edit_is_refused_and_not_made(session, monkeypatch):
    session.take_demo()
    eased(session, 11)
    session.state.limb = found_on(cylinder())
    before = lies(session)

    def full(handle):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", full)
        for act in (
            lambda: eased(session, 12),
            session.undo,
            session.take_demo,
            session.agree_front,
            lambda: session.take_text('[scan]\nfile = "arm.ply"\n', sent_name="job.toml"),
        ):
            with pytest.raises(SessionError, match=r"nothing was changed.*No space left.*make room"):
                act()
            assert lies(session) == before
        arrived(session, "arm.ply")
        assert "No space left" in session.state.refused[1]
        assert lies(session) == before
    eased(session, 12)
    assert lies(Session(Folder(session.folder.path))) == (DEMO, 12.0, 2)


def test_work_that_broke_off_can_be_gone_on_with(session):
    session.take_demo()
    found(session, BROKE_OFF)
    state = page_state(session)
    assert "go on" in state["failure"]["sentence"]
    assert state["work"]["stopped"]
    session.go_on()
    assert page_state(session)["failure"] is None


def resident():
    return int(Path("/proc/self/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE")


@pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="memory is told by Linux")
def test_two_hundred_edits_take_no_more_memory_than_the_steps_that_are_kept(session):
    session.take_demo()
    for number in range(100):
        eased(session, 8 + 0.01 * number)
    before = resident()
    for number in range(200):
        eased(session, 20 + 0.01 * number)
    assert len(session.state.past) == 100
    assert resident() - before < 8e6


EDITING = """
import pathlib, sys
from cli.page import work
from tests.page.idle import IdleWorker
work.Worker = IdleWorker
from cli.page.folder import Folder
from cli.page.session import Session
session = Session(Folder(pathlib.Path(sys.argv[1])))
if session.state.job is None:
    session.take_demo()
print("begun", flush=True)
for number in range(100000):
    session.change([(["wear", "ease"], f"{8 + number % 50 / 10} mm")])
    if number % 7 == 3:
        session.undo()
    if number % 40 == 39:
        session.take_demo()
        session.delete(session.folder.jobs()[-1].key)
"""


@pytest.mark.parametrize("seed", [*range(4), *(pytest.param(n, marks=pytest.mark.full) for n in range(4, 50))])
def test_a_page_killed_at_any_moment_goes_on_with_the_last_good_state(tmp_path, seed):
    chance = random.Random(seed)
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    with subprocess.Popen(
        [sys.executable, "-c", EDITING, tmp_path / "bench"], stdout=subprocess.PIPE, cwd=ROOT, env=environment
    ) as run:
        assert run.stdout.readline() == b"begun\n"
        time.sleep(chance.uniform(0.0, 0.6))
        run.send_signal(signal.SIGKILL)
    check = EDITING.partition("print(")[0] + (
        "print(session.state.job is not None, len(session.state.past) <= 100, "
        "all(kept.read() for kept in session.folder.jobs()), flush=True)\n"
        "session.change([(['wear', 'ease'], '19 mm')]); session.undo(); print(session.can_redo)"
    )
    done = subprocess.run(
        [sys.executable, "-c", check, tmp_path / "bench"],
        capture_output=True, text=True, cwd=ROOT, env=environment, check=True,
    )  # fmt: skip
    assert done.stdout.split() == ["True"] * 4
