"""The processes of a served page are killed at chance moments: that is said, nothing is lost, and one goes on."""

import os
import random
import signal
import sys
import threading
import time
from pathlib import Path

import httpx2
import pytest

from cli.page.folder import Folder
from cli.page.kept import KeptJob
from tests.page.asking import Served, children, current, made

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="who began which process is told by Linux")

CHEAP = [
    (["output", "bound"], False),
    (["output", "advice"], False),
    (["output", "mesh"], "quick"),
]
"""The bound and the advice take longest, and are worked on as everything else is."""

BROKEN = httpx2.TransportError
"""What is raised where no answer comes, or half of one."""


SEED = 5


def gone(pid):
    """Whether a process has ended; one that nobody has asked for its end yet has."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] == "Z"
    except FileNotFoundError:
        return True


def readable(folder):
    """Whether every job that the folder keeps, and its steps, can be read."""
    return all(job.read() and job.steps() for job in Folder(folder).jobs())


def rests(state):
    return state["failure"] is not None or made(state)


def ease(state):
    return state["job"]["wear"]["ease"]


def eased(chance):
    """Another ease on the girth, as the page shows it."""
    return f"{chance.randint(6000, 14000) / 1000:g} mm"


@pytest.fixture
def bench(tmp_path, session):
    """Serves the folder of the session, where the demo leg lies; all its pages end together."""
    session.take_demo()
    session.change(CHEAP)
    pages = []

    def open_page():
        page = Served(session.folder.path)
        pages.append(page)
        page.client.get(page.address).raise_for_status()
        return page

    yield open_page
    for page in pages:
        page.client.close()
        page.process.kill()
        page.process.wait(20)


def settled(page):
    """The first state that is made or failed."""
    return next(state for state in page.states() if rests(state))


def killed_and_gone_on(page, chance):
    """A change is made and a process that works for it killed meanwhile; how often it broke off until it was made."""
    changed = page.set([["wear", "ease"], eased(chance)])
    time.sleep(chance.uniform(0.0, 1.5))
    # What begins the workers (their parent) may die too.
    begun = page.workers() if chance.random() < 0.9 else children(page.process.pid)
    os.kill(chance.choice(begun), signal.SIGKILL)
    state, broke_off = settled(page), 0
    while state["failure"] is not None:
        assert "nothing that was asked for is lost; go on" in state["failure"]["sentence"]
        assert state["work"]["stopped"]
        assert state["job"] == changed["job"]
        broke_off += 1
        assert broke_off <= 2  # each of the two workers may have died
        page.do("/do/go-on")
        state = settled(page)
    assert state["job"] == changed["job"]
    assert state["can_undo"]
    assert current(state)
    return broke_off


@pytest.mark.parametrize("deaths", [2, pytest.param(50, marks=pytest.mark.full)])
def test_a_killed_worker_is_told_and_another_goes_on_with_the_same_job(session, bench, deaths):
    page, folder = bench(), session.folder.path
    page.until(made, since=0.0)
    chance = random.Random(SEED)
    heard = [killed_and_gone_on(page, chance) for _ in range(deaths)]
    print(f"\n{deaths} deaths of workers: {heard.count(0)} unheard, {sum(map(bool, heard))} told")
    assert any(heard)
    assert readable(folder)


def edited_until_it_dies(page, chance, eases):
    """Edits as fast as they are answered, until the server is killed: the eases undo leads back through as it last
    told them, and as what it was asked last would make them."""
    pid = page.process.pid
    killing = threading.Timer(chance.uniform(0.0, 1.5), os.kill, (pid, signal.SIGKILL))
    killing.start()
    asked = eases
    try:
        while True:
            if len(eases) > 1 and chance.random() < 0.3:
                asked = eases[:-1]
                state = page.do("/do/undo")
            else:
                asked = [*eases, eased(chance)]
                state = page.set([["wear", "ease"], asked[-1]])
            assert ease(state) == asked[-1]
            eases = asked
    except BROKEN:
        killing.join()
    return eases, asked


@pytest.mark.parametrize("deaths", [2, pytest.param(50, marks=pytest.mark.full)])
def test_a_killed_server_is_begun_again_with_the_last_good_job_and_its_steps(session, bench, deaths):
    page, folder = bench(), session.folder.path
    chance = random.Random(SEED)
    eases, answered = [ease(next(page.states()))], 0
    for _ in range(deaths):
        processes = page.processes()
        told, asked = edited_until_it_dies(page, chance, eases)
        page.process.wait(20)
        assert readable(folder)
        page = bench()
        state = page.until(current, since=0.0)[1]
        eases = next(steps for steps in (told, asked) if steps[-1] == ease(state))
        answered += len(told)
        # As many steps as were kept lead back to the same jobs.
        job = KeptJob(folder / "jobs" / state["jobs"][0]["id"])
        assert len(state["jobs"]) == 1
        past = [f"{one.wear.ease:.3f}" for one in job.steps().past][-len(eases) + 1 :]
        assert past == [f"{float(one.split()[0]):.3f}" for one in eases[:-1]][-len(past) :]
        assert state["can_undo"]
        begun, patience = time.monotonic(), 30.0
        while not all(gone(pid) for pid in processes):
            assert time.monotonic() - begun < patience, "the killed page's workers live on"
            time.sleep(0.05)
    print(f"\n{deaths} deaths of the server, {answered} steps told")
