"""What the bench tells when the pattern was judged, and advice followed as an edit like any other."""

from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from cli.demo import SCANS
from cli.page import session as house
from cli.page.app import page_app
from cli.page.desk import Desk, Made, Order, Step
from cli.page.folder import Folder
from cli.page.session import BenchError, Session
from cli.page.told import state
from flatten.advice.judge import STEPS
from tests.page.test_page_session import IdleWorker


@pytest.fixture(scope="module")
def judged(tmp_path_factory):
    """A session with the demo's leather worked dry, and the news of its fine order."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(house, "Worker", IdleWorker)
        session = Session(Folder(tmp_path_factory.mktemp("bench")))
        session.take_demo()
        session.change([(["output", "mesh"], "quick")])
        order = Order(session.bench.job, session.folder.scan_path(SCANS[0].file), 1, fine=True)
        news = []
        Desk().carry_out(order, news.append)
        for item in news:
            session._take_in(item, order)
        yield session, news


def test_the_files_are_there_before_anything_is_judged(judged):
    _, news = judged
    made = [place for place, item in enumerate(news) if isinstance(item, Made)]
    seeking = [place for place, item in enumerate(news) if isinstance(item, Step) and item.name in STEPS]
    assert len(made) == 2
    assert made[0] < min(seeking) <= max(seeking) < made[1]
    numbers = [item.number for item in news if isinstance(item, Step)]
    assert numbers == sorted(set(numbers))
    assert numbers[-1] == next(item.of for item in news if isinstance(item, Step))


def test_the_state_tells_the_bound_and_the_advice(judged):
    session, news = judged
    told = state(session)["made"]
    assert told["judged"]
    assert len(told["bounds"]) == 1
    assert "needs less than" in told["bounds"][0]
    assert [advised["words"] for advised in told["advice"]] == [one.words for one in news[-1].judged.advice]
    assert told["advice_lead"]
    session.bench.made, later = news[made_first(news)], session.bench.made
    early = state(session)["made"]
    session.bench.made = later
    assert not early["judged"]
    assert early["bounds"] == early["advice"] == []
    assert early["advice_lead"] == ""


def made_first(news):
    return next(place for place, item in enumerate(news) if isinstance(item, Made))


def test_advice_is_followed_as_an_edit_that_can_be_undone(judged):
    session, news = judged
    before = session.bench.job
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        assert client.post("/do/use-advice?advice=1").status_code == 200
    assert session.bench.job == news[-1].judged.advice[1].job != before
    with pytest.raises(BenchError):
        session.use_advice(0)
    session.undo()
    assert session.bench.job == before


def test_advice_that_is_not_there_is_refused(judged):
    session, news = judged
    for number in (-1, len(news[-1].judged.advice)):
        with pytest.raises(BenchError):
            session.use_advice(number)
    session.bench.made, made = replace(session.bench.made, judged=None), session.bench.made
    with pytest.raises(BenchError):
        session.use_advice(0)
    session.bench.made = made
