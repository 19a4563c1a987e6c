"""Fixtures of the tests in a real browser; all are skipped only where there is no Chromium."""

import pytest
import served


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    return served.new_home(tmp_path_factory.mktemp("family"))


@pytest.fixture(scope="module")
def server(home):
    with served.serving(home) as address:
        yield address


# A module at a time: while it is open, its loop runs in this thread, and no kernel of a notebook
# test that comes after it would be heard.
@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    if served.CHROMIUM is None:
        pytest.skip("no Chromium on this computer")
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=served.CHROMIUM, headless=True, args=served.FLAGS
        )
        yield chromium
        chromium.close()


@pytest.fixture
def page(browser):
    page = served.watched(browser.new_page(viewport={"width": 1400, "height": 1000}))
    yield page
    page.close()
