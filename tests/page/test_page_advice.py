"""What the page shows when the pattern was judged, and advice followed as an edit like any other."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from starlette.testclient import TestClient

from cli.demo import SCANS
from cli.page import work as work_module
from cli.page.app import page_app
from cli.page.folder import Folder
from cli.page.session import Session, SessionError
from cli.page.stages import Stages
from cli.page.state import page_state
from cli.page.updates import JobMade, StageBegun, WorkRequest
from flatten.limb.kind import QUARTERS
from flatten.report.summary import advised_text
from flatten.steps import TO_JUDGE
from tests.page.test_page_session import IdleWorker


@pytest.fixture(scope="module")
def judged(tmp_path_factory):
    """A session with the demo's leather worked dry, and the updates of its fine request."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(work_module, "Worker", IdleWorker)
        session = Session(Folder(tmp_path_factory.mktemp("bench")))
        session.take_demo()
        # A low piece is judged in a third of the time of a whole one.
        heights = {"bottom": "150 mm", "top": "250 mm"}
        edges = [(["edges", end, quarter], heights[end]) for end in heights for quarter in QUARTERS]
        session.change([(["output", "mesh"], "quick"), (["leather", "limits"], "dry"), *edges])
        request = WorkRequest(session.state.job, session.state.kept.scan_path(SCANS[0].file), 1, fine=True)
        updates = []
        Stages().run(request, updates.append)
        for item in updates:
            session.work.apply(item, request)
        yield session, updates


def test_the_files_are_there_before_anything_is_judged(judged):
    _, updates = judged
    made = [place for place, item in enumerate(updates) if isinstance(item, JobMade)]
    seeking = [place for place, item in enumerate(updates) if isinstance(item, StageBegun) and item.name in TO_JUDGE]
    assert len(made) == 2
    assert made[0] < min(seeking) <= max(seeking) < made[1]
    numbers = [item.number for item in updates if isinstance(item, StageBegun)]
    assert numbers == sorted(set(numbers))
    assert numbers[-1] == next(item.of for item in updates if isinstance(item, StageBegun))


def test_the_state_has_the_bound_and_the_advice(judged):
    session, updates = judged
    shown = page_state(session)["made"]
    assert shown["judged"]
    assert len(shown["bounds"]) == 1
    assert "needs less than" in shown["bounds"][0]
    assert [advised["words"] for advised in shown["advice"]] == [advised_text(one) for one in updates[-1].judged.advice]
    assert shown["advice_lead"]
    session.state.made, later = updates[made_first(updates)], session.state.made
    early = page_state(session)["made"]
    session.state.made = later
    assert not early["judged"]
    assert early["bounds"] == early["advice"] == []
    assert early["advice_lead"] == ""


def made_first(updates):
    return next(place for place, item in enumerate(updates) if isinstance(item, JobMade))


def test_advice_is_followed_as_an_edit_that_can_be_undone(judged):
    session, updates = judged
    before = session.state.job
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        assert client.post("/do/use-advice?advice=1").status_code == 200
    assert session.state.job == updates[-1].judged.advice[1].job != before
    with pytest.raises(SessionError):
        session.use_advice(0)
    session.undo()
    assert session.state.job == before


def test_advice_is_looked_at_before_it_is_taken(judged):
    """Its outline is that of the leather that it would make, and each of its points has its place on the limb."""
    session, updates = judged
    before = session.state.job
    advice = updates[-1].judged.advice[0]
    client = TestClient(page_app(session), headers={"origin": "http://testserver"})
    answer = client.get("/advised/0")
    assert client.get("/advised/9").status_code == client.get("/advised/none").status_code == 409
    assert session.state.job is before
    panels = answer.json()["panels"]
    assert len(panels) == len(advice.flats)
    for shown, flat in zip(panels, advice.flats, strict=True):
        outline = np.array(shown["outline"])
        area = shapely.Polygon(outline).area
        faces = flat.uv[flat.panel.mesh.faces]
        sides = faces[:, 1:] - faces[:, :1]
        assert area == pytest.approx(0.5 * np.abs(np.linalg.det(sides)).sum(), rel=1e-4)
        # Up on the flat piece is up on the limb, and a left limb's outside lies to the right, seen from outside.
        heights, bearings = np.array(shown["chart"]).T
        assert np.corrcoef(outline[:, 1], heights)[0, 1] > 0.9
        assert np.corrcoef(outline[:, 0], (bearings + np.pi) % (2 * np.pi))[0, 1] > 0.9
    told = page_state(session)["made"]["advice"][0]
    gain = advice.gain
    assert told["stretch"][1] == f"+{100 * gain.after.stretch:.1f} %"
    assert told["squeeze"][1] == f"−{100 * gain.after.squeeze:.1f} %"
    assert told["stretch"][0] != told["stretch"][1]


def test_advice_that_was_taken_is_given_back_until_another_change(judged):
    session, _ = judged
    before = session.state.job
    assert page_state(session)["followed"] is None
    client = TestClient(page_app(session), headers={"origin": "http://testserver"})
    assert client.post("/do/give-back-advice").status_code == 409
    change = client.post("/do/use-advice?advice=0").json()["followed"]["change"]
    assert change == page_state(session)["followed"]["change"]
    assert client.post("/do/give-back-advice").json()["followed"] is None
    assert session.state.job == before
    # Made again it is the same advice still; another change ends that, and its undoing brings it back.
    assert client.post("/do/redo").json()["followed"]["change"] == change
    session.change([(["wear", "ease"], "11 mm")])
    assert page_state(session)["followed"] is None
    assert client.post("/do/give-back-advice").status_code == 409
    session.undo()
    assert client.post("/do/give-back-advice").status_code == 200
    assert session.state.job == before


def test_advice_that_is_not_there_is_refused(judged):
    session, updates = judged
    for number in (-1, len(updates[-1].judged.advice)):
        with pytest.raises(SessionError):
            session.use_advice(number)
    session.state.made, made = replace(session.state.made, judged=None), session.state.made
    with pytest.raises(SessionError):
        session.use_advice(0)
    session.state.made = made
