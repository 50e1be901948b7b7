"""The desks against the accessibility rules A and AA of WCAG, by axe-core; by keyboard alone."""

from __future__ import annotations

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page

from tests.browser.desk import Desk
from tests.browser.opening import open_desk
from tests.browser.serving import Served

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


#: Until none is closed: a desk that has just opened may take up what its kernel remembers.
OPEN_EVERYTHING = """() => {
    const closed = [...document.querySelectorAll('.hw-desk [aria-expanded=false]')];
    closed.forEach((fold) => fold.click());
    const terms = [...document.querySelectorAll('.hw-desk details:not([open])')];
    terms.forEach((fold) => (fold.open = true));
    return closed.length + terms.length === 0
        && document.querySelector('.hw-desk [aria-expanded], .hw-desk details') !== null;
}"""


@pytest.mark.parametrize("name", ["progression", "theme", "harmonising"])
def test_no_rule_is_broken_with_every_fold_open(served: Served, name: str) -> None:
    with open_desk(served, name) as page:
        page.wait_for_function(OPEN_EVERYTHING, polling=1000)
        assert find_faults(page) == []
        page.emulate_media(color_scheme="dark")
        page.wait_for_function("() => document.body.dataset.jpThemeLight === 'false'")
        assert find_faults(page) == []


WHERE_FOCUS_IS = """() => {
    let now = document.activeElement;
    const part = now.closest('.hw-part');
    if (!part) return null;
    const style = getComputedStyle(now);
    const box = now.getBoundingClientRect();
    return {
        name: now.getAttribute('aria-label') || now.textContent.trim() || now.id,
        tag: now.tagName,
        top: box.top + scrollY,
        isSeen: box.width > 0 && box.height > 0,
        isRinged: style.outlineStyle !== 'none' || style.boxShadow !== 'none',
    };
}"""


def test_the_tab_key_goes_through_desk_1_and_the_focus_is_seen(desk: Desk) -> None:
    desk.text_box.focus()
    stops = []
    for _ in range(80):
        stop = desk.page.evaluate(WHERE_FOCUS_IS)
        if stop is None:
            break
        stops.append(stop)
        desk.page.keyboard.press("Tab")
    assert all(stop["isSeen"] and stop["isRinged"] for stop in stops), stops
    names = [stop["name"] for stop in stops]
    sheet, first_card = (
        next(n for n, name in enumerate(names) if name.startswith(start))
        for start in ("Notation for", "Alternative A")
    )
    places = [names.index("Voice it"), sheet, names.index("Play"), names.index("Keep"), first_card]
    places.append(names.index("Hear it tuned pure"))
    assert places == sorted(places), names
    assert any("Save the picture as SVG" in name for name in names)
    assert any("Spread it like the series" in name for name in names)
