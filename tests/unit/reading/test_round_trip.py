"""What the writer writes the reader reads: written again it is the same file."""

from __future__ import annotations

from hypothesis import HealthCheck, Phase, given, settings

from harmony.chords.api import parse
from harmony.pitch import Pitch
from harmony.reading.opening import read_bytes
from harmony.scoring import Part, Score
from harmony.scoring.build import progression_to_score
from harmony.writing.musicxml import write_musicxml
from harmony.writing.showing import compress
from tests.unit.writing.random_scores import may_be_respelled, scores

SOURCE = b"  <source>draw.musicxml</source>\n"


@settings(
    max_examples=40,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(scores())
def test_random_scores_come_back_byte_for_byte(score: Score) -> None:
    written = write_musicxml(score)
    read = read_bytes(written, name="draw.musicxml")
    assert write_musicxml(read).replace(SOURCE, b"") == written
    # In a concert score the parts sound the same and keep their transpositions.
    concert = read_bytes(write_musicxml(score, concert=True), name="draw.musicxml")
    for (part, pitch), (_, again) in zip(sounding(concert), sounding(read), strict=True):
        assert pitch.midi == again.midi
        assert pitch == again or may_be_respelled(score, part, pitch)
    assert read_bytes(compress(written), name="draw.mxl").parts == read.parts


def sounding(score: Score) -> list[tuple[Part, Pitch]]:
    return [
        (part, pitch)
        for part in score.parts
        for staff in part.staves
        for event in staff.events
        for pitch in event.pitches
    ]


def test_chord_names_and_numerals_come_back() -> None:
    for text in ("D: I V65/V | ii65 Cad64 V7 | I", "Bbmaj7/D F#ø7 | N.C. E7sus4"):
        score = progression_to_score(parse(text))
        written = write_musicxml(score)
        read = read_bytes(written, name="draw.musicxml")
        assert [h.numeral for h in read.harmonies] == [h.numeral for h in score.harmonies]
        assert write_musicxml(read).replace(SOURCE, b"") == written
        for named, found in zip(score.harmonies, read.harmonies, strict=True):
            assert (named.chord is None) == (found.chord is None)
            if named.chord is not None and found.chord is not None:
                assert found.chord.names == named.chord.names
