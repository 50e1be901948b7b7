"""Laws of the text: what is written reads back, and nothing typed makes a traceback."""

from __future__ import annotations

import re
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from harmony.chords.api import parse
from harmony.chords.figuredbass import realise_figures
from harmony.chords.harte import read_harte
from harmony.chords.leadsheet import read_symbol
from harmony.chords.naming import chord_symbol, figure_in_key
from harmony.chords.progression import Progression
from harmony.chords.roman import read_numeral
from harmony.chords.romantext import read_romantext
from harmony.errors import HarmonyError, TextError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.key import MODE_FIFTHS, Key
from harmony.pitch.meter import Meter
from harmony.pitch.spelling import Pitch, PitchName
from tests.property.romantexts import FILES
from tests.property.texts import HOSTILE, KEYS, NUMERALS, SYMBOLS, progressions


def _readable(text: str) -> Progression | None:
    """Parse what the strategy wrote; None where a name would need too many accidentals."""
    try:
        return parse(text)
    except TextError as refused:
        if not re.search("a player could read|%|stands on a beat", refused.message):
            raise
        return None


@given(progressions())
@settings(max_examples=300)
def test_a_progression_written_out_reads_back_as_itself(text: str) -> None:
    progression = _readable(text)
    if progression is not None:
        assert parse(str(progression)) == progression
        assert str(parse(str(progression))) == str(progression)


@given(progressions())
@settings(max_examples=200)
def test_time_is_filled_from_the_first_chord_on(text: str) -> None:
    progression = _readable(text)
    if progression is None:
        return
    for first, second in zip(progression.slots, progression.slots[1:], strict=False):
        assert first.onset + first.duration == second.onset
    for slot in progression:
        assert progression.meters.offset(slot.bar, slot.beat) == slot.onset
        start, end = slot.span
        assert 0 <= start < end <= len(text)


@given(
    st.lists(st.one_of(NUMERALS), min_size=1, max_size=7), st.sampled_from(["4/4", "3/4", "5/4"])
)
@settings(max_examples=100)
def test_chords_without_beats_share_their_bar_equally(figures: list[str], meter: str) -> None:
    whole = [figure for figure in figures if "-" not in figure]
    if not whole:
        return
    progression = _readable(f"{meter} C: {' '.join(whole)}")
    if progression is not None:
        share = Meter.from_text(meter).bar_quarters / len(whole)
        assert [slot.duration for slot in progression] == [share] * len(whole)


@given(NUMERALS, KEYS)
@settings(max_examples=300)
def test_a_numeral_keeps_its_figure_and_reads_back(figure: str, key: str) -> None:
    tonality = Key.from_text(key)
    try:
        chord = read_numeral(figure, tonality)
    except TextError:
        return
    assert read_numeral(str(chord), tonality) == chord
    assert chord.bass in chord.names


@given(NUMERALS, st.integers(-6, 6), st.booleans())
@settings(max_examples=300)
def test_numerals_move_with_their_key(figure: str, fifths: int, is_minor: bool) -> None:
    """The same numeral in a key a fifth away is the same chord a fifth away."""
    mode = "minor" if is_minor else "major"
    low = Key(PitchName.from_fifths(fifths), mode)
    high = Key(PitchName.from_fifths(fifths + 1), mode)
    try:
        below, above = read_numeral(figure, low), read_numeral(figure, high)
    except TextError:
        return
    fifth = Interval.from_text("P5")
    assert [transpose(name, fifth) for name in below.names] == list(above.names)


@given(SYMBOLS)
@settings(max_examples=300)
def test_a_symbol_and_the_symbol_written_for_it_are_one_chord(symbol: str) -> None:
    try:
        chord = read_symbol(symbol)
        again = read_symbol(chord_symbol(chord))
    except HarmonyError:
        return
    assert (set(again.names), again.bass) == (set(chord.names), chord.bass)


