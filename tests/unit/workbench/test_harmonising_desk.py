"""The harmonising desk without a browser: what is shown for what is set."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from harmony.errors import HarmonyError
from harmony.harmonising.compare import chord_at, differences, measure, root_difference
from harmony.harmonising.costs import TERM_NAMES, usual_weights
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.idiom import load_idiom
from harmony.sketchbook import Sketchbook
from harmony.workbench.harmonising.course import LINES, draw_course
from harmony.workbench.harmonising.grid import (
    HELD,
    OTHER_FORM,
    OTHER_ROOT,
    SAME,
    build_grid,
    compare,
)
from harmony.workbench.harmonising.keeping import (
    keep_each,
    keep_to_choices,
    keep_work,
)
from harmony.workbench.harmonising.picture import ALL, Drawing, draw_letter, draw_work
from harmony.workbench.harmonising.presenter import present_figures, present_offers, present_sound
from harmony.workbench.harmonising.state import Again, Choices, Edit, Joint, Question
from harmony.workbench.harmonising.view import HarmonisingDesk
from harmony.workbench.harmonising.voicing import chords_of, shown_to_score
from harmony.workbench.harmonising.weighing import slider_items, weigh
from harmony.workbench.harmonising.words import (
    list_costs,
    say_differences,
    say_found,
    say_idea,
    say_place,
)
from harmony.workbench.harmonising.work import (
    LETTERS,
    Work,
    chords_to_fixes,
    do_work,
    place_text,
)
from harmony.workbench.parts.assets import load_style
from harmony.workbench.steps import OFF_STEP
from harmony.workbench.words import write_cost
from harmony.writing.musicxml import write_musicxml
from tests.published.musicxml_schema import faults as find_faults
from tests.unit.workbench.messages import send

QUESTION = Question("Pattern drawer")


def test_every_row_begins_together_and_has_a_cell_in_every_column(work: Work) -> None:
    grid = build_grid(work)
    assert len(grid.rows) == len(work.alternatives) == 5
    assert all(len(row) == len(grid.onsets) and row[0] is not None for row in grid.rows)
    assert sum(grid.length(c) for c in range(len(grid.onsets))) == work.melody.end


def test_held_chords_are_dashes_and_differences_are_those_of_the_chords(work: Work) -> None:
    grid = build_grid(work)
    for number, row in enumerate(grid.rows):
        slots = work.alternatives[number].progression.slots
        begun = [cell for cell in row if cell is not None and cell.begins]
        assert [cell.slot for cell in begun] == list(range(len(slots)))
        for column, cell in enumerate(row):
            own = grid.rows[0][column]
            assert cell is not None
            assert own is not None
            assert (cell.text == HELD) is not cell.begins
            one, other = slots[cell.slot].chord, work.shown.progression.slots[own.slot].chord
            assert one is not None
            assert other is not None
            is_apart = one.root.pitch_class != other.root.pitch_class
            assert (cell.kind == OTHER_ROOT) is is_apart
    assert {cell.kind for cell in grid.rows[0] if cell} == {SAME}


def test_another_bass_is_another_form_of_the_same_root() -> None:
    from harmony.chords.api import parse

    one, six, four = parse("D: I I6 IV").slots
    assert compare(six, one) == OTHER_FORM
    assert compare(four, one) == OTHER_ROOT
    assert compare(one, one) == SAME


def test_every_figure_of_the_picture_can_be_reached_and_is_spoken(work: Work) -> None:
    picture = draw_work(work, width=1240)
    figures = present_figures(work)
    drawn = set(re.findall(r'data-id="(f\d+-\d+|n\d+)"', picture))
    named = {one["id"] for one in figures}
    assert named <= drawn
    assert {one for one in drawn if one[0] == "f"} <= named
    spoken = next(one["spoken"] for one in figures if one["id"] == "f0-0")
    assert spoken == "A, bar 1, beat 1: I in E major"


def test_no_name_of_the_engraver_passes_for_a_figure(work: Work) -> None:
    picture = draw_work(work, width=1240)
    count = sum(len(row) for row in build_grid(work).rows)
    assert len(re.findall(r'data-id="f\d', picture)) >= count
    assert len(re.findall(r'data-id="f\d+-', picture)) == count
    assert draw_work(work, width=1240) == picture


def test_letters_stand_before_every_line_of_music(work: Work) -> None:
    picture = draw_work(work, width=1240)
    lines = picture.count(' class="system"')
    for letter in "ABCDE":
        assert picture.count(f'text-anchor="middle" fill="#{_ink(letter)}">{letter}<') == lines


def _ink(letter: str) -> str:
    return "fff" if letter == "A" else "000"


def test_notes_of_all_or_of_one_are_written_out(work: Work) -> None:
    every = Work(work.choices.with_notes(ALL), work.found)
    assert all(f'data-id="{letter}s0b"' in draw_work(every, width=1240) for letter in "ABCDE")
    assert 'data-id="Bs0b"' not in draw_work(work, width=1240)


def test_alternatives_share_their_columns_so_that_one_follows_another_in_time(work: Work) -> None:
    first = present_sound(work)
    second = present_sound(Work(work.choices.with_shown(1), work.found))
    assert first["chords"] == second["chords"]
    assert first["end"] == second["end"]
    assert first["voices"][0] == second["voices"][0]
    assert first["voices"][1:] != second["voices"][1:]


def test_the_chords_sound_complete_with_the_tune_and_over_their_bass(work: Work) -> None:
    for number, one in enumerate(work.alternatives):
        for slot, pitches in zip(one.progression, chords_of(work, number), strict=True):
            assert slot.bass is not None
            assert slot.chord is not None
            assert pitches[0].pitch_class == slot.bass.pitch_class
            held = {note.name for note in one.held_at(slot.onset)}
            assert {p.pitch_class for p in pitches} <= {
                n.pitch_class for n in held.union(slot.chord.names)
            }


def test_the_costs_of_chords_add_up_to_what_is_told(work: Work) -> None:
    offers = present_offers(work)
    assert [one["letter"] for one in offers] == list("ABCDE")
    assert f"cost {write_cost(work.shown.cost)}." in offers[0]["sentence"]
    total = sum(sum(terms.values()) for terms in work.shown.slot_terms)
    assert total == pytest.approx(work.shown.cost)
    assert list_costs(work.shown, 1)
    drawn = draw_course(work.shown)
    assert drawn.count("<polyline") == len(LINES) == 3
    bars = len(work.theme.meters.bars_through(work.melody.end))
    for points in re.findall(r'points="([^"]*)"', drawn):
        assert len(points.split()) == bars


def test_the_key_is_told_with_its_runner_up(work: Work) -> None:
    assert say_found(work).startswith("In E major; the next likely key is C♯ minor.")
    given = do_work(Choices(Question("Pattern drawer", key="c#")))
    assert say_found(given).startswith("In C♯ minor, as you set it.")
    assert "Roots other than A's" in say_differences(work)


def test_a_fixed_chord_stands_in_every_alternative_and_is_boxed() -> None:
    fixed = do_work(Choices(QUESTION).with_fixes("4.1=vi"))
    column = build_grid(fixed).column(Fraction(9))
    for row in build_grid(fixed).rows:
        assert row[column] is not None
        # Where an alternative holds a pedal there, it is told with the chord.
        assert row[column].text in ("vi", "vi over E")
        assert row[column].is_fixed


def test_a_locked_bar_stays_in_every_alternative(work: Work) -> None:
    fixes = chords_to_fixes(work, work.shown, frozenset({3, 11}))
    locked = do_work(work.choices.with_fixes(*fixes))
    wanted = {s.onset: s.chord for s in work.shown.progression if s.bar in (3, 11)}
    assert len(wanted) == len(fixes) == 4
    for one in locked.alternatives:
        for onset, chord in wanted.items():
            there = chord_at(one, onset)
            assert there is not None
            assert chord is not None
            assert there.root == chord.root


def test_asked_again_the_alternative_stays_first(work: Work) -> None:
    second = work.alternatives[1]
    near = do_work(work.choices.with_again(Again("closer", 2)))
    far = do_work(work.choices.with_again(Again("less", 2)))
    here = do_work(work.choices.with_again(Again("here", 2, 5, 6)))
    for again in (near, far, here):
        assert again.alternatives[0] == second
        assert again.number == 0
        assert 2 <= len(again.alternatives) <= 5
    apart = [root_difference(second, one) for one in near.alternatives[1:]]
    assert max(apart) < min(root_difference(second, one) for one in far.alternatives[1:])
    for one in here.alternatives[1:]:
        assert all(
            one.theme.meters.locate(stretch.start)[0] in (5, 6)
            for stretch in differences(second, one)
        )
    twice = do_work(near.choices.with_again(Again("less", 2)))
    assert twice.alternatives[0] == near.alternatives[1]


def test_split_join_and_move_change_the_row_of_chords(work: Work) -> None:
    onsets = {span.onset for span in work.found.spans}
    split = do_work(work.choices.with_edit(Edit("split", Fraction(2))))
    assert {span.onset for span in split.found.spans} == onsets | {Fraction(2)}
    moved = do_work(work.choices.with_edit(Edit("move", Fraction(3), Fraction(4))))
    assert {s.onset for s in moved.found.spans} == onsets - {Fraction(3)} | {Fraction(4)}


def test_it_is_told_when_what_was_joined_is_given_up(work: Work) -> None:
    joined = work.choices.with_joint(Joint(1, 4, 9), shown=5)
    for choices in (joined.with_fixes("4.1=vi"), joined.with_weight("syntax", 1)):
        assert choices.question.turns == ()
        assert choices.shown == 4
        assert "Undo leads back" in choices.about
    assert work.choices.with_fixes("4.1=vi").about == ""


def test_joined_alternatives_keep_their_bars_on_either_side(work: Work) -> None:
    joined = do_work(work.choices.with_joint(Joint(1, 4, 9), shown=5))
    assert LETTERS[joined.number] == "F"
    one, other = work.alternatives[0], work.alternatives[3]
    chords = {slot.onset: slot.chord for slot in joined.shown.progression}
    assert chords[Fraction(0)] == one.progression.slots[0].chord
    last = other.progression.slots[-1]
    assert chords[last.onset] == last.chord


def test_a_keep_opens_as_it_stood_and_is_valid_musicxml(tmp_path: Path) -> None:
    choices = Choices(QUESTION).with_fixes("4.1=vi").with_edit(Edit("split", Fraction(2)))
    kept_work = do_work(choices.with_shown(1))
    assert find_faults(write_musicxml(shown_to_score(kept_work))) == []
    keep = keep_work(Sketchbook(tmp_path), "x", kept_work)
    opened = keep_to_choices(keep)
    assert opened.question == choices.question
    assert opened.shown == 1


def test_each_alternative_is_kept_in_a_file_of_its_own(work: Work, tmp_path: Path) -> None:
    keeps = keep_each(Sketchbook(tmp_path), "x", work)
    assert [keep.name for keep in keeps] == [f"x {letter}" for letter in "ABCDE"]
    assert all(find_faults(keep.score_path.read_bytes()) == [] for keep in keeps)
    assert [keep_to_choices(keep).shown for keep in keeps] == [0, 1, 2, 3, 4]
    assert [keep.record.cost for keep in keeps] == [one.cost for one in work.alternatives]


def test_figures_change_in_the_picture_as_if_it_were_drawn_anew(work: Work) -> None:
    drawing = Drawing()
    picture = drawing.draw(work, width=1240)
    assert drawing.change_figures(work, width=1240) == picture
    other = do_work(work.choices.with_weight("likelihood", -3))
    changed = drawing.change_figures(other, width=1240)
    assert changed is not None
    assert changed != picture
    figure = re.compile(r'data-id="f(\d+)-(\d+)"([^>]*)><text.*?px">([^<]*)</tspan>')
    drawn = {(r, c): (w, text) for r, c, w, text in figure.findall(draw_work(other, width=1240))}
    assert {(r, c): (w, text) for r, c, w, text in figure.findall(changed)} == drawn
    assert drawing.change_figures(other, width=1000) is None
    split = do_work(work.choices.with_edit(Edit("split", Fraction(2))))
    assert drawing.change_figures(split, width=1240) is None


def test_costs_count_by_steps_from_the_idioms_own(work: Work) -> None:
    usual = usual_weights(load_idiom("modal"))
    asked = Question("Shuttle", ("modal, from bar 3 quartal",))
    assert weigh(asked) == {}
    moved = Choices(asked).with_weight("bass_line", 2).with_weight("idea", OFF_STEP).question
    assert weigh(moved) == {"bass_line": 4 * usual["bass_line"], "idea": 0.0}
    assert Choices(moved).with_weight("bass_line", 0).with_weight("idea", 0).question == asked
    assert {item["name"] for item in slider_items()} == set(TERM_NAMES)
    dearer = do_work(work.choices.with_weight("melody_fit", 4)).shown
    assert outside(dearer) < outside(work.shown)


def outside(one: Harmonisation) -> float:
    return next(own.value for own in measure(one) if own.name == "notes outside their chord")


def test_locked_stretches_outlast_another_plan_and_are_not_changed(work: Work) -> None:
    moved = work.choices.with_edit(Edit("join", Fraction(6)))
    locked = moved.with_edit(Edit("lock", Fraction(3), Fraction(8)))
    asked = {"idioms": ("modal",), "key": "", "count": 2}
    quicker = do_work(locked.with_asking(**asked, pace="beats"))
    assert (Fraction(3), Fraction(8)) in {(s.onset, s.end) for s in quicker.found.spans}
    for edit in (Edit("split", Fraction(4)), Edit("join", Fraction(3)), Edit("join", Fraction(8))):
        with pytest.raises(HarmonyError, match="locked"):
            do_work(locked.with_edit(edit))
        with pytest.raises(HarmonyError, match="locked"):
            do_work(quicker.choices.with_edit(edit))
    assert locked.with_edit(Edit("unlock", Fraction(3))).question == moved.question
    free = do_work(quicker.choices.with_edit(Edit("unlock", Fraction(3))))
    assert not any(span.is_locked for span in free.found.spans)


def test_places_are_written_as_the_engine_reads_them(work: Work) -> None:
    assert place_text(work.theme, Fraction(4)) == "2.2"
    assert place_text(work.theme, Fraction(7, 2)) == "2.1.5"


def test_a_chord_is_fixed_on_a_third_of_a_beat_and_in_the_pickup(tmp_path: Path) -> None:
    tune = "X:1\nT:Jig\nM:6/8\nL:1/8\nK:G\nD|G2B d2B|c2A F2D|G2B A2F|G3 z2|]\n"
    (tmp_path / "jig.abc").write_text(tune)
    asked = Choices(Question("jig.abc", count=2))
    theme = do_work(asked).theme
    third = theme.meters.bar_start(2) + 1
    assert (place_text(theme, third), place_text(theme, Fraction(0))) == ("2.5/3", "0.8/3")
    assert say_place(theme, Fraction(0)) == "the pickup, beat 2.67"
    found = do_work(asked.with_fixes("2.5/3=V7", "0.8/3=I6"))
    for onset in (third, Fraction(0)):
        column = build_grid(found).onsets.index(onset)
        assert all(row[column] and row[column].is_fixed for row in build_grid(found).rows)
    assert [chord_at(one, third).figure for one in found.alternatives] == ["V7", "V7"]


@pytest.mark.parametrize("number", [0, 2, 3, 4])
def test_a_kept_pedal_is_held_in_a_part_of_its_own(number: int) -> None:
    held = do_work(Choices(Question("Pattern drawer", idioms=("pedal",))).with_shown(number))
    one, score = held.shown, shown_to_score(held)
    parts = [part for part in score.parts if "edal" in part.name]
    assert parts
    for part in parts:
        (event,) = part.staves[0].events
        assert event.duration == one.progression.end
    names = {pitch.name for part in parts for e in part.staves[0].events for pitch in e.pitches}
    assert names == {note.name for note in one.held}
    chords = next(part for part in score.parts if part.name == "Chords")
    for slot in one.progression:
        here = {
            pitch.name
            for staff in chords.staves
            for event in staff.events
            if event.onset == slot.onset
            for pitch in event.pitches
        }
        assert here <= set(slot.chord.names)


def test_the_pickup_and_one_note_are_said_as_such(tmp_path: Path) -> None:
    (tmp_path / "up.abc").write_text("X:1\nM:4/4\nL:1/4\nK:C\nG|c d e f|g a g f|e d c2-|c3|]\n")
    said = [say_idea(one) for one in do_work(Choices(Question("up.abc", ("pedal",)))).alternatives]
    assert not any("bar 0" in one or "bars 0" in one or " 1 notes" in one for one in said)


def test_what_was_refused_is_not_said_of_what_comes_after() -> None:
    desk = HarmonisingDesk()
    desk.changing.here.put("99")
    send(desk.changing.nearness, press="here")
    assert "There are no bars 99" in desk.changing.chord.message
    desk.asking.source.value = "Shuttle"
    assert desk.changing.chord.message == ""


def test_bars_stay_on_their_lines_of_music_unless_figures_need_more_room(work: Work) -> None:
    drawing = Drawing()
    first = begin_lines(drawing.draw(work, width=1240))
    for number in range(5):
        other = replace(work, choices=work.choices.with_shown(number))
        assert begin_lines(drawing.draw(other, width=1240)) == first
    # Kept or drawn for the first time, longer figures have the room they need.
    longer = do_work(work.choices.with_fixes("5.1=viiø65/ii"))
    assert drawing.draw(longer, width=1240) == draw_work(longer, width=1240)


def begin_lines(picture: str) -> list[str]:
    """The first bar of every line of music."""
    lines = picture.split('data-class="system"')[1:]
    return [re.findall(r'data-id="(m\d+)"', line)[0] for line in lines]


def test_every_letter_has_its_colour_on_the_cards_and_in_the_picture():
    css = load_style("cards")
    on_cards = dict(
        re.findall(r"\.hw-letter-([A-Z]) { background: (#[0-9a-f]+); color: #[0-9a-f]+; }", css)
    )
    assert sorted(on_cards) == sorted(LETTERS)
    for letter in LETTERS:
        assert f'fill="{on_cards[letter]}"' in draw_letter(letter, 0, 0)
