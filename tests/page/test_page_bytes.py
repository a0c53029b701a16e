"""The bench makes the bytes that the command line makes from the job file that the bench saves."""

import pytest
from threadpoolctl import threadpool_limits

from cli.demo import SCANS
from cli.page.stages import Stages
from cli.page.updates import JobMade, WorkRequest
from flatten.job.text import job_text, read_job
from flatten.limb.kind import QUARTERS
from flatten.making import make
from tests.page.test_page_session import STRIPS


@pytest.mark.parametrize("judged", [False, True], ids=["two panels drawn", "one panel drawn and judged"])
def test_the_saved_job_file_makes_the_same_bytes(session, tmp_path, judged):
    """With a dart, a flare, a strip test of the maker's own, and perhaps two seams of different kinds."""
    session.take_demo()
    # A panel of half the height is judged in a third of the time.
    seam = [(["edges", "bottom", quarter], "150 mm") for quarter in QUARTERS]
    if not judged:
        session.add_seam()
        along = [[-8, "-20 mm"], [4, "340 mm"]]
        seam = [(["seam", 1, key], value) for key, value in (("kind", "riveted"), ("along", along))]
    heel = {"name": "side", "edge": "top", "along": 80, "depth": "40 mm"}
    output = [(["output", "mesh"], "quick"), (["output", "bound"], judged), (["output", "advice"], False)]
    more = [(["dart"], [heel]), (["edges", "flare", "bottom"], "4 mm"), (["edges", "top", "front"], "300 mm")]
    session.change([*seam, *output, *more])
    session.take_text(STRIPS, sent_name="belly.toml")
    job = session.state.job
    updates = []
    scan, strips = session.state.kept.scan_path(SCANS[0].file), session.state.kept.strips
    # As on a machine with two cores, whatever the environment says.
    with threadpool_limits(2):
        Stages().run(WorkRequest(job, scan, 1, fine=True, strips=strips), updates.append)
    made = dict([item for item in updates if isinstance(item, JobMade)][-1].result.files)

    (tmp_path / SCANS[0].file).write_bytes(scan.read_bytes())
    (tmp_path / "belly.toml").write_text(STRIPS)
    (tmp_path / "job.toml").write_text(job_text(job), "utf-8")
    with threadpool_limits(1):
        again = dict(make(read_job(tmp_path / "job.toml"), folder=tmp_path, out=tmp_path).files)
    assert list(made) == list(again)
    assert [name for name in made if made[name] != again[name]] == []
    assert again["job.toml"].decode() == job_text(job)
