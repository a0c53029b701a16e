"""A browser for the tests of the page, and pages served for it."""

from pathlib import Path

import pytest

from cli.page import session as session_module
from tests.page.browsing import CHROMIUM, FLAGS, Server
from tests.page.idle import IdleWorker


@pytest.fixture(scope="module")
def browser():
    api = pytest.importorskip("playwright.sync_api")
    if not Path(CHROMIUM).exists():
        pytest.fail("Debian's chromium is not installed; the check installs it")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def served(tmp_path):
    """A folder whose page can be served, and served again."""
    server = Server(tmp_path / "bench")
    yield server
    server.stop()


@pytest.fixture
def idle(monkeypatch):
    """A session's workers do nothing."""
    monkeypatch.setattr(session_module, "Worker", IdleWorker)
