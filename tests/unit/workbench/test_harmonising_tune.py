"""The tune of desk 3: where it is from, and how it is read and corrected."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.pitch import Line, MeterMap, Note
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch
from harmony.reading.theme import score_to_theme
from harmony.scoring import ClefChange, Part, Score, Staff
from harmony.scoring.build import line_to_events
from harmony.sketchbook import Sketchbook
from harmony.workbench.harmonising.asking import Asking
from harmony.workbench.harmonising.keeping import (
    keep_to_choices,
    keep_work,
)
from harmony.workbench.harmonising.reading import reading_to_score
from harmony.workbench.harmonising.state import Again, Choices, Edit, Joint, Question
from harmony.workbench.harmonising.tune import (
    find_repeats,
    list_repeats,
    read_repeat,
    read_tune,
    read_typed,
    say_losses,
)
from harmony.workbench.harmonising.work import (
    Work,
    do_work,
)
from harmony.workbench.scores import name_parts, open_score, open_source
from harmony.writing.musicxml import write_musicxml

QUESTION = Question("Pattern drawer")


def test_a_keep_remembers_how_the_tune_was_corrected(work: Work, tmp_path: Path) -> None:
    asked = (
        Choices(Question("Pattern drawer", bars="1-8"))
        .with_phrase_ends((Fraction(12),))
        .with_repeats(())
        .with_edit(Edit("lock", Fraction(3), Fraction(6)))
        .with_weight("bass_line", 2)
        .with_again(Again("here", 1, 2, 3))
    )
    opened = keep_to_choices(keep_work(Sketchbook(tmp_path), "x", do_work(asked)))
    assert opened.question == asked.question


def test_a_part_and_bars_of_a_score_are_the_tune(tmp_path: Path) -> None:
    lines = [Line((Note(Fraction(0), Fraction(4), Pitch("C", 0, 5)),)), open_source("Shuttle").line]
    parts = [
        Part(
            name, (Staff(line_to_events(line, prefix=name), (ClefChange(Fraction(0), "treble"),)),)
        )
        for name, line in zip(("flute", "viola"), lines, strict=True)
    ]
    score = Score(tuple(parts), MeterMap.steady("4/4"))
    (tmp_path / "two.musicxml").write_bytes(write_musicxml(score))
    assert name_parts(open_score("two.musicxml")) == ["1: flute", "2: viola"]
    found = do_work(Choices(Question("two.musicxml", part="2", bars="5-8")))
    assert found.theme.line.end == 16
    whole = open_source("Shuttle").line.between(Fraction(16), Fraction(32))
    assert [n.pitch for n in found.melody.notes] == [n.pitch for n in whole.sounding]
    assert say_losses(found.choices.question) == ""


def test_a_typed_tune_needs_a_key_and_notes() -> None:
    score = read_typed("M:3/4\nL:1/4\nK:G\nG A B|c2 A|G3|")
    assert score_to_theme(score).key == Key.from_text("G")
    for text, part in (
        ("", "empty"),
        ("G A B", "no meter"),
        ("M:2/4\nG A B", "no key"),
        ("M:2/4\nK:G\nz4|", "no notes"),
    ):
        with pytest.raises(HarmonyError, match=part):
            read_typed(text)


def test_phrases_end_where_the_composer_says(work: Work) -> None:
    ends = {phrase.end for phrase in work.melody.phrases}
    assert Fraction(24) in ends
    other = do_work(work.choices.with_phrase_ends(tuple(sorted(ends - {Fraction(24)}))))
    assert {phrase.end for phrase in other.melody.phrases} == ends - {Fraction(24)}
    assert reading_to_score(other.melody).parts[0].staves[0].events != (
        reading_to_score(work.melody).parts[0].staves[0].events
    )


def test_repetitions_are_named_and_bind_only_while_they_are_wanted(work: Work) -> None:
    assert list_repeats(work.melody)
    free = do_work(work.choices.with_repeats(()))
    assert list_repeats(free.melody) == ()
    assert find_repeats(free.choices.question) == list_repeats(work.melody)
    added = read_repeat("1-2 in 5", free.melody)
    assert (added.kind, added.starts, added.length) == ("sequence", (0, 12), 6)
    assert list_repeats(do_work(free.choices.with_repeats((added,))).melody) == (added,)
    tune = read_tune(Question("Shuttle"))
    assert read_repeat("1-2 in 5", tune).kind == "opening"
    for text, part in (
        ("x", "names no bars"),
        ("1-2 in 99", "has bars"),
        ("1 in 4", "do not copy"),
    ):
        with pytest.raises(HarmonyError, match=part):
            read_repeat(text, work.melody)


def test_the_question_is_read_as_it_was_shown(work: Work) -> None:
    asking = Asking()
    asked = Question(
        "Pattern drawer",
        ("modal, from bar 9 quartal", "own: E A B7 C#m F#m G D C Em9 Bm"),
        key="E",
        count=2,
        pace="beats",
        bars="1-12",
    )
    found = do_work(Choices(asked))
    assert {one.idiom for one in found.alternatives} == {"modal, from bar 9 quartal", "own"}
    asking.show(found)
    assert (asking.change.value, asking.after.value) == ("at bar 9", "quartal")
    assert asking.after.layout.display is None
    assert asking.read(work.choices.with_tune("Pattern drawer", "", "1-12")).question == asked
    asking.show(work)
    assert asking.read(work.choices).question == work.choices.question


@pytest.mark.parametrize(
    ("question", "part"),
    [
        (Question("nowhere.xml"), "choose another theme"),
        (Question("Shuttle", key="H"), "not a key"),
        (Question("Shuttle", fixes=("99.1=I",)), "no bar 99"),
        (Question("Shuttle", fixes=("1.1=Qx",)), "not a chord"),
        (Question("Shuttle", turns=(Joint(2, 2, 3),)), "not joined to itself"),
    ],
)
def test_what_cannot_be_is_said_in_one_sentence(question: Question, part: str) -> None:
    with pytest.raises(HarmonyError, match=part) as caught:
        do_work(Choices(question))
    assert "\n" not in str(caught.value)
