"""Other givens: an inner tune, a tune with its bass, a counter-melody and its check."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.harmonising.carrying import voice_under_melody
from harmony.harmonising.compare import chord_at
from harmony.harmonising.counter import check_counter_melody, write_counter_melody
from harmony.harmonising.given import harmonise_inner, harmonise_two
from harmony.harmonising.idiom import IDIOMS
from harmony.pitch import Line, Note, Pitch
from harmony.resources import find_corpora

THEMES = ("shuttle", "pattern_drawer", "lamps_out")


@pytest.fixture(scope="module")
def themes():
    return {n: harmony.open_theme(find_corpora("loom_hall", f"{n}.abc")) for n in THEMES}


def bass_of(theme, text: str):
    """A bass in bars: each word a pitch for half a bar of four, or a bar of three."""
    length = theme.meters.bar_length(1) / (2 if theme.meters.bar_length(1) == 4 else 1)
    notes = [
        Note(number * length, length, Pitch.from_text(word))
        for number, word in enumerate(text.split())
    ]
    return replace(theme, line=Line(tuple(notes)), title="Bass")


@pytest.mark.parametrize("idiom", ["common-practice", "romantic", "modal"])
@pytest.mark.parametrize("name", THEMES)
def test_inner_tune_fits_and_its_leading_tone_is_not_in_the_bass(themes, name, idiom):
    found = harmonise_inner(themes[name], idiom=idiom)
    assert len(found.alternatives) == 3
    for one in found.alternatives:
        assert one.progression.end == found.melody.end
        assert one.terms["outer_voices"] == 0
    tonic = found.melody.key.tonic.pitch_class
    for note in found.melody.notes:
        chord = chord_at(found.alternative(1), note.onset)
        leads = (note.pitch.pitch_class - tonic) % 12 == 11
        assert not (
            leads and note.duration >= 2 and chord.bass.pitch_class == note.pitch.pitch_class
        )


def test_inner_tune_is_voiced_in_the_tenor(themes):
    line = themes["lamps_out"].line
    low = replace(themes["lamps_out"], line=Line(tuple(
        replace(n, pitch=replace(n.pitch, octave=n.pitch.octave - 1)) for n in line.sounding
    )))  # fmt: skip
    found = harmonise_inner(low, count=1)
    voiced = voice_under_melody(found.alternative(1), "string quartet", voice="Viola")
    one = voiced.to_json()
    place = one["voices"].index("Viola")
    sung = {n.pitch for n in low.line.sounding}
    for slot in one["alternatives"][0]["slots"]:
        assert Pitch.from_text(slot["pitches"][place]) in sung


def test_two_given_lines_keep_the_bass(themes):
    theme = themes["pattern_drawer"]
    bass = bass_of(
        theme, "E3 A2 C#3 A2 D#3 F#2 B2 G#2 E2 F#2 G2 A2 D3 E2 A2 E2".replace("D3", "C#3")
    )
    found = harmonise_two(theme, bass)
    assert len(found.alternatives) == 3
    for one in found.alternatives:
        for note in bass.line.sounding:
            assert chord_at(one, note.onset).bass.pitch_class == note.pitch.pitch_class


def test_a_chord_fixed_off_the_written_bass_is_told(themes):
    theme = themes["pattern_drawer"]
    bass = bass_of(theme, "E3 A2 C#3 A2 D#3 F#2 B2 G#2 E2 F#2 G2 A2 C#3 E2 A2 E2")
    found = harmonise_two(theme, bass, count=1, fixed=("3=A/C#",))
    first = chord_at(found.alternatives[0], theme.meters.bar_start(3))
    assert (first.root.letter, str(first.bass)) == ("A", "C#")
    with pytest.raises(HarmonyError, match="'3=A' fixes a chord that the cadence or the bass"):
        harmonise_two(theme, bass, count=1, fixed=("3=A",))


def test_two_lines_that_do_not_fit_are_told_where(themes):
    theme = themes["shuttle"]
    bass = bass_of(theme, "D3 " * 8 + "Ab2 " * 8)
    with pytest.raises(HarmonyError) as refused:
        harmonise_two(theme, bass, idiom="modal")
    assert "bar 5 beat 1" in refused.value.message
    assert "Ab" in refused.value.message
    with pytest.raises(HarmonyError, match="makes its own bass"):
        harmonise_two(theme, bass, idiom="quartal")
    with pytest.raises(HarmonyError, match="bass rests in bar 5"):
        harmonise_two(theme, bass_of(theme, "D3 " * 8))
    with pytest.raises(HarmonyError, match="lies on top"):
        harmonise_inner(theme, idiom="parallel")


@pytest.mark.parametrize("name", THEMES)
def test_counter_melody_fills_the_gaps_and_peaks_elsewhere(themes, name):
    one = harmony.harmonise(themes[name], count=1).alternative(1)
    counter = write_counter_melody(one)
    check = check_counter_melody(themes[name], counter)
    assert check.peaks_apart
    top = max(n.pitch.midi for n in themes[name].line.sounding)
    own = [n for n in counter.line if n.pitch.midi == max(m.pitch.midi for m in counter.line)]
    for note in own:
        under = [n for n in themes[name].line.sounding if n.onset < note.end and n.end > note.onset]
        assert all(n.pitch.midi < top for n in under)
    # More of its notes begin in the tune's gaps than the tune's own do, which is none.
    assert check.share_between >= 0.2
    assert check.contrary >= 0.5
    for note in counter.line:
        assert note.pitch.pitch_class in chord_at(one, note.onset).pitch_classes


@pytest.mark.parametrize("name", THEMES)
def test_counter_melody_has_no_consecutive_perfects(themes, name):
    tune = themes[name].line.sounding
    counter = write_counter_melody(harmony.harmonise(themes[name], count=1).alternative(1)).line

    def above(time):
        return next((n.pitch.midi for n in reversed(tune) if n.onset <= time), None)

    for a, b in pairwise(counter):
        high, then = above(b.onset - Fraction(1, 64)), above(b.onset)
        if None in (high, then) or high == then or a.pitch == b.pitch:
            continue
        assert not ((high - a.pitch.midi) % 12 == (then - b.pitch.midi) % 12 in (0, 7))


def test_check_measures_a_line_of_another_s(themes):
    tune = themes["lamps_out"]
    shadow = replace(tune, line=Line(tuple(
        replace(n, pitch=replace(n.pitch, octave=n.pitch.octave - 1)) for n in tune.line.sounding
    )))  # fmt: skip
    check = check_counter_melody(tune, shadow)
    assert (check.share_between, check.contrary, check.peaks_apart) == (0, 0, False)
    assert check.tune_peak == Fraction(27) or check.tune_peak > 0


@pytest.mark.parametrize("idiom", [name for name in IDIOMS if name != "own"])
@pytest.mark.parametrize("name", THEMES)
def test_every_idiom_can_be_carried_to_four_voices(themes, name, idiom):
    one = harmony.harmonise(themes[name], idioms=(idiom,), count=1).alternative(1)
    voiced = voice_under_melody(one, "string quartet")
    assert len(voiced.alternatives[0].pitches) == len(one.progression)
    tune = {note.pitch for note in themes[name].line.sounding}
    assert all(row[0] in tune for row in voiced.alternatives[0].pitches)
