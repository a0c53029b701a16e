"""Pages served for the tests in a browser."""

import pytest

from cli.page import work as work_module
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
