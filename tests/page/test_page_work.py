"""A desk in a process of its own: stopped at once, and there again for the next order."""

import asyncio
from importlib.resources import files
from pathlib import Path

from cli.demo import SCANS
from cli.page.desk import LimbSeen, Order, ScanSeen, Trouble
from cli.page.work import BROKEN_OFF, Worker
from flatten.job.text import job_from

DEMO = SCANS[0]
ORDER = Order(job_from(DEMO.text, name=DEMO.job), Path(str(files("cli.meshes") / DEMO.file)), 1, fine=False)


async def news_until(worker, last):
    """The news of the demo's order up to the first of a kind."""
    found = []
    async for news in worker.carry_out(ORDER):
        found.append(news)
        if isinstance(news, last):
            break
    return found


def test_what_is_stopped_tells_nothing_more_and_the_next_order_begins_anew():
    async def stopped_and_ordered_again():
        worker = Worker()
        first, run = worker._process, worker.run
        begun = worker.carry_out(ORDER)
        await anext(begun)
        worker.stop()
        assert [news async for news in begun] == []
        assert worker.run is not run
        again = worker.run
        assert any(isinstance(news, ScanSeen) for news in await news_until(worker, LimbSeen))
        # The process is another, and the same run from its stop on: what it has found it keeps.
        assert worker._process is not first
        assert worker.run is again
        first.join(20)
        assert not first.is_alive()
        worker.close()
        assert not worker._process.is_alive()

    asyncio.run(stopped_and_ordered_again())


def test_a_process_that_ends_by_itself_is_told_once_and_replaced():
    async def killed():
        worker = Worker()
        begun = worker.carry_out(ORDER)
        await anext(begun)
        worker._process.kill()
        told = [news async for news in begun]
        assert told[-1] is BROKEN_OFF
        assert sum(isinstance(news, Trouble) for news in told) == 1
        assert any(isinstance(news, ScanSeen) for news in await news_until(worker, ScanSeen))
        worker.close()

    asyncio.run(killed())
