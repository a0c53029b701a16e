"""What arrives at the bench: scans that are read and then laid down, each as one more job, and the demo leg."""

from __future__ import annotations

from collections.abc import Iterable
from importlib.resources import files

from cli.demo import SCANS
from cli.page.bench import Arrival, Bench, NotKeptError
from cli.page.companions import Companion, with_companions
from cli.page.edits import with_scan
from cli.page.kept import KeptJob
from cli.page.upload import shown_name
from flatten.errors import CalfskinError
from flatten.job.settings import Job, ScanSettings
from flatten.job.text import job_from


class Intake(Bench):
    """The bench as scans come to it."""

    def receive(self, so_far: int, of: int) -> None:
        """Send how much of a scan has arrived."""
        self.state.receiving = (so_far, of)
        self.changed()

    def stop_receiving(self) -> None:
        """A scan has arrived, or will not."""
        self.state.receiving = None
        self.changed()

    def take_scan(self, sent_name: str) -> None:
        """The scan that has arrived is read, and then laid down: for the job that waits for it, or as one more job.

        Raises SessionError where it cannot be kept.
        """
        name = shown_name(sent_name)
        old = self.state
        if old.job is not None and old.scan_name is None:
            self.bring_scan(with_scan(old.job, file=name), awaiting=old.kept)
        else:
            self.bring_scan(self.job_for(name))

    def job_for(self, name: str) -> Job:
        """The job of one more scan of this shown name: its layers and its leather are those of the job on the bench."""
        job, old = Job(scan=ScanSettings(file=name)), self.state.job
        return job if old is None else job.model_copy(update={"wear": old.wear, "leather": old.leather})

    def bring_scan(
        self,
        job: Job,
        *,
        awaiting: KeptJob | None = None,
        strips: tuple[str, str] | None = None,
        companions: Iterable[tuple[Companion, str, bytes]] = (),
    ) -> None:
        """Let the scan that has arrived be read for a job, and then laid down with it, under the name it has there.

        `strips` are the name and the readings of its strip test, where they came too; else the one on the bench is
        taken along. `companions` are the other files that the job names, which came with it.

        Raises SessionError where it cannot be kept, LeatherError where the readings make no sense, and as
        `keep_companion` does.
        """
        self.await_scans([self._arrival_of(job, awaiting=awaiting, strips=strips, companions=companions)])

    def bring_scans(self, scans: Iterable[tuple[Job, bytes]], *, strips: tuple[str, str] | None = None) -> None:
        """Let scans that came together be read, each for a job of its own, and laid down one after another.

        Raises as `bring_scan` does; none of them is kept then.
        """
        arrivals: list[Arrival] = []
        try:
            for job, data in scans:
                self.folder.arriving.write_bytes(data)
                arrivals.append(self._arrival_of(job, awaiting=None, strips=strips))
        except (OSError, CalfskinError) as error:
            for one in arrivals:
                one.kept.delete()
            self.folder.arriving.unlink(missing_ok=True)
            raise NotKeptError(error) if isinstance(error, OSError) else error from None
        self.await_scans(arrivals)

    def _arrival_of(
        self,
        job: Job,
        *,
        awaiting: KeptJob | None,
        strips: tuple[str, str] | None,
        companions: Iterable[tuple[Companion, str, bytes]] = (),
    ) -> Arrival:
        """The scan that has arrived, in its place. Raises as `bring_scan` does."""
        strips_name = self.state.strips_name
        made: KeptJob | None = None
        try:
            made = self.folder.new_job()
            made.take_scan(self.folder.arriving, job.scan.file)
            if strips is not None:
                strips_name = strips[0]
                made.keep_strips(strips[1], name=strips_name)
            elif self.state.kept is not None:
                made.copy_strips(self.state.kept)
            job = with_companions(made.companions, job, companions)
        except (OSError, CalfskinError) as error:
            if made is not None:
                made.delete()
            raise NotKeptError(error) if isinstance(error, OSError) else error from None
        return self.arrived(made, job, strips_name=strips_name, awaiting=awaiting)

    def take_demo(self) -> None:
        """The demo leg and its job are on the bench. Raises SessionError where they cannot be kept."""
        demo = SCANS[0].bare
        try:
            made = self.folder.new_job()
            self.folder.arriving.write_bytes((files("cli.meshes") / demo.file).read_bytes())
            made.take_scan(self.folder.arriving, demo.file)
        except OSError as error:
            raise NotKeptError(error) from None
        self.lay_down(self.new_state(made, job_from(demo.text, name=demo.job), scan_name=demo.file))
