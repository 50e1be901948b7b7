"""The notation part alone: bars replaced one by one come to what a whole drawing is."""

from __future__ import annotations

from playwright.sync_api import Page

from harmony.workbench.parts.assets import load_script
from harmony.workbench.progression.picture import Drawing
from harmony.workbench.progression.sliders import sliders
from harmony.workbench.progression.state import Choices
from harmony.workbench.progression.work import find_best

TEXT = "D: I V6 | vi IV6 | I64 ii65 | V7 | I vi | iii IV | ii6 V | I"
MOSTLY = 0.5
SHOW = """
async ([code, pictures]) => {
    const part = await import(URL.createObjectURL(new Blob([code], {type: "text/javascript"})));
    const state = {picture: pictures[0], notes: [], under: [], chosen: [], label: "", revision: 0,
                   desk: "", width: 1240};
    const listeners = [];
    const model = {
        get: name => state[name], set: (name, value) => { state[name] = value; },
        on: (name, call) => { if (name === "change:revision") listeners.push(call); },
        off: () => {}, send: () => {}, save_changes: () => {},
    };
    const el = document.createElement("div");
    document.body.append(el);
    part.default.render({model, el});
    const page = el.querySelector(".hw-sheet").shadowRoot.querySelector(".hw-picture");
    const whole = document.createElement("div");
    let [all, kept] = [0, 0];
    const same = pictures.slice(1).map(picture => {
        const bars = [...page.querySelectorAll("g.measure")].map(bar =>
            [bar, bar.outerHTML, [...bar.querySelectorAll("g.note")]]);
        Object.assign(state, {picture, revision: state.revision + 1});
        listeners.forEach(call => call());
        whole.innerHTML = picture;
        for (const [bar, before, notes] of bars) {
            if (bar.outerHTML === before) continue;
            all += notes.length;
            kept += notes.filter(note => note.isConnected).length;
        }
        return page.innerHTML === whole.innerHTML;
    });
    return [same, kept / all];
}
"""


def test_bars_replaced_one_by_one_come_to_the_whole_picture(page: Page) -> None:
    drawing, choices, pictures = Drawing(), Choices(TEXT, "SATB choir"), []
    for number in range(9):
        name = sliders()[number % 3].name
        choices = choices.with_slider(name, 2 if number % 2 else -2)
        pictures.append(drawing.draw(find_best(choices), width=1240))
    assert len(set(pictures)) > 3
    code = load_script("score", inner_style="notation")
    alone = page.context.new_page()
    try:
        alone.goto("about:blank")
        same, kept = alone.evaluate(SHOW, [code, pictures])
    finally:
        alone.close()
    assert same == [True] * 8
    assert kept > MOSTLY  # of the notes in bars that changed; else all of them are painted anew
