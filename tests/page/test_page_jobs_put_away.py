"""Jobs are named where they stand in the list; one that was deleted can be put back, until nobody wants it."""

import pytest
from starlette.testclient import TestClient

from cli.page.app import page_app
from cli.page.bench import SessionError
from cli.page.folder import Folder
from cli.page.jobs import kept_jobs
from cli.page.session import Session


@pytest.fixture
def session(tmp_path, idle):
    """Two demo legs, their eases 11 mm and 12 mm; the second lies on the bench."""
    session = Session(Folder(tmp_path / "bench"))
    for ease in (11, 12):
        session.take_demo()
        session.change([(["wear", "ease"], f"{ease} mm")])
    return session


def eases(session):
    return {kept.key: kept.read()[0].wear.ease for kept in session.folder.jobs()}


def test_a_deleted_job_comes_back_whole_and_onto_an_empty_bench(session):
    here = session.state.kept.key
    before = {path.name: path.read_bytes() for path in session.state.kept.path.iterdir()}
    session.put_away(here)
    assert session.state.job is None
    assert list(eases(session).values()) == [11.0]
    session.put_back()
    assert session.state.kept.key == here
    assert {path.name: path.read_bytes() for path in session.state.kept.path.iterdir()} == before
    session.undo()
    assert session.state.job.wear.ease == 8.0
    with pytest.raises(SessionError, match="nothing that could be put back"):
        session.put_back()


def test_a_job_that_is_put_back_beside_another_leaves_that_on_the_bench(session):
    other = next(key for key in eases(session) if key != session.state.kept.key)
    session.put_away(other)
    session.put_back()
    assert session.state.job.wear.ease == 12.0
    assert sorted(eases(session).values()) == [11.0, 12.0]


def test_a_new_job_never_takes_the_place_of_a_deleted_one(session):
    session.put_away(session.state.kept.key)
    session.take_demo()
    session.put_back()
    assert sorted(eases(session).values()) == [8.0, 11.0, 12.0]


@pytest.mark.parametrize("forget", ["another", "closed", "killed", "all"])
def test_what_was_deleted_is_gone_for_good_after_the_next_or_an_end(session, forget):
    first, second = sorted(eases(session))
    session.put_away(first)
    scans = len(list(session.folder.path.rglob("scan*")))
    assert scans == 2
    if forget == "another":
        session.put_away(second)
        session.put_back()
        assert list(eases(session)) == [second]
    elif forget == "closed":
        session.end_events()
    elif forget == "killed":
        Session(Folder(session.folder.path))
    else:
        session.clear_all()
    assert len(list(session.folder.path.rglob("scan*"))) == (0 if forget == "all" else 1)


def test_a_disk_that_refuses_leaves_a_job_where_it_is(session, monkeypatch):
    def refused(*paths):
        raise OSError(13, "Permission denied")

    monkeypatch.setattr("cli.page.folder.os.replace", refused)
    with pytest.raises(SessionError, match=r"nothing was changed.*Permission denied"):
        session.put_away(session.state.kept.key)
    assert session.state.job.wear.ease == 12.0
    assert len(eases(session)) == 2


def test_a_job_is_named_in_the_list_and_the_bench_stays_as_it_is(session):
    here = session.state.kept.key
    other = next(key for key in eases(session) if key != here)
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        state = client.post(f"/do/name-kept?job={other}&name=Watch, second cast").json()
        assert {job["id"]: job["name"] for job in state["jobs"]}[other] == "Watch, second cast"
        assert state["job"]["wear"]["ease"] == "12 mm"
        client.post(f"/do/open-kept?job={other}")
        state = client.post("/do/undo").json()
        assert "Watch, second cast" not in [job["name"] for job in state["jobs"]]
        state = client.post(f"/do/delete-kept?job={here}").json()
        assert state["put_away"].startswith("Harbour watch")
        assert len(client.post("/do/put-back").json()["jobs"]) == 2
        assert client.post(f"/do/name-kept?job={here}x&name=None").status_code == 409


def test_a_name_that_was_given_is_kept_over_an_end(session):
    other = next(key for key in eases(session) if key != session.state.kept.key)
    session.rename(other, "Cast of May")
    again = Session(Folder(session.folder.path))
    assert "Cast of May" in [job["name"] for job in kept_jobs(again)]
    assert again.state.job.wear.ease == 12.0