@given(
    st.builds(PitchName, st.sampled_from("ABCDEFG"), st.integers(-1, 1)),
    st.sampled_from(
        ["maj", "min", "dim", "aug", "dom7", "maj7", "min7", "hdim7", "dim7", "dom9", "sus4"]
    ),
    st.integers(-5, 5),
    st.sampled_from(["major", "minor"]),
    st.integers(0, 3),
)
@settings(max_examples=400)
def test_the_figure_of_a_chord_reads_as_that_chord(
    root: PitchName, quality: str, fifths: int, mode: str, member: int
) -> None:
    from harmony.chords.qualities import find_quality

    key = Key(PitchName.from_fifths(fifths), mode)
    degrees = find_quality(quality).degrees
    try:
        bass = transpose(root, degrees[member % len(degrees)].interval)
        figure = figure_in_key(root, key, quality, bass)
    except HarmonyError:
        return
    chord = read_symbol(figure) if figure[0] in "ABCDEFG" else read_numeral(figure, key)
    assert (chord.root, chord.bass) == (root, bass)
    assert set(chord.degrees) == set(degrees)


@given(HOSTILE)
@settings(max_examples=1500)
def test_nothing_typed_makes_a_traceback(text: str) -> None:
    told = None
    try:
        progression = parse(text)
    except TextError as fault:
        told = fault
    if told is None:
        assert progression.to_json()["slots"]
    else:
        assert told.message.strip().endswith((".", "?"))
        assert 0 <= told.start < told.end
        assert told.marked()


@given(st.text(max_size=12))
@settings(max_examples=500)
def test_single_words_are_read_or_refused(word: str) -> None:
    for read in (
        lambda: read_numeral(word, Key.from_text("C")),
        lambda: read_symbol(word),
        lambda: read_harte(word),
        lambda: realise_figures(PitchName("C"), word, Key.from_text("C")),
        lambda: Key.from_text(word),
        lambda: Meter.from_text(word),
        lambda: Pitch.from_text(word),
        lambda: PitchName.from_text(word),
        lambda: Interval.from_text(word),
    ):
        try:
            read()
        except HarmonyError:
            continue


@given(st.sampled_from("ABCDEFG"), st.integers(-3, 3), st.integers(-1, 9))
def test_pitches_read_back(letter: str, alter: int, octave: int) -> None:
    pitch = Pitch(letter, alter, octave)
    assert Pitch.from_text(str(pitch)) == pitch
    assert pitch.name.at_midi(pitch.midi) == pitch
    assert PitchName.from_fifths(pitch.name.fifths) == pitch.name


@given(st.integers(-6, 6), st.sampled_from(sorted(MODE_FIFTHS)))
def test_keys_read_back_and_have_seven_letters(fifths: int, mode: str) -> None:
    key = Key(PitchName.from_fifths(fifths), mode)
    assert Key.from_text(str(key)) == key
    assert len({name.letter for name in key.scale}) == 7
    # A signature of n accidentals alters n letters of the scale (one more or less in
    # the one mode whose third the signature does not give).
    altered = sum(abs(name.alter) for name in key.scale)
    assert abs(altered - abs(key.fifths)) <= (mode == "phrygian dominant")


@given(
    st.sampled_from("ABCDEFG"), st.integers(-2, 2), st.integers(2, 6),
    st.integers(-9, 9), st.integers(-1, 1),
)  # fmt: skip
def test_intervals_measure_what_they_move(
    letter: str, alter: int, octave: int, steps: int, change: int
) -> None:
    low = Pitch(letter, alter, octave)
    sizes = (0, 2, 4, 5, 7, 9, 11)
    octaves, simple = divmod(abs(steps), 7)
    semitones = 12 * octaves + sizes[simple] + change
    interval = Interval(steps, -semitones if steps < 0 else semitones)
    high = transpose(low, interval)
    assert Interval.between(low, high) == interval
    assert transpose(high, -interval) == low


@given(st.sampled_from(["4/4", "3/4", "6/8", "9/8", "3+2/8", "2/2", "5/4"]), st.fractions(0, 1))
def test_beats_and_times_are_inverse(text: str, part: Fraction) -> None:
    meter = Meter.from_text(text)
    time = part * meter.bar_quarters
    if time < meter.bar_quarters:
        assert meter.beat_to_quarters(meter.quarters_to_beat(time)) == time
    assert sum(meter.beats_quarters) == meter.bar_quarters
    assert Meter.from_text(str(meter)) == meter


@given(FILES)
@settings(max_examples=500)
def test_files_are_read_or_refused_and_read_back(text: str) -> None:
    try:
        file = read_romantext(text)
    except TextError:
        return
    assert parse(str(file.progression)) == file.progression
    assert all(remark.endswith((".", "?")) for remark in file.remarks)
