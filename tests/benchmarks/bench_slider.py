"""A slider's step and a click on desk 1 until painted, and a slider's step on desk 3.

Both on a page of the real JupyterLab, in turn with an empty widget's round trip: four
voices by sixteen chords, and the sixteen bars that desk 3 opens with. The page is timed
too, from the address to the first note.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
from pathlib import Path

import nbformat
import pytest
from nbformat import v4

from harmony.resources import find_desks
from tests.benchmarks.ledger import Ledger
from tests.browser.desk import Desk
from tests.browser.finding import find_browser
from tests.browser.serving import clean_environment, open_page, serve_workbench

pytestmark = [pytest.mark.benchmark, pytest.mark.browser, pytest.mark.timeout(900)]

ROUNDS = 40
TEXT = "D: I | V6 | vi | IV6 | I64 | ii65 | V7 | I | vi | iii | IV | ii6 | V | V42 | I6 | I"
ECHO = '''
import anywidget, traitlets

class Echo(anywidget.AnyWidget):
    _esm = """
    export default { render({ model, el }) {
        el.classList.add("bench-echo");
        el.echo = () => new Promise(done => {
            const start = performance.now();
            const answer = () => {
                model.off("change:pong", answer);
                done(performance.now() - start);
            };
            model.on("change:pong", answer);
            model.set("ping", model.get("ping") + 1);
            model.save_changes();
        });
    } };
    """
    ping = traitlets.Int(0).tag(sync=True)
    pong = traitlets.Int(0).tag(sync=True)

    def __init__(self):
        super().__init__()
        self.observe(lambda change: setattr(self, "pong", change.new), names="ping")

Echo()
'''
DESK = f"""
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.view import ProgressionDesk

ProgressionDesk(Choices({TEXT!r}, "SATB choir"))
"""
HARMONISING_DESK = """
from harmony.workbench.harmonising.view import HarmonisingDesk

HarmonisingDesk()
"""
AFTERWARDS = 600  # milliseconds; desk 3 draws what takes longer once the slider rests
EMPTY = "() => document.querySelector('.bench-echo').echo()"
SINCE_ADDRESS = "() => performance.now()"
# The notation's revision changes in the task that draws it; the frame after that task paints it.
PAINTED = """
    const painted = act => new Promise(done => {
        const start = performance.now();
        const watch = new MutationObserver(() => {
            watch.disconnect();
            requestAnimationFrame(() => setTimeout(() => done(performance.now() - start)));
        });
        watch.observe(document.querySelector('.hw-score'), {attributeFilter: ['data-revision']});
        act();
    });
"""
STEP = (
    "index => {"
    + PAINTED
    + """
    const slider = document.querySelectorAll('.hw-sliders input')[index % 3];
    return painted(() => {
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
    return painted(() => head.dispatchEvent(new MouseEvent('click', at)));
}"""
)


def prepare_folder(place: Path, desk: str = DESK) -> None:
    """Put a desk (its cell) and an echo into the folder, signed as its owner's own."""
    desks = place / "sketchbook" / "desks"
    desks.mkdir(parents=True)
    for name in (path.name for path in find_desks().glob("*.ipynb")):
        (desks / name).write_text(nbformat.writes(v4.new_notebook()), encoding="utf-8")
    notebook = v4.new_notebook(cells=[v4.new_code_cell(desk), v4.new_code_cell(ECHO)])
    path = desks / "progression.ipynb"
    path.write_text(nbformat.writes(notebook), encoding="utf-8")
    sign = (
        "import sys, nbformat; from nbformat.sign import NotebookNotary as N;"
        "N().sign(nbformat.read(sys.argv[1], as_version=4))"
    )
    subprocess.run(
        [sys.executable, "-c", sign, str(path)], env=clean_environment(place / "home"), check=True
    )


def test_a_slider_s_step(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ledger: Ledger
) -> None:
    prepare_folder(tmp_path)
    times: dict[str, list[float]] = {"round trip": [], "slider": [], "click": []}
    with (
        serve_workbench(tmp_path, browser=find_browser()) as served,
        open_page(served) as page,
    ):
        desk = Desk(page, served.folder)
        desk.wait_until_ready()
        opened = page.evaluate(SINCE_ADDRESS) / 1000
        page.locator(".bench-echo").wait_for(state="attached")
        for number in range(ROUNDS):
            times["round trip"].append(page.evaluate(EMPTY))
            times["slider"].append(page.evaluate(STEP, number))
            desk.rests()
            times["click"].append(page.evaluate(CLICK))
            desk.rests()
    medians = find_medians(times)
    empty = medians["round trip"]
    ledger.enter("page_to_music", opened)
    for name, what in (("slider_step", "slider"), ("click", "click")):
        over = medians[what] - empty
        ledger.enter(name, over, ratio=over / empty)
    with capsys.disabled():
        print(f"\nmilliseconds, medians of {ROUNDS}: {json.dumps(medians)}; opened {opened:.1f} s")


def test_a_slider_s_step_on_desk_3(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], ledger: Ledger
) -> None:
    prepare_folder(tmp_path, HARMONISING_DESK)
    times: dict[str, list[float]] = {"round trip": [], "slider": []}
    with (
        serve_workbench(tmp_path, browser=find_browser()) as served,
        open_page(served) as page,
    ):
        page.locator(".hw-score g.note").first.wait_for(state="attached")
        page.locator(".bench-echo").wait_for(state="attached")
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
