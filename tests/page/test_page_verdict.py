"""The page's heading holds every stop, and a button settles one by its figure or takes that back."""

import math
import random
from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from cli.demo import SCANS
from cli.page import state as state_module
from cli.page import work as work_module
from cli.page.app import page_app
from cli.page.folder import Folder
from cli.page.session import Session, SessionError
from cli.page.stages import Stages
from cli.page.state import _STOP_QUESTIONS, page_state
from cli.page.updates import StageBegun, WorkRequest, WornReady
from flatten.findings import finding
from flatten.job.text import job_from, job_text
from flatten.limb.kind import QUARTERS
from flatten.report.sure import KEYS, Sure
from flatten.words import say
from tests.page.test_page_session import IdleWorker


@pytest.fixture(scope="module")
def made_bench(tmp_path_factory):
    """A session with a low piece of the demo leg, made, and what its limb and its report were found to be."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(work_module, "Worker", IdleWorker)
        session = Session(Folder(tmp_path_factory.mktemp("bench")))
        session.take_demo()
        heights = {"bottom": "150 mm", "top": "230 mm"}
        edges = [(["edges", end, quarter], heights[end]) for end in heights for quarter in QUARTERS]
        off = [(["output", "mesh"], "quick"), (["output", "bound"], False), (["output", "advice"], False)]
        session.change([*off, *edges])
        request = WorkRequest(session.state.job, session.state.kept.scan_path(SCANS[0].file), 1, fine=True)
        Stages().run(request, lambda update: session.work.apply(update, request))
        yield session, session.state.job, session.state.limb, session.state.made


@pytest.fixture
def session(made_bench):
    """The same bench at its beginning."""
    session, job, limb, made = made_bench
    state = session.state
    state.job, state.limb, state.made, state.made_job = job, limb, made, job
    return session


SEAM = finding("seam.unequal", "stop", seam="back", ease=17.2, length=280.0)
FRONT = finding("limb.front elsewhere", "stop", turn=math.radians(64.0), seen="foot")
TENDER = finding("wearing.near", "stop", tender="fibula")
UNSEEN = finding("limb.unseen", "stop", share=0.21, bare=True, where="at the back", off=9.0)
CLOSED = finding("wearing.closed", "stop", far_end="foot")
BY_KEY = {"front": FRONT, "seam": SEAM, "closed": CLOSED, "unseen": UNSEEN, "tender": TENDER}


def troubled(session, *, scan=(), pattern=()):
    """Let the scan and the pattern on the bench have stops."""
    state = session.state
    state.limb = replace(state.limb, findings=(*state.limb.findings, *scan))
    (limb,) = state.made.result.report.limbs
    report = replace(
        state.made.result.report,
        limbs=(replace(limb, findings=(*limb.findings, *scan)),),
        findings=tuple(pattern),
    )
    state.made = replace(state.made, result=replace(state.made.result, report=report))


def test_nothing_stands_against_a_sound_piece(session):
    shown = page_state(session)
    assert shown["verdict"] == {"headline": "", "stops": [], "beneath": "", "settled": [], "told": []}
    assert shown["leather"]["headline"] == "This can be formed cased (wet)."


@pytest.mark.parametrize("number", range(30))
def test_every_stop_is_in_the_heading_once_the_gravest_first(session, number):
    chance = random.Random(number)
    keys = chance.sample(sorted(BY_KEY), chance.randint(2, 4))
    of_scan = [BY_KEY[key] for key in keys if key in ("front", "unseen")]
    troubled(session, scan=of_scan, pattern=[BY_KEY[key] for key in keys if BY_KEY[key] not in of_scan])
    shown = page_state(session)["verdict"]
    wanted = [key for key in KEYS if key in keys]
    assert [stop["key"] for stop in shown["stops"]] == wanted
    assert [stop["words"] for stop in shown["stops"]] == [say.stop(BY_KEY[key]) for key in wanted]
    assert shown["beneath"] == "As far as the leather goes, this can be formed cased (wet)."
    assert shown["headline"] == f"Not to be cut as it is: {len(keys)} things stand against it, the gravest first."


def test_every_key_has_its_question():
    assert set(_STOP_QUESTIONS) == set(KEYS)


def test_a_button_settles_a_stop_in_the_job_and_takes_it_back(session):
    troubled(session, scan=[FRONT], pattern=[SEAM])
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        (front, seam) = page_state(session)["verdict"]["stops"]
        assert (front["figure"], seam["figure"]) == ('"64°"', '"17.2 mm"')
        asked = {"key": seam["key"], "figure": seam["figure"]}
        shown = client.post("/do/be-sure", params=asked).json()
        assert shown["job"]["sure"] == {"seam": "17.2 mm"}
        assert [stop["key"] for stop in shown["verdict"]["stops"]] == ["front"]
        assert [stop["key"] for stop in shown["verdict"]["settled"]] == ["seam"]
        assert shown["verdict"]["settled"][0]["words"].startswith("You said that you are sure: the two sides")
        assert shown["unasked"] == page_state(session)["unasked"]
        assert not any(each["key"].startswith("[sure") for each in shown["unasked"])
        back = client.post("/do/be-unsure", params=asked).json()
        assert back["job"]["sure"] == {}
        assert [stop["key"] for stop in back["verdict"]["stops"]] == ["front", "seam"]
        session.undo()
        assert session.state.job.sure == (Sure("seam", 17.2),)


def test_a_job_that_is_taken_away_keeps_it(session):
    troubled(session, scan=[FRONT], pattern=[SEAM])
    session.be_sure("front", '"64°"')
    session.be_sure("seam", '"17.2 mm"')
    again = job_from(job_text(session.state.job), name="job.toml")
    assert again == session.state.job
    assert page_state(session)["verdict"]["stops"] == []
    assert len(page_state(session)["verdict"]["settled"]) == 2


def test_a_figure_that_is_no_longer_shown_is_refused(session):
    troubled(session, pattern=[SEAM])
    for key, figure in (("seam", '"9 mm"'), ("size", "1.36"), ("limits", ""), ("", "")):
        with pytest.raises(SessionError, match="look at it again"):
            session.be_sure(key, figure)
        with pytest.raises(SessionError, match="nothing to be taken back"):
            session.be_unsure(key, figure)


def test_a_figure_that_moved_is_asked_for_again_and_its_old_one_goes(session):
    troubled(session, pattern=[SEAM])
    session.change([(["sure"], {"seam": "9 mm"})])
    shown = page_state(session)["verdict"]
    assert shown["told"] == ['You were sure of “seam = "9 mm"”; it is "17.2 mm" now, so look at it again.']
    assert len(shown["stops"]) == 1
    session.be_sure("seam", '"17.2 mm"')
    assert session.state.job.sure == (Sure("seam", 17.2),)


def test_a_stop_of_the_pattern_stands_until_the_next_one_is_made(session):
    """What only a finished pattern tells is not known to be mended by an edit."""
    troubled(session, scan=[FRONT], pattern=[SEAM])
    session.change([(["wear", "ease"], "12 mm")])
    assert session.state.made_job != session.state.job
    assert [stop["key"] for stop in page_state(session)["verdict"]["stops"]] == ["front", "seam"]


def test_leather_beyond_its_limits_is_in_the_heading_of_a_first_look(session):
    state = session.state
    laid = state.leather.laid
    over = tuple(replace(p, stretch=replace(p.stretch, fits=False, verdict="not")) for p in laid.panels)
    sound, state.leather = state.leather, replace(state.leather, laid=replace(laid, panels=over))
    try:
        state.made = None
        (stop,) = page_state(session)["verdict"]["stops"]
    finally:
        state.leather = sound
    assert (stop["key"], stop["figure"]) == ("limits", None)
    assert stop["words"].startswith("The leather cannot be expected to take the shape: ")


def test_what_is_told_again_is_what_would_be_made_anew(session, monkeypatch):
    """After each change the parts that are remembered are those that a state without memory has."""
    state = session.state
    monkeypatch.setattr(state, "worn", WornReady(state.leather.laid.neutral.surface))
    monkeypatch.setitem(state.payloads, "worn", 1)

    def told():
        again = page_state(session)
        state.told.clear()
        assert again == page_state(session)
        return again

    first = told()
    session.agree_front()
    assert told()["asked"] != first["asked"]
    session.change([(["edges", "top", "front"], "228 mm"), (["output", "title"], "The mole")])
    changed = told()
    assert changed["curves"] != first["curves"]
    assert (first["made"]["current"], changed["made"]["current"]) == (True, False)
    session.undo()
    assert told()["made"]["current"]
    troubled(session, scan=(FRONT, UNSEEN), pattern=(SEAM,))
    assert [stop["key"] for stop in told()["verdict"]["stops"]] == ["front", "seam", "unseen"]


def test_a_step_of_the_work_makes_no_line_and_no_sentence_anew(session, monkeypatch):
    before = page_state(session)
    monkeypatch.setattr(state_module, "curves", None)
    monkeypatch.setattr(state_module, "limb_state", None)
    monkeypatch.setattr(state_module, "headline", None)
    session.state.stage = StageBegun("step.cut", 1, 3, "preview")
    after = page_state(session)
    session.state.stage = None
    assert after.pop("work")["number"] == 1
    before.pop("work")
    assert after == before
