"""A newcomer, who reads nothing: from the first page to a file for the notation program."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

import pytest
from playwright.sync_api import Locator, Page, expect

from tests.browser.finding import find_browser
from tests.browser.opening import PATIENCE
from tests.browser.serving import Served, open_page, serve_workbench
from tests.published.musicxml_schema import faults

pytestmark = [pytest.mark.browser, pytest.mark.timeout(300)]

SMALL_SCREEN = {"width": 1280, "height": 800}


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    """A workbench nobody has used yet: other tests leave folds of a desk open."""
    with serve_workbench(tmp_path_factory.mktemp("newcomer"), browser=find_browser()) as served:
        yield served


@pytest.fixture(scope="module")
def walk(served: Served) -> Iterator[Page]:
    """A page of its own, at the way round."""
    there = replace(served, address=served.address.replace("progression.ipynb", "start.ipynb"))
    with open_page(there, **SMALL_SCREEN) as page:
        page.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)
        yield page


def shown(page: Page) -> Locator:
    """The desk on the page; those left behind stay in it unseen."""
    return page.locator(".jp-NotebookPanel:visible")


def go(page: Page, name: str | re.Pattern[str]) -> None:
    shown(page).get_by_role("link", name=name).first.click()


def button(page: Page, name: str) -> Locator:
    return shown(page).get_by_role("button", name=name, exact=True).first


def test_four_presses_lead_from_the_first_page_to_a_kept_score(walk: Page, served: Served) -> None:
    before = set(served.folder.glob("*.musicxml"))
    go(walk, "Desk 1")
    expect(shown(walk).locator(".hw-score g.note").first).to_be_visible()
    expect(button(walk, "Play")).to_be_in_viewport()  # at once, on a small screen too
    button(walk, "Play").click()
    button(walk, "Stop").click()
    button(walk, "Keep").click()
    told = shown(walk).get_by_text(re.compile("^Kept as"))
    expect(told).to_contain_text(str(served.folder))
    (kept,) = set(served.folder.glob("*.musicxml")) - before
    assert kept.name in told.inner_text()
    assert faults(kept.read_bytes()) == []


def test_each_desk_leads_to_the_others(walk: Page) -> None:
    for name, sign in (("Desk 2", "Show C"), ("Desk 3", "Show C"), ("Desk 1", "Alternative C")):
        go(walk, re.compile(f"^{name}: "))
        expect(shown(walk).get_by_role("button", name=re.compile(f"^{sign}"))).to_be_visible()
    go(walk, "The way round")
    expect(shown(walk).get_by_role("link", name="Desk 3", exact=True)).to_be_visible()
