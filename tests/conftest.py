"""A browser for the tests of the page and of the report."""

from pathlib import Path

import pytest

from tests.page.browsing import CHROMIUM, FLAGS


@pytest.fixture(scope="module")
def browser():
    api = pytest.importorskip("playwright.sync_api")
    if not Path(CHROMIUM).exists():
        pytest.fail("Debian's chromium is not installed; the check installs it")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()
