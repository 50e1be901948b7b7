"""Desk 1 as a hand uses it: by visible labels, waiting on conditions."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import Locator, Page, expect

from tests.browser.opening import redraw_by

PATIENCE = 20_000  # milliseconds
NOTATION = re.compile("^Notation for")


class Desk:
    """The desk on a page, and the sketchbook folder behind it."""

    def __init__(self, page: Page, folder: Path) -> None:
        self.page, self.folder = page, folder
        page.set_default_timeout(PATIENCE)
        expect.set_options(timeout=PATIENCE)

    @property
    def text_box(self) -> Locator:
        return self.page.get_by_role("textbox", name="Progression", exact=True)

    @property
    def ensemble(self) -> Locator:
        return self.page.get_by_role("combobox", name="Ensemble")

    @property
    def sheet(self) -> Locator:
        return self.page.get_by_role("application", name=NOTATION)

    @property
    def player(self) -> Locator:
        return self.page.locator(".hw-player")

    def button(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=name, exact=True)

    def slider(self, name: str) -> Locator:
        return self.page.get_by_role("slider", name=name, exact=True)

    def alternative(self, letter: str) -> Locator:
        return self.page.get_by_role("button", name=re.compile(f"^Alternative {letter},"))

    def wait_until_ready(self) -> None:
        expect(self.sheet.locator("g.note").first).to_be_visible()

    def undo_everything(self) -> None:
        while self.button("Undo").is_enabled():
            self.redraws(lambda: self.button("Undo").click())
        self.rests()

    def stop(self) -> None:
        if self.button("Stop").is_enabled():
            self.button("Stop").click()

    @property
    def revision(self) -> int:
        return int(self.page.locator(".hw-score").get_attribute("data-revision") or 0)

    def redraws(self, action: Callable[[], object]) -> None:
        """Act, and wait until the notation is drawn anew and all that belongs to it told."""
        redraw_by(self.page, action)
        self.rests()

    def rests(self) -> None:
        """Wait until the alternatives belong to the notation that is shown."""
        self.page.wait_for_function(
            "() => document.querySelector('.hw-cards').dataset.revision"
            " === document.querySelector('.hw-score').dataset.revision"
        )

    def write(self, text: str) -> None:
        self.text_box.fill(text)

    def voice(self, text: str) -> None:
        self.write(text)
        self.redraws(lambda: self.button("Voice it").click())

    def refuses(self, action: Callable[[], object]) -> str:
        """Act, expecting no new notation; give the sentence that is shown instead."""
        before = self.revision
        action()
        alert = self.page.locator("[role=alert]").filter(has_text=re.compile(r"\S"))
        expect(alert).to_have_count(1)
        assert self.revision == before
        return alert.inner_text().lstrip("\u2715\u00a0 ").strip()

    def note(self, slot: int, voice: int) -> Locator:
        return self.sheet.locator(f"[data-id=s{slot}v{voice}]")

    def spoken(self) -> Locator:
        return self.page.locator(".hw-score > [role=status]")

    def go_to_the_first_note(self) -> None:
        self.sheet.focus()
        for key in ("Home", "ArrowUp", "ArrowUp", "ArrowUp"):
            self.page.keyboard.press(key)

    def pinned_boxes(self) -> Locator:
        return self.sheet.locator(".hw-pinned")

    def costs(self) -> list[float]:
        return [
            to_number(text) for text in self.sheet.locator(".hw-under text").all_text_contents()
        ]

    def total(self) -> float:
        told = self.page.get_by_text(re.compile(r"^Cost \S+ in all")).inner_text()
        return to_number(told.split()[1])


def to_number(text: str) -> float:
    """Read a number as the desk writes it."""
    return float(text.replace("\u2212", "-"))
