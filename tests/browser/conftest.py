"""The real workbench, started as a composer starts it, and a browser that stays on it."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.browser.desk import Desk
from tests.browser.finding import find_browser
from tests.browser.serving import Served, open_page, serve_workbench


@pytest.fixture(scope="session")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A workbench on a fresh sketchbook, closed by Ctrl-C at the end."""
    browser = find_browser()
    with serve_workbench(tmp_path_factory.mktemp("workbench"), browser=browser) as served:
        yield served


@pytest.fixture(scope="session")
def page(served: Served) -> Iterator[Page]:
    """The page that the printed address opens."""
    with open_page(served) as page:
        yield page


@pytest.fixture
def desk(page: Page, served: Served) -> Iterator[Desk]:
    """Desk 1 as it opens: whatever the last test did is undone."""
    desk = Desk(page, served.folder)
    desk.wait_until_ready()
    desk.undo_everything()
    yield desk
    desk.stop()
    assert not served.faults, served.faults


@pytest.fixture(scope="session")
def sketchbook(served: Served) -> Path:
    """The folder the workbench was opened on."""
    return served.folder
