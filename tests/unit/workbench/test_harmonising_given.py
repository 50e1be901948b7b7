"""Desk 3 given something else than a melody: a bass, an inner voice, two lines; counter-melodies.

The bass under a tune is four bars of our own, in D, written for this test.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from harmony.harmonising.compare import chord_at
from harmony.harmonising.lines import BASS, BOTH, INNER
from harmony.harmonising.standing import bass_at
from harmony.pitch import Theme
from harmony.reading.opening import read
from harmony.workbench.harmonising.keeping import keep_to_choices
from harmony.workbench.harmonising.presenter import present_sound
from harmony.workbench.harmonising.tune import open_given, read_typed
from harmony.workbench.harmonising.view import HarmonisingDesk
from tests.unit.workbench.messages import send

TWO_LINES = """T:Two lines
M:4/4
L:1/4
K:D
V:1
d2 c d | e2 d2 | f2 e d | d4 |
V:2
D2 E F | A,2 B,2 | D2 G, A, | D,4 |"""


@pytest.fixture
def desk() -> HarmonisingDesk:
    return HarmonisingDesk()


@pytest.fixture
def two_lines(desk: HarmonisingDesk) -> HarmonisingDesk:
    desk.typed.entry.put(TWO_LINES)
    send(desk.typed.taking, press="take")
    return desk


def ask(desk: HarmonisingDesk, **values: str) -> None:
    for name, value in values.items():
        getattr(desk.asking, name).value = value
    send(desk.asking.ask, press="ask")


def keep(desk: HarmonisingDesk) -> Any:
    kept = desk.shelf._take_keeping("keep", "Given")
    assert kept is None
    return desk.sketchbook.open("Given")


def check_that_all_stand_on(bass: Theme, desk: HarmonisingDesk) -> None:
    for one in desk.work.alternatives:
        for slot in one.progression:
            note = bass_at(bass, slot.onset)
            assert note is not None
            assert note.pitch is not None
            assert slot.bass is not None
            assert slot.bass.pitch_class == note.pitch.pitch_class


def test_a_tune_taken_as_the_bass_carries_every_chord(desk: HarmonisingDesk) -> None:
    ask(desk, given="the bass")
    assert desk.found.text.startswith("The bass, in E major")
    assert desk.work.found.given.kind == BASS
    assert len(desk.work.alternatives) == 5
    check_that_all_stand_on(desk.work.theme, desk)
    assert desk.shelf.carried.voice.value == "Cello"


def test_what_is_asked_again_of_a_bass_still_stands_on_it(desk: HarmonisingDesk) -> None:
    ask(desk, given="the bass")
    for name in ("closer", "less"):
        send(desk.changing.nearness, press=name)
        check_that_all_stand_on(desk.work.theme, desk)


def test_an_inner_voice_is_drawn_heard_and_kept(desk: HarmonisingDesk) -> None:
    ask(desk, given="an inner voice")
    assert desk.work.found.given.kind == INNER
    assert desk.found.text.startswith("The inner voice, in E major")
    assert len(present_sound(desk.work)["voices"]) == 4
    kept = keep(desk)
    assert keep_to_choices(kept) == desk.work.choices


def test_tune_and_bass_typed_together_are_harmonised_between(two_lines: HarmonisingDesk) -> None:
    desk = two_lines
    ask(desk, given="tune and bass given")
    assert desk.work.found.given.kind == BOTH
    assert desk.found.text.startswith("Tune and bass, in D major")
    bass = open_given(desk.work.choices.question).bass
    assert bass is not None
    check_that_all_stand_on(bass, desk)
    players = [voice["notes"] for voice in present_sound(desk.work)["voices"]]
    assert [midi for _, _, midi in players[1]] == [
        note.pitch.midi for note in bass.line.sounding if note.pitch
    ]
    kept = keep(desk)
    assert keep_to_choices(kept) == desk.work.choices
    assert [part.name for part in read(kept.score_path).parts][-1] == "Bass"


def test_a_score_of_one_part_has_no_bass_to_give(desk: HarmonisingDesk) -> None:
    before = desk.work
    desk.asking.given.value = "tune and bass given"
    desk.asking.bass.options = ["1: Theme"]
    desk.asking.bass.value = "1: Theme"
    send(desk.asking.ask, press="ask")
    assert desk.asking.bars.message == (
        "'Pattern drawer' has no other part for the bass; choose a score with two parts, or another"
        " theme under Its bass."
    )
    assert desk.work is before


def test_an_idiom_that_makes_its_own_bass_says_so_on_a_bass(desk: HarmonisingDesk) -> None:
    ask(desk, given="the bass", idioms="pedal")
    assert "makes its own bass; common-practice, modal" in desk.asking.bars.message + (
        desk.asking.key.message
    )


def test_a_counter_melody_is_written_told_heard_and_kept(desk: HarmonisingDesk) -> None:
    voices = len(present_sound(desk.work)["voices"])
    send(desk.counter, press="counter")
    assert desk.apart.text.startswith("The counter-melody to A: ")
    assert len(present_sound(desk.work)["voices"]) == voices + 1
    assert desk.counter.items[0]["label"] == "Take the counter-melody away"
    kept = keep(desk)
    names = [part.name for part in read(kept.score_path).parts]
    assert names[1] == "Counter-melody"
    assert keep_to_choices(kept) == desk.work.choices
    send(desk.counter, press="counter")
    assert "counter-melody" not in desk.apart.text


def test_the_counter_melody_follows_the_alternative_shown(desk: HarmonisingDesk) -> None:
    send(desk.counter, press="counter")
    desk._take_offer("show", "C")
    assert desk.apart.text.startswith("The counter-melody to C: ")
    sound = present_sound(desk.work)["voices"][1]["notes"]
    one = desk.work.shown
    for onset, _length, midi in sound:
        chord = chord_at(one, type(one.progression.end)(onset))
        assert chord is not None
        assert midi % 12 in chord.pitch_classes


def test_a_counter_melody_to_a_bass_is_refused_in_a_sentence(desk: HarmonisingDesk) -> None:
    ask(desk, given="the bass")
    send(desk.counter, press="counter")
    assert desk.apart.text.startswith("A counter-melody is written to a melody;")


def test_typed_lines_are_two_parts() -> None:
    assert len(read_typed(TWO_LINES).parts) == 2


def test_chords_named_by_symbols_are_kept_so(desk: HarmonisingDesk, tmp_path: Path) -> None:
    desk.figures.value = "by chord symbols"
    assert desk.work.shown.progression.slots[0].figure == "E"
    kept = keep(desk)
    assert keep_to_choices(kept) == desk.work.choices
    written = read(kept.score_path).harmonies
    assert {one.numeral for one in written} == {""}
    assert kept.record.settings["figures"] == "symbols"
    assert tmp_path in kept.score_path.parents


ROW = """T:Row
M:4/4
L:1/4
K:C
C ^F G _D | D ^G A _E | E _B B F |"""


def test_a_row_is_told_to_lie_in_no_scale_and_may_go_without_a_key(desk: HarmonisingDesk) -> None:
    desk.typed.entry.put(ROW)
    send(desk.typed.taking, press="take")
    assert "none under Key leaves the tune without one" in desk.found.text
    desk.asking.key.put("No key")
    send(desk.asking.ask, press="ask")
    assert "goes by the degrees of a key" in desk.asking.key.message
    ask(desk, idioms="third-relations")
    assert desk.found.text.startswith("Without a key, as you set it")
    assert desk.asking.key.text == "none"
    kept = keep(desk)
    assert keep_to_choices(kept) == desk.work.choices
