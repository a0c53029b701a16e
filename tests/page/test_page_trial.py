"""The leather of a line that is held by hand: near what a preview lays, and without a trace in the job."""

import asyncio
import json
from importlib.resources import files

import numpy as np
import pytest
from starlette.testclient import TestClient

from cli.demo import SCANS
from cli.page import stages as stages_module
from cli.page import work as work_module
from cli.page.app import page_app
from cli.page.edits import with_values
from cli.page.folder import Folder
from cli.page.session import Session, SessionError
from cli.page.stages import Stages
from cli.page.updates import Done, Failure, LeatherLaid, LeatherTried, StageBegun, WorkRequest
from flatten.errors import CalfskinError
from flatten.job.text import job_from
from flatten.tolerances import EDGE_PREVIEW
from tests.page.idle import IdleWorker
from tests.page.test_page_display import unpacked

DEMO = SCANS[0].bare
JOB, PATH = job_from(DEMO.text, name=DEMO.job), files("cli.meshes") / DEMO.file
RAISED = [(["edges", "top", "front"], "292 mm")]


@pytest.fixture(scope="module")
def stages():
    """Stages that have the demo leg's limb and its worn surface."""
    found = Stages()
    found.run(WorkRequest(JOB, PATH, 1, fine=False), lambda update: None)
    return found


def asked(stages, changes, *, trial):
    """All updates of a job with changes."""
    updates = []
    stages.run(WorkRequest(with_values(JOB, changes), PATH, 1, fine=False, trial=trial), updates.append)
    return updates


def head_of(payload):
    return json.loads(payload[4 : 4 + int.from_bytes(payload[:4], "little")])


def outlines(payload):
    """The flat outline (N,2) of each panel, closed."""
    arrays = unpacked(payload)
    rims = (arrays[f"flat{n}"][arrays[f"boundary{n}"]] for n in range(len(head_of(payload)["panels"])))
    return [np.vstack([rim, rim[:1]]) for rim in rims]


def apart(one, other):
    """mm. The furthest that a point of either closed line (N,2) lies from the other line."""

    def furthest(points, line):
        a, steps = line[:-1], np.diff(line, axis=0)
        along = ((points[:, None] - a) * steps).sum(-1) / (steps**2).sum(-1)
        nearest = a + np.clip(along, 0.0, 1.0)[..., None] * steps
        return np.linalg.norm(points[:, None] - nearest, axis=-1).min(axis=1).max()

    return max(furthest(one, other), furthest(other, one))


@pytest.mark.parametrize(
    "changes",
    [
        RAISED,
        [*RAISED, (["leather", "limits"], "dry")],
        [(["seam", 0, "along"], 160)],
        [(["seam", 0, "along"], [[172, "0 mm"], [185, "290 mm"]])],
        [(["seam", 0, "kind"], "riveted"), (["edges", "bottom", "back"], "30 mm")],
    ],
)
def test_a_trial_lies_near_what_8_mm_edges_lay(stages, changes, monkeypatch):
    """Within 2.5 mm and 0.1 % of a length. A chord of e mm is shorter than the 45 mm arc that it spans by e² / 24 r²:
    18 mm edges by 0.53 % more than 8 mm ones, of the 300 mm round a calf 1.6 mm; along the rim smooth curves bend as
    much again. Half of what the page says of a figure is 0.05 %, and figures are means over the same patches."""
    monkeypatch.setattr(stages_module, "EDGE_SHOWN", EDGE_PREVIEW)
    tried = next(update for update in asked(stages, changes, trial=True) if isinstance(update, LeatherTried))
    laid = next(update for update in asked(stages, changes, trial=False) if isinstance(update, LeatherLaid))
    coarse, shown = outlines(tried.payload), outlines(laid.payload)
    assert len(coarse) == len(shown) > 0
    for one, other in zip(coarse, shown, strict=True):
        assert apart(one, other) < 2.5
    arrays = unpacked(tried.payload)
    for n, panel in enumerate(laid.laid.panels):
        assert arrays[f"stretch{n}"].max() == pytest.approx(panel.stretch.most.stretch - 1.0, abs=1e-3)
        assert arrays[f"squeeze{n}"].max() == pytest.approx(1.0 - panel.stretch.least.stretch, abs=1e-3)
        assert len(arrays[f"faces{n}"]) < 0.5 * len(panel.flat.panel.mesh.faces)


def test_a_trial_says_its_figures_and_follows_the_line(stages):
    low, high = (
        next(u for u in asked(stages, [(["edges", "top", "front"], f"{height} mm")], trial=True) if not step(u))
        for height in (270, 292)
    )
    head, arrays = head_of(high.payload), unpacked(high.payload)
    most, least = (100 * float(arrays[name].max()) for name in ("stretch0", "squeeze0"))
    # Figures are of patches, colours of vertices, the means of what is about them.
    assert float(head["words"][0].strip("+ %")) == pytest.approx(most, abs=0.3)
    assert float(head["words"][1].strip("− %")) == pytest.approx(least, abs=0.3)
    assert head["panels"][0]["words"] == head["words"]
    lower = unpacked(low.payload)
    front = [flat[np.abs(flat[:, 0]) < 10.0, 1].max() for flat in (lower["flat0"], arrays["flat0"])]
    assert front[1] - front[0] == pytest.approx(22.0, abs=2.0)


