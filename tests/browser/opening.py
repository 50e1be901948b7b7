"""A desk of the running workbench on a page of its own, as it opens."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace

from playwright.sync_api import Error, Locator, Page, expect

from tests.browser.serving import Served, open_page

PATIENCE = 40_000  # milliseconds
GREYED = 3_000
REVISIONS = "() => [...document.querySelectorAll('.hw-score')].map(e => e.dataset.revision).join()"


@contextmanager
def open_desk(served: Served, name: str) -> Iterator[Page]:
    """Open the desk of a notebook; what other tests did there before is undone."""
    there = replace(served, address=re.sub(r"\w+\.ipynb", f"{name}.ipynb", served.address))
    with open_page(there) as page:
        page.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)
        expect(page.locator(".hw-score g.note").first).to_be_visible()
        undo_everything(page)
        yield page


def undo_everything(page: Page) -> None:
    """Go back to the desk as it opened."""
    undo = page.get_by_role("button", name="Undo", exact=True)
    while undo.is_enabled():
        before = page.evaluate(REVISIONS)
        try:
            undo.click(timeout=GREYED)
        except Error:
            continue  # it was greyed just after it was looked at
        # A step back may draw any notation of the desk anew, not only the first.
        page.wait_for_function(f"before => ({REVISIONS})() !== before", arg=before)


def redraw(page: Page, pressed: Locator) -> None:
    """Press, and wait until the desk's first notation is drawn anew."""
    redraw_by(page, pressed.click)


def redraw_by(page: Page, act: Callable[[], object]) -> None:
    """Do something, and wait until the desk's first notation is drawn anew."""
    before = _revision(page)
    act()
    wait_for_redraw(page, before)


def _revision(page: Page) -> int:
    return int(page.locator(".hw-score").first.get_attribute("data-revision") or 0)


def wait_for_redraw(page: Page, before: int) -> None:
    """Wait until the desk's first notation is drawn anew after a revision."""
    page.wait_for_function(
        "before => Number(document.querySelector('.hw-score').dataset.revision) > before",
        arg=before,
    )
