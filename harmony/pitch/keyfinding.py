"""The key of a melody, and the key it could most nearly be instead."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from harmony.pitch.key import Key
from harmony.pitch.note import Note
from harmony.pitch.spelling import PitchName

MODES = ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "phrygian dominant")
#: How much of the melody's length outside the scale costs, by mode: the church
#: modes must earn their place with the degree that makes them; Phrygian most, since
#: tunes in major often end on their third.
_RESERVE = {"major": 0.0, "minor": 0.0, "phrygian": 0.22, "phrygian dominant": 0.27}
_MODE_RESERVE = 0.07
_FINAL = 0.34  # share gained by ending on the tonic
_PHRASE = 0.12  # ... by phrases that end on the tonic chord
_START = 0.05
_TRIAD = 0.25
_SIGNATURE = 0.12  # lost for each fifth between the signature and the key's own


@dataclass(frozen=True, slots=True)
class KeyReading:
    """A key found, the next likely one, and how far apart they are (0: a toss-up)."""

    key: Key
    runner_up: Key
    margin: float


def find_key(
    notes: Sequence[Note], ends: Sequence[Fraction] = (), *, signature: int | None = None
) -> KeyReading:
    """Find the key of a melody.

    Every key is rated by the share of the melody's length that lies in its scale
    and on its tonic triad, by the notes the phrases and the whole end on, and by
    the signature (``signature`` in fifths, sharps above 0; None if unknown).
    Raised sixths and sevenths count as minor's own.

    Parameters
    ----------
    notes
        Sounding notes in order.
    ends
        Times in quarters at which phrases end.
    """
    stops = set(ends)
    finals = [n.pitch.pitch_class for n in notes if n.pitch is not None and n.end in stops]
    sung: dict[int, float] = {}
    for note in notes:
        assert note.pitch is not None
        pitch_class = note.pitch.pitch_class
        sung[pitch_class] = sung.get(pitch_class, 0.0) + float(note.duration) + 0.25
    ratings = [(_rate(key, notes, sung, finals, signature), key) for key in _keys()]
    ratings.sort(key=lambda pair: (-pair[0], str(pair[1])))
    (best, key), (second, other) = ratings[:2]
    key = _respell(key, notes)
    return KeyReading(key, _respell(other, notes), best - second)


#: Share of a melody's length in a scale, over what chance would put there, below
#: which no scale is said to hold it; a chromatic or twelve-note theme is near 0, one of
#: whole tones at a third, the royal theme of the Musical Offering above a half.
_FITS = 0.36


def fits_a_scale(notes: Sequence[Note]) -> bool:
    """Tell whether a melody lies in some major, minor or church scale well enough to have a key.

    Minor counts with its raised seventh too.
    """
    lengths: dict[int, float] = {}
    for note in notes:
        if note.pitch is not None:
            sung = lengths.get(note.pitch.pitch_class, 0.0)
            lengths[note.pitch.pitch_class] = sung + float(note.duration)
    total = sum(lengths.values())
    if not total:
        return False
    for key in _keys():
        scale = {name.pitch_class for name in key.scale}
        raised = scale ^ {(key.tonic.pitch_class + step) % 12 for step in (10, 11)}
        for held in (scale, raised) if key.mode == "minor" else (scale,):
            share = sum(length for place, length in lengths.items() if place in held) / total
            if (share - len(held) / 12) / (1 - len(held) / 12) >= _FITS:
                return True
    return False


def _keys() -> list[Key]:
    return [Key(PitchName.from_fifths(fifths), mode) for mode in MODES for fifths in range(-5, 7)]


def _rate(
    key: Key,
    notes: Sequence[Note],
    sung: Mapping[int, float],
    finals: Sequence[int],
    signature: int | None,
) -> float:
    """Rate one key; ``sung`` is how long each pitch class sounds, ``finals`` those of closes."""
    tonic = key.tonic.pitch_class
    scale = {name.pitch_class for name in key.scale}
    weight = dict.fromkeys(scale, 1.0)
    if key.mode == "minor":
        weight[(tonic + 11) % 12] = 0.95
        weight[(tonic + 9) % 12] = 0.7
    third = 3 if key.is_minor and key.mode != "phrygian dominant" else 4
    triad = {tonic, (tonic + third) % 12, (tonic + 7) % 12}
    total = inside = on_triad = 0.0
    for pitch_class, length in sung.items():
        total += length
        inside += length * weight.get(pitch_class, -0.5)
        on_triad += length * (pitch_class in triad)
    rating = inside / total + _TRIAD * on_triad / total
    last = notes[-1].pitch
    first = notes[0].pitch
    assert last is not None
    assert first is not None
    rating += _FINAL * (last.pitch_class == tonic) + 0.3 * _FINAL * (
        last.pitch_class in triad and last.pitch_class != tonic
    )
    rating += _START * (first.pitch_class in triad)
    if finals:
        rating += _PHRASE * sum(pc in triad for pc in finals) / len(finals)
    if signature is not None:
        rating -= _SIGNATURE * min(
            abs(key.fifths - signature) % 12, -abs(key.fifths - signature) % 12
        )
    return rating - _RESERVE.get(key.mode, _MODE_RESERVE)


def _respell(key: Key, notes: Sequence[Note]) -> Key:
    """Choose between a key and its enharmonic twin by how the melody is spelled."""
    flats = PitchName.from_fifths(key.tonic.fifths - 12)
    sharps = PitchName.from_fifths(key.tonic.fifths + 12)
    centre = sum(n.pitch.name.fifths for n in notes if n.pitch is not None) / len(notes)
    names = [name for name in (key.tonic, flats, sharps) if abs(name.alter) <= 1]
    tonic = min(
        names, key=lambda name: abs(name.fifths + (key.fifths - key.tonic.fifths) + 2 - centre)
    )
    return Key(tonic, key.mode)
