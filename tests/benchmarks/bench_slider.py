"""A slider's step and a click on desk 1 until painted, and a slider's step on desk 3.

Both on a page of the real JupyterLab, in turn with an empty widget's round trip: four
voices by sixteen chords, and the sixteen bars that desk 3 opens with. Each begins when the
desk rests, or what it still tells of the step before would be timed with it; and a click on
a note is timed until Python's answer, the pin with the voicing found for it, is painted,
though the note is marked before.
"""

from __future__ import annotations

import json
import statistics
from pathlib import Path

import pytest
from playwright.sync_api import Page

from tests.benchmarks.ledger import Ledger
from tests.benchmarks.page import EMPTY, PAINTED, SIXTEEN_CHORDS, open_bench
from tests.browser.desk import Desk

pytestmark = [pytest.mark.benchmark, pytest.mark.browser, pytest.mark.timeout(900)]

ROUNDS = 40
HARMONISING_DESK = """
from harmony.workbench.harmonising.view import HarmonisingDesk

HarmonisingDesk()
"""
AFTERWARDS = 600  # milliseconds; what takes longer is drawn once the slider rests
STEP = (
    "index => {"
    + PAINTED
    + """
    const slider = document.querySelectorAll('.hw-sliders input')[index % 3];
    return painted(document.querySelector('.hw-score'), () => {
        slider.value = index % 2 ? 1 : -1;
        slider.dispatchEvent(new Event('input'));
    });
}"""
)
CLICK = (
    "() => {"
    + PAINTED
    + """
    const head = document.querySelector('.hw-sheet')
        .shadowRoot.querySelector('[data-id=s3v1] .notehead');
    const box = head.getBoundingClientRect();
    const [clientX, clientY] = [box.x + box.width / 2, box.y + box.height / 2];
    const at = {bubbles: true, composed: true, clientX, clientY};
    return painted(document.querySelector('.hw-score'), () =>
        head.dispatchEvent(new MouseEvent('click', at)));
}"""
)


def test_a_slider_s_step(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ledger: Ledger
) -> None:
    times: dict[str, list[float]] = {"round trip": [], "slider": [], "click": []}
    with open_bench(tmp_path, SIXTEEN_CHORDS) as (page, served):
        desk = Desk(page, served.folder)
        desk.wait_until_ready()
        for number in range(ROUNDS):
            let_rest(page, desk)
            times["round trip"].append(page.evaluate(EMPTY))
            times["slider"].append(page.evaluate(STEP, number))
            let_rest(page, desk)
            times["click"].append(page.evaluate(CLICK))
    medians = find_medians(times)
    empty = medians["round trip"]
    for name, what in (("slider_step", "slider"), ("click", "click")):
        over = medians[what] - empty
        ledger.enter(name, over, ratio=over / empty)
    with capsys.disabled():
        print(f"\nmilliseconds, medians of {ROUNDS}: {json.dumps(medians)}")


def let_rest(page: Page, desk: Desk) -> None:
    """Wait until all that belongs to the notation is told, and drawn."""
    desk.rests()
    page.wait_for_timeout(AFTERWARDS)
    page.evaluate(EMPTY)  # waits until the kernel rests


def test_a_slider_s_step_on_desk_3(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ledger: Ledger
) -> None:
    times: dict[str, list[float]] = {"round trip": [], "slider": []}
    with open_bench(tmp_path, HARMONISING_DESK) as (page, _):
        for number in range(ROUNDS):
            page.evaluate(EMPTY)  # waits until the kernel rests
            times["round trip"].append(page.evaluate(EMPTY))
            times["slider"].append(page.evaluate(STEP, number))
            page.wait_for_timeout(AFTERWARDS)
    medians = find_medians(times)
    slider = medians["slider"]
    ledger.enter("harmonising_step", slider, ratio=slider / medians["round trip"])
    with capsys.disabled():
        print(f"\nmilliseconds, medians of {ROUNDS}: {json.dumps(medians)}")


def find_medians(times: dict[str, list[float]]) -> dict[str, float]:
    assert all(len(each) == ROUNDS for each in times.values())
    return {name: round(statistics.median(each), 1) for name, each in times.items()}
