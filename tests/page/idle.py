"""A worker that does nothing: where only the job is looked at."""

from cli.page.desk import Trouble


class IdleWorker:
    """Takes orders and has no news."""

    run = None

    async def carry_out(self, order):
        yield Trouble("idle", "scan")

    def give_way(self):
        pass

    def stop(self):
        pass

    def close(self):
        pass
