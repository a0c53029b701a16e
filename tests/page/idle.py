"""A worker that does nothing: where only the job is looked at."""

from cli.page.updates import Failure


class IdleWorker:
    """Takes requests and has no updates but a failure."""

    run = None

    async def updates(self, request):
        yield Failure("idle", "limb")

    def give_way(self):
        pass

    def stop(self):
        pass

    def close(self):
        pass
