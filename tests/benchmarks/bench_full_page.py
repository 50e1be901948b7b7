"""Twenty staves drawn again in the real JupyterLab, against an empty widget's round trip.

Sixteen bars of four quarters in each staff, all 1,280 notes moved, on the sheet of desk 1:
from the key that asks for it until the notation is painted, engraving included. Aim on two
cores at rest: 0.7 s.
"""

from __future__ import annotations

import statistics
from pathlib import Path

import pytest

from tests.benchmarks.ledger import Ledger
from tests.benchmarks.page import EMPTY, PAINTED, open_bench

pytestmark = [pytest.mark.benchmark, pytest.mark.browser, pytest.mark.timeout(900)]

ROUNDS = 9
STAVES, SLOTS = 20, 64
CELL = f"""
from fractions import Fraction
from harmony.pitch import MeterMap, Pitch
from harmony.scoring import Event, Part, Score, Staff
from harmony.workbench.page import page_units
from harmony.workbench.parts.score import Sheet
from harmony.workbench.progression.picture import engrave_for_screen, lighten

NAMES = [("E5", "F5"), ("C5", "A4"), ("G4", "B4"), ("C3", "D3")]

def draw(turn, lines=()):
    parts = []
    for number in range({STAVES}):
        pitches = [Pitch.from_text(name) for name in NAMES[number % 4]]
        events = tuple(
            Event(Fraction(at), Fraction(1), (pitches[(at + turn) % 2],), id=f"s{{at}}v{{number}}")
            for at in range({SLOTS})
        )
        parts.append(Part(f"Player {{number + 1}}", (Staff(events),)))
    return engrave_for_screen(Score(tuple(parts), MeterMap.steady("4/4")), sheet.width, lines)

def show(*_note):
    drawn = draw(sheet.revision, show.lines)
    show.lines = drawn.lines
    notes = [
        dict(id=f"s{{at}}v{{voice}}", slot=at, voice=voice, spoken="a note", pinned=False)
        for at in range({SLOTS}) for voice in range({STAVES})
    ]
    sheet.show(
        picture=lighten(drawn), notes=notes, under=[], chosen=(0, 0), label="Notation for 20"
    )

sheet = Sheet(desk="bench")
sheet.add_class("hw-desk")
show.lines = ()
sheet.on_note(show)
show()
sheet
"""
ENTER = (
    "() => {"
    + PAINTED
    + """
    const pressed = new KeyboardEvent('keydown', {key: 'Enter', bubbles: true, cancelable: true});
    return painted(document.querySelector('.hw-score'), () =>
        document.querySelector('.hw-sheet').dispatchEvent(pressed));
}"""
)


def test_twenty_staves_on_the_screen(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ledger: Ledger
) -> None:
    drawn, echoes = [], []
    with open_bench(tmp_path, CELL) as (page, _):
        assert page.locator(".hw-score g.note").count() == STAVES * SLOTS
        page.evaluate(ENTER)
        for _ in range(ROUNDS):
            echoes.append(page.evaluate(EMPTY))
            drawn.append(page.evaluate(ENTER))
    seconds, empty = statistics.median(drawn) / 1000, statistics.median(echoes) / 1000
    ledger.enter("twenty_staves_painted", seconds, ratio=seconds / empty)
    with capsys.disabled():
        print(f"\n20 staves drawn again: {seconds:.2f} s, an empty round trip {empty:.3f} s")
