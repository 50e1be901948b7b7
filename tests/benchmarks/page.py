"""A desk and an empty widget on a page of the real JupyterLab, timed until painted."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import nbformat
from nbformat import v4
from playwright.sync_api import Page

from harmony.resources import find_desks
from tests.browser.finding import find_browser
from tests.browser.serving import Served, clean_environment, open_page, serve_workbench

_TEXT = "D: I | V6 | vi | IV6 | I64 | ii65 | V7 | I | vi | iii | IV | ii6 | V | V42 | I6 | I"
#: A cell with desk 1: four voices by sixteen chords.
SIXTEEN_CHORDS = f"""
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.view import ProgressionDesk

ProgressionDesk(Choices({_TEXT!r}, "SATB choir"))
"""
_ECHO = '''
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
#: The time, in milliseconds, of an empty widget's round trip; it waits until the kernel rests.
EMPTY = "() => document.querySelector('.bench-echo').echo()"
# A part's revision changes in the task that draws it; the frame after that task paints it.
PAINTED = """
    const allPainted = (parts, act) => {
        const start = performance.now();
        const seen = parts.map(part => new Promise(done => {
            const watch = new MutationObserver(() => {
                watch.disconnect();
                requestAnimationFrame(() => setTimeout(() => done(performance.now() - start)));
            });
            watch.observe(part, {attributeFilter: ['data-revision']});
        }));
        act();
        return Promise.all(seen);
    };
    const painted = async (part, act) => (await allPainted([part], act))[0];
"""


def _prepare_folder(place: Path, desk: str) -> None:
    """Put a desk (its cell) and an echo into the folder, signed as its owner's own."""
    desks = place / "sketchbook" / "desks"
    desks.mkdir(parents=True)
    for name in (path.name for path in find_desks().glob("*.ipynb")):
        (desks / name).write_text(nbformat.writes(v4.new_notebook()), encoding="utf-8")
    notebook = v4.new_notebook(cells=[v4.new_code_cell(desk), v4.new_code_cell(_ECHO)])
    path = desks / "progression.ipynb"
    path.write_text(nbformat.writes(notebook), encoding="utf-8")
    sign = (
        "import sys, nbformat; from nbformat.sign import NotebookNotary as N;"
        "N().sign(nbformat.read(sys.argv[1], as_version=4))"
    )
    subprocess.run(
        [sys.executable, "-c", sign, str(path)], env=clean_environment(place / "home"), check=True
    )


@contextmanager
def open_bench(place: Path, desk: str) -> Iterator[tuple[Page, Served]]:
    """Open a desk (its cell) with an echo below it, in a workbench of its own."""
    _prepare_folder(place, desk)
    with serve_workbench(place, browser=find_browser()) as served, open_page(served) as page:
        page.locator(".hw-score g.note").first.wait_for(state="attached")
        page.locator(".bench-echo").wait_for(state="attached")
        yield page, served
