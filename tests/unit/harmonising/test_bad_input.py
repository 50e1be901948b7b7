"""What a score has that a tune cannot have: told in a sentence, the rest kept, or refused."""

from __future__ import annotations

from fractions import Fraction

import mido
import pytest

import harmony
from harmony.errors import HarmonyError
from harmony.harmonising.idiom import IDIOMS
from harmony.pitch import Line, MeterMap, Note, Pitch, Theme

HEAD = (
    '<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1">'
    '<part-name>Tune</part-name></score-part></part-list><part id="P1"><measure number="1">'
    "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time>"
    "</attributes>"
)


def note(step: str, length: int, *, alter: str = "", chord: bool = False, voice: int = 1) -> str:
    return (
        f"<note>{'<chord/>' if chord else ''}<pitch><step>{step}</step>{alter}<octave>4</octave>"
        f"</pitch><duration>{length}</duration><voice>{voice}</voice></note>"
    )


def saved(tmp_path, *notes: str):
    path = tmp_path / "tune.musicxml"
    path.write_text(f"{HEAD}{''.join(notes)}</measure></part></score-partwise>", encoding="utf-8")
    return path


def is_one_sentence(message: str) -> bool:
    return "\n" not in message and message.endswith(".") and "Traceback" not in message


def test_chords_in_the_part_are_told_and_their_top_notes_kept(tmp_path):
    path = saved(tmp_path, note("C", 4), note("E", 4, chord=True), note("G", 4))
    found = harmony.harmonise(path, count=1)
    assert [str(n.pitch) for n in found.melody.notes] == ["E4", "G4"]
    (told,) = found.notices
    assert "chords, the first in bar 1" in told
    assert is_one_sentence(told)
    assert found.to_json()["notices"] == [told]


def test_a_second_voice_is_told_and_the_first_kept(tmp_path):
    path = saved(tmp_path, note("G", 8), "<backup><duration>8</duration></backup>",
                 note("C", 8, voice=2))  # fmt: skip
    found = harmony.harmonise(path, count=1)
    assert [str(n.pitch) for n in found.melody.notes] == ["G4"]
    assert any("2 voices" in told for told in found.notices)


def test_microtones_are_told_and_the_rest_kept(tmp_path):
    quarter = "<alter>-0.5</alter>"
    path = saved(tmp_path, note("C", 4), note("E", 2, alter=quarter), note("G", 2))
    found = harmony.harmonise(path, count=1)
    assert len(found.melody.notes) == 3
    assert any("quarter tone" in told and is_one_sentence(told) for told in found.notices)


def test_unquantised_midi_is_rounded_and_told(tmp_path):
    file = mido.MidiFile(ticks_per_beat=480)
    track = mido.MidiTrack()
    file.tracks.append(track)
    for number, pitch in enumerate((60, 62, 64, 65, 67, 65, 64, 62, 60)):
        late = 7 * number % 31
        track.append(mido.Message("note_on", note=pitch, velocity=80, time=late))
        track.append(mido.Message("note_off", note=pitch, velocity=0, time=460 - late))
    path = tmp_path / "played.mid"
    file.save(path)
    found = harmony.harmonise(path, count=1)
    assert any("rounded" in told for told in found.notices)
    assert len(found.melody.notes) == 9


def theme_of(*notes: tuple[Fraction, Fraction, str]) -> Theme:
    sung = tuple(Note(onset, length, Pitch.from_text(name)) for onset, length, name in notes)
    return Theme(Line(sung), MeterMap.steady("4/4"))


ONE = Fraction(1)


@pytest.mark.parametrize(
    ("theme", "wishes", "words"),
    [
        (theme_of((Fraction(0), ONE, "C4"), (Fraction(997, 991), ONE, "D4")), {}, "quantise"),
        (theme_of(*((Fraction(4 * n), 4 * ONE, "C4") for n in range(400))), {}, "400 bars"),
        (theme_of((Fraction(0), ONE, "C4")), {"phrase_ends": (90,)}, "No phrase can end"),
        (theme_of((Fraction(0), ONE, "C4")), {"key": "H"}, "not a key"),
        (
            theme_of((Fraction(0), 4 * ONE, "C#4"), (4 * ONE, 4 * ONE, "C4")),
            {"idioms": ("own: Bb",)},
            "nearest is Bb",
        ),
    ],
)
def test_refusals_are_one_sentence(theme, wishes, words):
    with pytest.raises(HarmonyError) as refused:
        harmony.harmonise(theme, **wishes)
    assert words in refused.value.message
    assert is_one_sentence(refused.value.message)


def test_a_part_without_notes_is_refused(tmp_path):
    path = saved(tmp_path, "<note><rest/><duration>8</duration></note>")
    with pytest.raises(HarmonyError, match="no notes in the part 'Tune'"):
        harmony.harmonise(path)


@pytest.mark.parametrize("idiom", [name for name in IDIOMS if name != "own"])
def test_one_note_and_all_twelve_are_harmonised_in_every_idiom(idiom):
    names = ["C4", "C#4", "D4", "D#4", "E4", "F4", "F#4", "G4", "G#4", "A4", "A#4", "B4"]
    chromatic = theme_of(*((Fraction(n), ONE, name) for n, name in enumerate(names)))
    for theme in (theme_of((Fraction(0), ONE, "C4")), chromatic):
        found = harmony.harmonise(theme, idioms=(idiom,), count=1)
        assert found.alternative(1).progression.end == found.melody.end
