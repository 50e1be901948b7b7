"""Desk 1 against the accessibility rules A and AA of WCAG, by axe-core."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.desk import Desk

pytestmark = [pytest.mark.browser, pytest.mark.timeout(600)]

RULES = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
}
OURS = ".hw-desk"


def find_faults(page: Page) -> list[str]:
    """Name each rule broken inside the desk, with the element that breaks it."""
    found = Axe().run(page, context=OURS, options=RULES).response
    assert found["passes"], "axe looked at nothing"
    return [
        f"{fault['id']}: {node['html'][:160]}"
        for fault in found["violations"]
        for node in fault["nodes"]
    ]


def test_no_rule_is_broken_in_the_light(desk: Desk) -> None:
    desk.page.get_by_text("All the terms").click()
    desk.go_to_the_first_note()
    desk.page.get_by_role("group", name="Violin 1 at bar 1").first.wait_for()
    assert find_faults(desk.page) == []
    desk.page.get_by_text("All the terms").click()


def test_no_rule_is_broken_while_a_fault_is_shown(desk: Desk) -> None:
    desk.write("D: I | Q | I")
    assert "'Q' is not a chord" in desk.refuses(lambda: desk.button("Voice it").click())
    assert find_faults(desk.page) == []
    desk.voice("D: I | V | I")


def test_no_rule_is_broken_in_the_dark(desk: Desk) -> None:
    desk.page.emulate_media(color_scheme="dark")
    desk.page.wait_for_function(
        "() => document.body.dataset.jpThemeLight === 'false'", timeout=30_000
    )
    assert find_faults(desk.page) == []
    desk.page.emulate_media(color_scheme="light")
