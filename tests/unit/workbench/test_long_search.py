"""A search over many voices: beside the desk, told, stopped, given up, replaced by its proof."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Coroutine, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from harmony.search import Progress, StoppedError
from harmony.sketchbook import Sketchbook
from harmony.voicings import problem as problem_module
from harmony.workbench.progression import view as view_module
from harmony.workbench.progression.opening import opening_choices
from harmony.workbench.progression.presenter import present_result
from harmony.workbench.progression.searching import (
    OTHERS,
    PRICES,
    PROVING,
    Looking,
    find_in_stages,
    tell_progress,
)
from harmony.workbench.progression.view import STILL_BEFORE, ProgressionDesk
from harmony.workbench.progression.work import (
    Work,
    find_best,
    find_prices,
    prepare_text,
    takes_long,
)
from tests.unit.workbench.messages import send

TEXT = "D: I V65 | vi IV | V7 I"
QUINTET = opening_choices().with_text(TEXT).with_ensemble("string quintet")


@pytest.fixture
def everything_is_large(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setattr(problem_module, "LARGEST_TABLE", 0)
    prepare_text.cache_clear()
    yield
    prepare_text.cache_clear()


class Stopping:
    """A watch that asks to stop at the progress of this number, and keeps what it is given."""

    def __init__(self, at: int | None = None, aim: str = "") -> None:
        self.at, self.aim, self.stops_making = at, aim, False
        self.seen: list[Looking] = []
        self.given: list[Work] = []

    def __call__(self, looking: Looking) -> bool:
        if looking.progress is None:
            return self.stops_making  # lists and tables: nothing is found yet
        self.seen.append(looking)
        counted = [one for one in self.seen if not self.aim or one.aim == self.aim]
        return self.at is not None and len(counted) >= self.at

    def hand_over(self, then: Callable[[Any], object], value: Any) -> None:
        then(value)


def test_what_is_said_of_a_search() -> None:
    far = Progress(0.4, 407.0, 242.5)
    assert tell_progress(Looking(PROVING, far)) == (
        "Looking for the best, 40% done: what is shown costs 407; nothing can cost less than 242.5."
    )
    assert tell_progress(Looking(OTHERS, far)) == "Looking for alternatives \u2026"
    assert tell_progress(Looking(PRICES, far)) == "Looking for what other notes cost, 40% done."
    making = tell_progress(Looking(PROVING, replace(far, makes_engine=True)))
    assert making.endswith("made for the first time on this machine, which takes seconds.")


def test_many_voices_are_sought_beside_the_desk_and_few_at_once() -> None:
    assert not takes_long(QUINTET)
    assert takes_long(QUINTET.with_ensemble("woodwind choir"))


@pytest.mark.usefixtures("everything_is_large")
def test_a_good_voicing_comes_first_then_the_proof_then_the_alternatives() -> None:
    assert takes_long(QUINTET)
    watch = Stopping()
    found = find_in_stages(QUINTET, watch, watch.given.append)
    first, proven = watch.given
    assert first.shown.outcome.status == "stopped"
    assert first.shown.outcome.lower_bound <= proven.shown.cost <= first.shown.cost
    assert (proven.shown.outcome.status, len(proven.alternatives)) == ("optimal", 1)
    assert found.is_whole
    assert not found.is_cut_short
    assert [one.cost for one in found.alternatives] == sorted(
        one.cost for one in found.alternatives
    )
    assert len(found.alternatives) == 5
    assert found.shown.pitches == proven.shown.pitches
    told = present_result(first, is_searching=True)
    assert told.endswith("whether another voicing costs less is being looked into.")


@pytest.mark.usefixtures("everything_is_large")
def test_stop_keeps_the_best_so_far_with_its_bound() -> None:
    proven = find_best(QUINTET)
    stopped = find_in_stages(QUINTET, watch := Stopping(at=2), watch.given.append)
    assert stopped.is_cut_short
    assert stopped.shown.outcome.status == "stopped"
    assert stopped.shown.outcome.lower_bound <= proven.shown.cost <= stopped.shown.cost
    assert "The search was stopped; the best possible is" in present_result(stopped)


@pytest.mark.usefixtures("everything_is_large")
def test_stopped_among_the_alternatives_the_best_stays_proven() -> None:
    watch = Stopping(at=2, aim=OTHERS)
    stopped = find_in_stages(QUINTET, watch, watch.given.append)
    assert (stopped.is_whole, stopped.is_cut_short) == (True, True)
    assert stopped.shown.outcome.status == "optimal"
    assert present_result(stopped).endswith("proven. The search for alternatives was stopped.")


def test_stopped_while_voicings_are_listed_nothing_is_found() -> None:
    watch = Stopping()
    watch.stops_making = True
    prepare_text.cache_clear()
    with pytest.raises(StoppedError):
        find_in_stages(QUINTET, watch, watch.given.append)
    assert watch.given == []
    assert tell_progress(Looking(PROVING)).startswith("Listing the voicings")
    assert tell_progress(Looking(PRICES)).startswith("Looking for what other notes cost")
    watch.stops_making = False
    assert find_in_stages(QUINTET, watch, watch.given.append).is_whole


Script = Callable[[ProgressionDesk], Coroutine[Any, Any, None]]


def on_a_desk(tmp_path: Path, script: Script) -> ProgressionDesk:
    """Open desk 1 as in JupyterLab, with a loop that runs, and do something there."""

    async def open_and_do() -> ProgressionDesk:
        desk = ProgressionDesk(sketchbook=Sketchbook(tmp_path))
        await script(desk)
        return desk

    return asyncio.run(open_and_do())


async def until(condition: Callable[[], bool]) -> None:
    """Let the loop go on until something holds; the suite's own limit ends a wait in vain."""
    while not condition():
        await asyncio.sleep(0.005)


