"""All RomanText files that come with music21: 20 chorale analyses, 48 madrigals.

Each loads whole, and every figure has the pitches and bass that music21 10.5.1
gives it under RomanText's rule for minor (its "cautionary" rule), apart from
music21's faults, each named here.
"""

from __future__ import annotations

import re
import warnings
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from harmony.chords.api import parse
from harmony.chords.romantext import RomanText, is_romantext, read_romantext

#: figure -> why music21 reads it otherwise
MUSIC21_FAULTS = {
    "bVII7[maj7]": "the change in brackets is lost together with the chord's root and fifth",
    "I4": "the fifth of a suspended chord is lost",
    "III6+": "the sign of augmentation is overlooked where it stands after the figures",
    "I[#3]": "the third of a major triad is raised once more, to F##",
    "V/V[no3]": "a change written at the end of an applied chord is overlooked",
    "ii/o": "the sign of the half-diminished seventh is read as a diminished triad",
    "bIII": "in minor the cautionary flat flattens the third degree again (05a)",
}
#: Figures that end in an open slash, applied to the chord that follows; music21
#: reads them without it. The scores show the applied chord (madrigal 3.18, bar 28).
OPEN_SLASHES = {"madrigal.3.18": 5, "madrigal.4.8": 7, "madrigal.4.9": 5}


def _files() -> list[Path]:
    import music21

    corpus = Path(music21.__file__).parent / "corpus"
    folders = (corpus / "bach" / "choraleAnalyses", corpus / "monteverdi")
    return sorted(path for folder in folders for path in folder.glob("*.rntxt"))


FILES = _files()


def _count_by_bar(text: str) -> dict[int, int]:
    """Count the numerals in each line of a bar, by eye: no grammar of ours."""
    found: dict[int, int] = {}
    for line in text.splitlines():
        match = re.match(r"m\s?(\d+)(?!\s?-|\d|\s?var)(.*)", line)
        if match and "=" not in match[2] and int(match[1]) not in found:
            words = match[2].replace("(", " ").replace(")", " ").split()
            found[int(match[1])] = sum(bool(re.match(r"[#b]*[IViv]|N|It|Ger", w)) for w in words)
    return found


@cache
def _read(path: Path) -> RomanText:
    return read_romantext(path.read_text(encoding="utf-8"))


def test_the_corpus_is_whole() -> None:
    assert len(FILES) == 68
    assert sum("choraleAnalyses" in str(path) for path in FILES) == 20


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_file_loads_whole(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    assert is_romantext(text)
    file = _read(path)
    counted = Counter(slot.bar for slot in file.progression)
    for number, chords in _count_by_bar(text).items():
        assert counted[number] == chords, f"bar {number}"
    assert file.header("Title")
    assert file.progression.meters.first_bar == min(set(counted) | {1})
    assert len(file.variants) >= len(re.findall(r"^m\s?\d+\s?var", text, re.MULTILINE))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_file_written_out_reads_back_as_itself(path: Path) -> None:
    progression = _read(path).progression
    assert parse(str(progression)) == progression


def _distinct() -> Iterator[tuple[str, str, frozenset[str], str]]:
    """Give each (figure, key) of the corpus once with our names and bass."""
    seen = set()
    for path in FILES:
        for slot in _read(path).progression:
            if slot.chord is not None and (slot.figure, slot.key) not in seen:
                seen.add((slot.figure, slot.key))
                names = frozenset(str(name) for name in slot.chord.names)
                yield slot.figure, str(slot.key), names, str(slot.chord.bass)


@pytest.mark.slow
def test_every_figure_has_the_pitches_and_bass_of_music21() -> None:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from music21 import key, roman

        rule = roman.Minor67Default.CAUTIONARY
        differing, count = set(), 0
        for figure, ours, names, bass in _distinct():
            theirs = key.Key(ours[0] + ours[1:].replace("b", "-"))
            found = roman.RomanNumeral(figure, theirs, sixthMinor=rule, seventhMinor=rule)
            spelled = frozenset(pitch.name.replace("-", "b") for pitch in found.pitches)
            count += 1
            if (spelled, found.bass().name.replace("-", "b")) != (names, bass):
                differing.add(figure)
    assert count > 750
    assert differing == set(MUSIC21_FAULTS)


@pytest.mark.parametrize(("stem", "count"), OPEN_SLASHES.items())
def test_open_slashes_apply_to_the_next_chord(stem: str, count: int) -> None:
    path = next(path for path in FILES if path.stem == stem)
    remarks = [remark for remark in _read(path).remarks if "is read as" in remark]
    assert len(remarks) == count


def test_an_open_slash_is_the_chord_in_the_score() -> None:
    """Madrigal 3.18, bar 28 beat 4: F and C sound, the dominant of III in g minor."""
    path = next(path for path in FILES if path.stem == "madrigal.3.18")
    slot = next(s for s in _read(path).progression if s.bar == 28 and s.beat == 4)
    assert slot.chord is not None
    assert {"F", "C"} <= {str(name) for name in slot.chord.names}


def test_repeats_copy_the_bars_they_name() -> None:
    path = next(path for path in FILES if path.stem == "madrigal.3.1")
    slots = _read(path).progression.slots
    original = [(s.beat, s.figure, s.key) for s in slots if 42 <= s.bar <= 44]
    copied = [(s.beat, s.figure, s.key) for s in slots if 51 <= s.bar <= 53]
    assert original == copied


def test_pedal_lines_hold_their_note() -> None:
    path = next(path for path in FILES if _read(path).pedals)
    file = _read(path)
    pedal = file.pedals[0]
    held = [slot for slot in file.progression if slot.pedal == pedal.name]
    assert held
    assert all(pedal.start <= slot.onset < pedal.stop for slot in held)
