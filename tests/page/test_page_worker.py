"""A worker in a process of its own: stopped at once, and there again for the next request."""

import asyncio
import signal
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

import pytest

from cli.demo import SCANS
from cli.page.updates import Done, Failure, LimbFound, ScanRead, WorkRequest
from cli.page.worker import BROKE_OFF, Worker
from flatten.job.text import job_from
from tests.page.browsing import ROOT

DEMO = SCANS[0]
REQUEST = WorkRequest(job_from(DEMO.text, name=DEMO.job), Path(str(files("cli.meshes") / DEMO.file)), 1, fine=False)


async def updates_until(worker, last):
    """The updates of the demo's request up to the first of a kind."""
    found = []
    async for update in worker.updates(REQUEST):
        found.append(update)
        if isinstance(update, last):
            break
    return found


def test_what_is_stopped_sends_nothing_more_and_the_next_request_begins_anew():
    async def stopped_and_ordered_again():
        worker = Worker()
        first, run = worker._process, worker.generation
        begun = worker.updates(REQUEST)
        await anext(begun)
        worker.stop()
        assert [update async for update in begun] == []
        assert worker.generation is not run
        again = worker.generation
        # Whether the stopped process has ended by now or not.
        first.join(20)
        assert any(isinstance(update, ScanRead) for update in await updates_until(worker, LimbFound))
        # The process is another, and the same run from its stop on: what it has found it keeps.
        assert worker._process is not first
        assert worker.generation is again
        assert not first.is_alive()
        worker.close()
        assert not worker._process.is_alive()

    asyncio.run(stopped_and_ordered_again())


def test_a_process_that_ends_by_itself_is_reported_once_and_replaced():
    async def killed():
        worker = Worker()
        begun = worker.updates(REQUEST)
        await anext(begun)
        worker._process.kill()
        sent = [update async for update in begun]
        assert sent[-1] is BROKE_OFF
        assert sum(isinstance(update, Failure) for update in sent) == 1
        assert any(isinstance(update, ScanRead) for update in await updates_until(worker, ScanRead))
        worker.close()

    asyncio.run(killed())


def test_a_process_that_ended_while_it_had_nothing_to_do_is_replaced_unheard():
    async def killed():
        worker = Worker()
        assert isinstance([update async for update in worker.updates(REQUEST)][-1], Done)
        first, run = worker._process, worker.generation
        first.kill()
        first.join(20)
        sent = [update async for update in worker.updates(REQUEST)]
        assert isinstance(sent[-1], Done)
        assert any(isinstance(update, ScanRead) for update in sent)
        assert worker.generation is not run
        worker.close()

    asyncio.run(killed())


@pytest.mark.skipif(sys.platform == "win32", reason="there a process is not killed by a signal")
def test_a_process_whose_server_was_killed_ends_without_a_word():
    begun = """
import asyncio, os
from cli.page.worker import Worker
from tests.page.test_page_worker import REQUEST

async def killed():
    await anext(Worker().updates(REQUEST))
    os.kill(os.getpid(), 9)

asyncio.run(killed())
"""
    # What it writes to is read until the last of its processes has ended.
    done = subprocess.run([sys.executable, "-c", begun], cwd=ROOT, capture_output=True, text=True, timeout=120)
    assert done.returncode == -signal.SIGKILL
    assert done.stderr == ""