def step(update):
    return isinstance(update, StageBegun)


def test_a_trial_dresses_nothing_anew_and_leaves_what_is_kept(stages):
    found, worn = stages._found, stages._worn
    assert {type(update) for update in asked(stages, RAISED, trial=True)} == {StageBegun, LeatherTried}
    assert stages._found is found
    assert stages._worn is worn


def test_a_line_that_cannot_be_is_refused_in_a_sentence(stages):
    with pytest.raises(CalfskinError, match="edge"):
        asked(stages, [(["edges", "top", "front"], "20 mm")], trial=True)


class TryingWorker(IdleWorker):
    """Has a limb and its leather at once, and answers trials with the height that was tried."""

    def __init__(self):
        self.asked, self.gave_way, self.stopped = [], 0, 0
        self.generation = object()
        self.go = asyncio.Event()
        self.go.set()
        self.answer = None

    def give_way(self):
        self.gave_way += 1
        self.go.set()

    def stop(self):
        self.stopped += 1

    async def updates(self, request):
        self.asked.append(request)
        if not request.trial:
            yield Done()
            return
        await self.go.wait()
        yield StageBegun("step.cut", 1, 2, "preview")
        if self.answer is not None:
            yield self.answer
        else:
            yield LeatherTried(str(request.job.edges.top.front).encode())
            yield Done()


@pytest.fixture
def session(tmp_path, monkeypatch):
    monkeypatch.setattr(work_module, "Worker", TryingWorker)
    session = Session(Folder(tmp_path / "bench"))
    session.take_demo()
    session.state.worn = object()
    return session


def kept(session):
    """All bytes on the disk, by name."""
    return {path.name: path.read_bytes() for path in session.folder.path.rglob("*") if path.is_file()}


def test_a_trial_changes_no_job_no_undo_and_no_file(session):
    session.change([(["wear", "ease"], "12 mm")])
    session.undo()
    session.work._wanted.clear()

    def all_of(state):
        return state.job, list(state.past), list(state.future), session.revision, kept(session)

    before = all_of(session.state)
    assert asyncio.run(session.tried(RAISED)) == b"292.0"
    assert all_of(session.state) == before
    assert session.state.stage is None


def test_a_change_that_is_made_while_one_is_tried_comes_first(session):
    async def tried_and_changed():
        session.work._quick.go.clear()
        trial = asyncio.create_task(session.tried(RAISED))
        await asyncio.sleep(0.01)
        waiting = asyncio.create_task(session.tried(RAISED))
        await asyncio.sleep(0.01)
        assert session.work._quick.gave_way == 0
        session.change(RAISED)
        assert session.work._quick.gave_way == 1
        await trial
        # What waited is older than the change: its leather would come too late.
        assert await waiting is None
        assert [request.trial for request in session.work._quick.asked] == [True]

    session.work._wanted.clear()
    asyncio.run(tried_and_changed())


def test_fine_work_gives_way_to_a_trial_and_begins_again(session, monkeypatch):
    monkeypatch.setattr(work_module, "SETTLE", 0.01)
    session.work._wanted.clear()

    async def held():
        session.state.limb = type("Limb", (), {"found": b"", "limb": None, "skin": None})()
        monkeypatch.setattr(session, "with_changes", lambda changes: with_values(session.state.job, changes))
        session.work._fine_task = asyncio.create_task(asyncio.sleep(60))
        session.work._fine_busy = True
        await session.tried(RAISED)
        assert session.work._fine.stopped == 1
        await session.work._fine_task
        assert [(request.fine, request.job) for request in session.work._fine.asked] == [(True, session.state.job)]

    asyncio.run(held())


def test_a_page_that_tries_is_answered_by_leather_by_nothing_or_by_one_sentence(session):
    body = json.dumps(RAISED)
    session.work._wanted.clear()
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        assert client.post("/try", content=body).content == b"292.0"
        session.work._quick.answer = Done()
        assert client.post("/try", content=body).status_code == 204
        session.work._quick.answer = Failure("the top edge crosses the bottom edge", "edges")
        refused = client.post("/try", content=body)
        assert refused.status_code == 422
        assert refused.json()["sentence"] == "The top edge crosses the bottom edge."
        # The one that was refused holds up no other.
        session.work._quick.answer = None
        assert client.post("/try", content=body).status_code == 200
        assert client.post("/try", content="{").status_code == 409


def test_nothing_is_tried_before_leather_lies_on_the_bench(session):
    session.state.worn = None
    with pytest.raises(SessionError, match="on the bench"):
        asyncio.run(session.tried(RAISED))
    session.state.worn = object()
    with pytest.raises(SessionError, match="on the bench"):
        asyncio.run(session.tried([(["scan", "side"], "right")]))
