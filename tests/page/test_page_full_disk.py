"""Disks that are really full: what the system itself refuses is told, and the last good state stays."""

import contextlib
import subprocess

import pytest
from starlette.testclient import TestClient

from cli.page.app import page_app
from cli.page.folder import Folder
from cli.page.session import Session
from tests.page.arrived import brought

resource = pytest.importorskip("resource", reason="files can be kept from growing on Unix")


def lies(folder):
    """The ease of the job that a new start would take up, and how many jobs there are."""
    again = Session(Folder(folder))
    return again.state.job.wear.ease, len(again.folder.jobs())


def refusals(client):
    """The answers to an edit, a scan, a demo and a job file, none of which can be kept."""
    return [
        client.post("/set", content='[[["wear", "ease"], "15 mm"]]'),
        client.post("/bring", content=brought({"leg.ply": bytes(3 * 2**20)})),
        client.post("/do/demo"),
        client.post("/bring", content=brought({"job.toml": b'[scan]\nfile = "arm.ply"\n'})),
    ]


def test_files_that_may_not_grow_refuse_every_change_in_a_sentence(tmp_path, idle):
    session = Session(Folder(tmp_path / "bench"))
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        client.post("/do/demo")
        client.post("/set", content='[[["wear", "ease"], "11 mm"]]')
        soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
        resource.setrlimit(resource.RLIMIT_FSIZE, (10, hard))
        try:
            answers = refusals(client)
        finally:
            resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
        for answer in answers:
            assert answer.status_code == 409
            assert "File too large" in answer.json()["sentence"]
        assert session.state.job.wear.ease == 11.0
        assert lies(tmp_path / "bench") == (11.0, 1)
        assert not list((tmp_path / "bench").rglob("*.calfskin"))
        state = client.post("/set", content='[[["wear", "ease"], "12 mm"]]').json()
        assert state["job"]["wear"]["ease"] == "12 mm"
    assert lies(tmp_path / "bench") == (12.0, 1)


def fill(file):
    """Write until nothing more fits on the disk."""
    with contextlib.suppress(OSError), file.open("wb", buffering=0) as stone:
        while stone.write(bytes(512)):
            pass


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 2 MB, in memory; only root can make one."""
    disk = tmp_path / "disk"
    disk.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", disk], capture_output=True, check=False)
    if made.returncode:
        pytest.skip("a small disk cannot be mounted here")
    yield disk
    subprocess.run(["umount", disk], check=True)


def test_a_small_disk_that_is_full_refuses_and_goes_on_once_there_is_room(small_disk, idle):
    session = Session(Folder(small_disk / "bench"))
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        client.post("/do/demo")
        client.post("/set", content='[[["wear", "ease"], "11 mm"]]')
        stone = small_disk / "stone"
        fill(stone)
        for answer in refusals(client):
            assert answer.status_code == 409
            assert "No space left" in answer.json()["sentence"]
            assert "make room" in answer.json()["sentence"]
        assert session.state.job.wear.ease == 11.0
        stone.unlink()
        assert lies(small_disk / "bench") == (11.0, 1)
        client.post("/set", content='[[["wear", "ease"], "12 mm"]]')
    assert lies(small_disk / "bench") == (12.0, 1)
