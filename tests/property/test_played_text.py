"""Whatever is played, the word for it reads back to the same sounds over the same bass."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from harmony.chords.api import parse
from harmony.pitch.key import Key
from harmony.workbench.entering.reading import read_played
from harmony.workbench.entering.text import MANNERS, append_chord, replace_chord, write_meaning
from harmony.workbench.entering.words import key_names, name_to_key

numbers = st.lists(st.integers(24, 96), min_size=1, max_size=9, unique=True)
keys = st.sampled_from([name_to_key(name) for name in key_names()])
manners = st.sampled_from(MANNERS)
TEXTS = (
    "C: I V6 | ii65 b3 V7 | I",
    "6/8 d: i | VII6 | III",
    "Dmaj7 A/C# | Bm7",
    "{C2 G2 E3} |",
    "",
)


def sound_of(text: str, place: int, key: Key | None = None) -> tuple[frozenset[int], int]:
    chord = parse(text, key=key).slots[place].chord
    assert chord is not None
    return chord.pitch_classes, chord.bass.pitch_class


@given(numbers, keys, manners)
def test_every_reading_reads_back(played: list[int], key: Key, manner: str) -> None:
    wanted = frozenset(number % 12 for number in played), min(played) % 12
    for meaning in read_played(played, key):
        assert [pitch.midi for pitch in meaning.pitches] == sorted(played)
        word = write_meaning(meaning, key, manner=manner)
        assert sound_of(word, 0, key) == wanted


@given(numbers, keys, manners, st.sampled_from(TEXTS), st.integers(1, 4))
def test_what_is_put_in_stands_at_the_end(
    played: list[int], key: Key, manner: str, text: str, count: int
) -> None:
    meaning = read_played(played, key)[0]
    after = append_chord(text, meaning, key, manner=manner, chords_in_bar=count)
    assert sound_of(after, -1) == (frozenset(n % 12 for n in played), min(played) % 12)


@given(numbers, keys, manners, st.sampled_from(TEXTS[:3]), st.integers(0, 2))
def test_what_replaces_a_chord_leaves_the_others(
    played: list[int], key: Key, manner: str, text: str, place: int
) -> None:
    meaning = read_played(played, key)[0]
    after = replace_chord(text, place, meaning, key, manner=manner)
    assert sound_of(after, place) == (frozenset(n % 12 for n in played), min(played) % 12)
    before = [slot.chord for slot in parse(text).slots]
    kept = [slot.chord for slot in parse(after).slots]
    del before[place], kept[place]
    assert kept == before


@given(numbers, keys)
def test_no_sound_has_two_names_in_one_reading_and_none_is_given_twice(
    played: list[int], key: Key
) -> None:
    found = read_played(played, key)
    assert len({meaning.pitches for meaning in found}) == len(found)
    for meaning in found:
        names = {pitch.name for pitch in meaning.pitches}
        assert len(names) == len({number % 12 for number in played})