class Held:
    """Stands for `find_in_stages`: searches wait until they are let go."""

    def __init__(self) -> None:
        self.begun: list[str] = []
        self.go = threading.Event()

    def __call__(self, choices: Any, watch: Any, show: Any) -> Work:
        self.begun.append(choices.text)
        watch.hand_over(show, find_best(choices))
        while not self.go.is_set() and not watch(Looking(PROVING, Progress(0.5, 9.0, 5.0))):
            self.go.wait(0.005)
        return find_in_stages(choices, Stopping(), lambda _work: None)


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Held:
    held = Held()
    monkeypatch.setattr(view_module, "find_in_stages", held)
    monkeypatch.setattr(view_module, "takes_long", lambda choices: choices.text != "C: I")
    return held


def submit(desk: ProgressionDesk, text: str) -> None:
    desk.entry.value = text
    send(desk.entry, submit=text)


def test_the_screen_is_free_and_a_button_stops(tmp_path: Path, held: Held) -> None:
    async def script(desk: ProgressionDesk) -> None:
        assert desk.long.box.layout.display == "none"
        submit(desk, "C: I | V | I")
        assert desk.history.present.text == "C: I | V | I"  # set at once, found later
        assert desk.work.choices.text != "C: I | V | I"
        send(desk.sheet, choose=[0, 0])
        assert desk.result.text == STILL_BEFORE
        await until(lambda: desk.work.choices.text == "C: I | V | I")
        assert len(desk.sheet.notes) == 12
        await until(lambda: desk.long.box.layout.display is None)
        await until(lambda: "nothing can cost less than 5" in desk.long.message.text)
        send(desk.sheet, choose=[1, 2])  # what is there can be looked at meanwhile
        assert desk.history.present.chosen == (1, 2)
        send(desk.cards, press="B")
        assert "still looked for" in desk.result.text
        send(desk.long.cancel, press="cancel")
        await until(lambda: not desk.long.is_running)
        assert desk.long.box.layout.display == "none"

    desk = on_a_desk(tmp_path, script)
    assert held.begun == ["C: I | V | I"]
    assert desk.history.present.chosen == (1, 2)
    assert desk.work.is_whole


def test_another_text_or_slider_takes_the_place_of_a_search(tmp_path: Path, held: Held) -> None:
    async def script(desk: ProgressionDesk) -> None:
        submit(desk, "C: I | V | I")
        await until(lambda: held.begun == ["C: I | V | I"])
        desk.sliders.values = {**desk.sliders.values, "motion": 2}
        await until(lambda: len(held.begun) == 2)
        submit(desk, "C: I | IV | I")
        held.go.set()
        await until(lambda: not desk.long.is_running)

    desk = on_a_desk(tmp_path, script)
    assert desk.work.choices.text == desk.history.present.text == "C: I | IV | I"
    assert dict(desk.history.present.sliders) == {"motion": 2}
    assert desk.work.is_whole
    send(desk.actions, press="undo")
    assert desk.history.present.text == "C: I | V | I"


def test_a_short_search_gives_a_long_one_up(tmp_path: Path, held: Held) -> None:
    async def script(desk: ProgressionDesk) -> None:
        submit(desk, "C: I | V | I")
        await until(lambda: len(held.begun) == 1)
        submit(desk, "C: I")
        assert not desk.long.is_running
        held.go.set()
        await asyncio.sleep(0.05)

    desk = on_a_desk(tmp_path, script)
    assert desk.work.choices.text == desk.history.present.text == "C: I"


@pytest.mark.parametrize("fault", [RuntimeError("the lamp went out"), None])
def test_what_goes_wrong_in_the_thread_is_told_and_the_last_good_result_stays(
    tmp_path: Path,
    held: Held,
    fault: Exception | None,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    def fail(*_arguments: object) -> Work:
        if fault:
            raise fault
        return find_best(opening_choices().with_text("C: {C Db D Eb E F Gb}"))

    monkeypatch.setattr(view_module, "find_in_stages", fail)
    said: list[str] = []

    async def script(desk: ProgressionDesk) -> None:
        before = desk.history, desk.work.shown
        submit(desk, "C: I | V | I")
        await until(lambda: not desk.long.is_running)
        assert (desk.history, desk.work.shown) == before
        assert desk.entry.value == "C: I | V | I"
        said.append(desk.entry.message)

    on_a_desk(tmp_path, script)
    if fault:
        assert said[0].startswith("The workbench itself failed here (RuntimeError: the lamp went")
        assert "a search failed" in caplog.text
    else:
        assert "has 7 different notes" in said[0]


@pytest.mark.usefixtures("everything_is_large")
def test_prices_of_notes_come_beside_the_desk_and_are_kept(tmp_path: Path) -> None:
    async def script(desk: ProgressionDesk) -> None:
        desk.search(QUINTET)
        await until(lambda: not desk.long.is_running)
        send(desk.sheet, choose=[2, 1])
        await until(lambda: desk.bill.hint.startswith("What other notes cost is told once"))
        await until(lambda: bool(desk.bill.candidates))
        before = desk.bill.notes_heading
        send(desk.sheet, choose=[3, 1])  # the table has the prices of all
        await until(lambda: desk.bill.notes_heading != before)
        assert desk.bill.candidates
        assert not desk.long.is_running

    desk = on_a_desk(tmp_path, script)
    small = prepare_text(QUINTET.text, QUINTET.ensemble)
    exact = small.prices(desk.work.shown.weights)[3][1]
    assert find_prices(desk.work, 3, 1) == pytest.approx(exact)
