"""A browser for the tests of the page and of the report, and the same random examples wherever the tests are run."""

from pathlib import Path

import pytest
from hypothesis import settings

from tests.page.browsing import CHROMIUM, FLAGS

settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")


@pytest.fixture(scope="module")
def browser():
    api = pytest.importorskip("playwright.sync_api")
    if not Path(CHROMIUM).exists():
        pytest.fail("Debian's chromium is not installed; the check installs it")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()
