"""A place of desk 2's chart pressed until its canon is painted, against an empty round trip.

Both on the same page of the real JupyterLab, in turn: the demo's Shuttle, places all
over the chart, none opened twice. Aim on two cores at rest: 150 ms (median).
"""

from __future__ import annotations

import json
import statistics
from pathlib import Path

import pytest

from tests.benchmarks.ledger import Ledger
from tests.benchmarks.page import EMPTY, PAINTED, open_bench

pytestmark = [pytest.mark.benchmark, pytest.mark.browser, pytest.mark.timeout(900)]

PLACES = 30
DESK = """
from harmony.workbench.theme.view import ThemeDesk

ThemeDesk()
"""
OPEN = (
    "place => {"
    + PAINTED
    + """
    return painted(document.querySelectorAll('.hw-score')[1], () =>
        document.querySelector(`.hw-chart button[data-bench="${place}"]`).click());
}"""
)
NUMBER = """count => {
    const places = [...document.querySelectorAll('.hw-chart td button')];
    for (let one = 0; one < count; one++) {
        places[Math.floor((one + 0.5) * places.length / count)].dataset.bench = one;
    }
}"""


def test_a_place_of_the_chart(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ledger: Ledger
) -> None:
    opened, echoes = [], []
    with open_bench(tmp_path, DESK) as (page, _):
        page.locator(".hw-chart td button").first.wait_for(state="attached")
        for number in range(PLACES):
            echoes.append(page.evaluate(EMPTY))
            page.evaluate(NUMBER, PLACES)  # a chart drawn anew has lost its numbers
            opened.append(page.evaluate(OPEN, number))
            page.wait_for_timeout(600)  # mendings come a moment later
    medians = {
        name: round(statistics.median(times), 1)
        for name, times in (("round trip", echoes), ("place", opened))
    }
    ledger.enter("canon_place", medians["place"], ratio=medians["place"] / medians["round trip"])
    with capsys.disabled():
        over = medians["place"] - medians["round trip"]
        print(
            f"\nmilliseconds, medians of {PLACES}: {json.dumps(medians)}; slowest place"
            f" {max(opened):.0f}; {over:.0f} over the round trip"
        )
    assert len(opened) == PLACES
