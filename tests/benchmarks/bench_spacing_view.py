"""The spacing view in the real JupyterLab, against an empty widget's round trip.

Four voices by sixteen chords, the view open. Measured until painted: the view after an
arrow key has gone to the next chord, and after a step of a slider, there also how much
later than the notation. Aim on two cores at rest: a step of the view within the empty
round trip plus 30 ms (median).
"""

from __future__ import annotations

import json
import statistics
from pathlib import Path

import pytest

from tests.benchmarks.ledger import Ledger
from tests.benchmarks.page import EMPTY, PAINTED, SIXTEEN_CHORDS, open_bench
from tests.browser.desk import Desk

pytestmark = [pytest.mark.benchmark, pytest.mark.browser, pytest.mark.timeout(900)]

ROUNDS = 30
ARROW = (
    "key => {"
    + PAINTED
    + """
    const pressed = new KeyboardEvent('keydown', {key, bubbles: true, cancelable: true});
    return painted(document.querySelector('.hw-spacing'), () =>
        document.querySelector('.hw-sheet').dispatchEvent(pressed));
}"""
)
SLIDE = (
    "index => {"
    + PAINTED
    + """
    const slider = document.querySelectorAll('.hw-sliders input')[index % 3];
    const parts = ['.hw-score', '.hw-spacing'].map(name => document.querySelector(name));
    return allPainted(parts, () => {
        slider.value = index % 2 ? 1 : -1;
        slider.dispatchEvent(new Event('input'));
    });
}"""
)


def test_a_step_of_the_spacing_view(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ledger: Ledger
) -> None:
    echoes, arrows, sliders = [], [], []
    with open_bench(tmp_path, SIXTEEN_CHORDS) as (page, served):
        desk = Desk(page, served.folder)
        desk.wait_until_ready()
        page.evaluate(ARROW, "Home")
        for number in range(ROUNDS):
            page.evaluate(EMPTY)  # waits until the kernel rests
            echoes.append(page.evaluate(EMPTY))
            key = "ArrowRight" if number // 15 % 2 == 0 else "ArrowLeft"
            arrows.append(page.evaluate(ARROW, key))
            page.evaluate(EMPTY)
            sliders.append(page.evaluate(SLIDE, number))
            desk.rests()
    empty = statistics.median(echoes)
    arrow = statistics.median(arrows)
    later = statistics.median(seen - drawn for drawn, seen in sliders)
    medians = {
        "round trip": empty,
        "arrow: view": arrow,
        "slider: notation": statistics.median(drawn for drawn, _ in sliders),
        "slider: view": statistics.median(seen for _, seen in sliders),
        "slider: view after notation": later,
    }
    ledger.enter("spacing_painted", arrow - empty, ratio=(arrow - empty) / empty)
    with capsys.disabled():
        told = json.dumps({name: round(value, 1) for name, value in medians.items()})
        print(
            f"\nmilliseconds, medians of {ROUNDS}: {told}; {arrow - empty:.0f} over the round trip"
        )
    assert len(arrows) == len(sliders) == ROUNDS
