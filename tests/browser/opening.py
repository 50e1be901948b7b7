"""A desk of the running workbench on a page of its own, as it opens."""

from __future__ import annotations

import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from playwright.sync_api import Locator, Page, expect

from tests.browser.serving import Served, open_page

PATIENCE = 40_000  # milliseconds


@contextmanager
def open_desk(served: Served, name: str) -> Iterator[Page]:
    """Open the desk of a notebook; what other tests did there before is undone."""
    there = replace(served, address=re.sub(r"\w+\.ipynb", f"{name}.ipynb", served.address))
    with open_page(there) as page:
        page.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)
        expect(page.locator(".hw-score g.note").first).to_be_visible()
        undo = page.get_by_role("button", name="Undo", exact=True)
        while undo.is_enabled():
            redraw(page, undo)
        yield page


def redraw(page: Page, pressed: Locator) -> None:
    """Press, and wait until the desk's first notation is drawn anew."""
    before = int(page.locator(".hw-score").first.get_attribute("data-revision") or 0)
    pressed.click()
    page.wait_for_function(
        "before => Number(document.querySelector('.hw-score').dataset.revision) > before",
        arg=before,
    )
