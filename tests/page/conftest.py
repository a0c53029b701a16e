"""Pages served for the tests in a browser."""

import pytest
from starlette.testclient import TestClient

from cli.page import work as work_module
from cli.page.app import page_app
from cli.page.folder import Folder
from cli.page.session import Session
from tests.page.browsing import Server
from tests.page.idle import IdleWorker


@pytest.fixture
def served(tmp_path):
    """A folder whose page can be served, and served again."""
    server = Server(tmp_path / "bench")
    yield server
    server.stop()


@pytest.fixture
def idle(monkeypatch):
    """A session's workers do nothing."""
    monkeypatch.setattr(work_module, "Worker", IdleWorker)


@pytest.fixture
def session(tmp_path, idle):
    """A session on an empty bench."""
    return Session(Folder(tmp_path / "bench"))


@pytest.fixture
def client(session):
    """Asks the page of that session."""
    with TestClient(page_app(session), headers={"origin": "http://testserver"}) as client:
        yield client
