"""Standard MIDI files as scores.

The format is that of the Standard MIDI File specification 1.0 (RP-001). A MIDI
file knows no spelling, no rests and no voices; what is supplied is told in the
score's losses.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction

from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.pitch.meter import Meter
from harmony.pitch.spelling import PitchName
from harmony.reading.bars import RawBar, are_regular, place_bars
from harmony.reading.losses import Losses
from harmony.reading.midi_notes import Sounding, build_staff, find_key, quantise
from harmony.scoring.direction import KeyChange, Tempo
from harmony.scoring.part import Part
from harmony.scoring.score import Score

_LARGEST_BYTES = 8_000_000
_MOST_NOTES = 400_000
_LONGEST_QUARTERS = 40_000
_PERCUSSION = 9  # channel 10, counted from 0 in the file


@dataclass(slots=True)
class _Track:
    """What a track holds, in ticks."""

    name: str = ""
    program: int = 1
    is_percussion: bool = False
    notes: list[tuple[int, int, int]] = field(default_factory=list)


@dataclass(slots=True)
class _File:
    """What a file holds, in ticks."""

    tracks: dict[tuple[int, int], _Track] = field(default_factory=dict)
    tempi: dict[int, float] = field(default_factory=dict)
    meters: dict[int, Meter] = field(default_factory=dict)
    keys: dict[int, Key] = field(default_factory=dict)
    end: int = 0
    notes: int = 0
    has_bends: bool = False
    has_pedals: bool = False


def read_midi(data: bytes, *, name: str) -> Score:
    """Read a Standard MIDI File of format 0 or 1.

    Times are rounded to thirty-seconds and to triplet sixteenths, whichever is
    nearer; a track and channel become a part.

    Raises
    ------
    HarmonyError
        If it is no MIDI file, is cut off, has no notes, or is far too long.
    """
    if len(data) > _LARGEST_BYTES:
        raise HarmonyError(f"{name} is far too long for a MIDI file of notes.", where=name)
    try:
        division, found = _read_chunks(data)
    except (IndexError, ValueError) as fault:
        if isinstance(fault, HarmonyError):
            raise HarmonyError(f"{name}: {fault.message}", where=name) from fault
        raise HarmonyError(
            f"{name} is damaged or cut off; a whole MIDI file is accepted.", where=name
        ) from fault
    tracks = [track for track in found.tracks.values() if track.notes]
    if not tracks:
        raise HarmonyError(
            f"{name} has no notes; a file with at least one is accepted.", where=name
        )
    if Fraction(found.end, division) > _LONGEST_QUARTERS:
        raise HarmonyError(
            f"{name} lasts more than {_LONGEST_QUARTERS} quarters; a shorter file is accepted.",
            where=name,
        )
    return _build(tracks, found, division, name)


def _read_chunks(data: bytes) -> tuple[int, _File]:
    if data[:4] != b"MThd" or int.from_bytes(data[4:8], "big") < 6:
        raise HarmonyError("it does not begin like a MIDI file; a whole one is accepted.")
    division = int.from_bytes(data[12:14], "big")
    if int.from_bytes(data[8:10], "big") > 1:
        raise HarmonyError("it holds several pieces at once (format 2); one piece is accepted.")
    if division & 0x8000 or division == 0:
        raise HarmonyError("it counts in film frames, not in beats; a file in beats is accepted.")
    found = _File()
    place, number = 8 + int.from_bytes(data[4:8], "big"), 0
    while place + 8 <= len(data):
        length = int.from_bytes(data[place + 4 : place + 8], "big")
        if data[place : place + 4] == b"MTrk":
            if place + 8 + length > len(data):
                raise ValueError("cut off")
            _read_track(data[place + 8 : place + 8 + length], number, found)
            number += 1
        place += 8 + length
    return division, found


def _read_track(data: bytes, number: int, found: _File) -> None:
    sounding: dict[tuple[int, int], list[int]] = {}
    name = ""
    for tick, status, body in _events(data):
        found.end = max(found.end, tick)
        kind, channel = status & 0xF0, status & 0x0F
        if status == 0xFF:
            if body[0] == 0x03:
                name = body[1:].decode("latin-1").strip()
            _read_meta(body, tick, found)
        elif kind == 0x90 and body[1]:
            sounding.setdefault((channel, body[0]), []).append(tick)
        elif kind in (0x80, 0x90):
            begun = sounding.get((channel, body[0]))
            if begun:
                _end_note(found, number, channel, (begun.pop(0), tick, body[0]))
        elif kind == 0xC0:
            found.tracks.setdefault((number, channel), _Track()).program = body[0] + 1
        elif kind == 0xE0:
            found.has_bends = True
        elif kind == 0xB0 and body[0] == 64:
            found.has_pedals = True
    for (track_number, _), track in found.tracks.items():
        if track_number == number:
            track.name = name


def _end_note(found: _File, number: int, channel: int, note: tuple[int, int, int]) -> None:
    track = found.tracks.setdefault((number, channel), _Track())
    track.is_percussion = channel == _PERCUSSION
    if note[1] > note[0]:
        track.notes.append(note)
        found.notes += 1
    if found.notes > _MOST_NOTES:
        raise HarmonyError(f"it has more than {_MOST_NOTES} notes; a shorter file is accepted.")


def _events(data: bytes) -> Iterator[tuple[int, int, bytes]]:
    """Give (tick, status, data bytes) of a track; for a meta event its type comes first."""
    place = tick = status = 0
    while place < len(data):
        delta, place = _variable(data, place)
        tick += delta
        if data[place] & 0x80:
            status = data[place]
            place += 1
        if status == 0xFF:
            kind = data[place]
            length, place = _variable(data, place + 1)
            yield tick, status, bytes((kind,)) + data[place : place + length]
            place += length
            if kind == 0x2F:
                return
        elif status in (0xF0, 0xF7):
            length, place = _variable(data, place)
            place += length
        else:
            length = 1 if status & 0xF0 in (0xC0, 0xD0) else 2
            if status < 0x80 or place + length > len(data):
                raise ValueError("no status")
            yield tick, status, data[place : place + length]
            place += length


def _variable(data: bytes, place: int) -> tuple[int, int]:
    value = 0
    for _ in range(4):
        byte = data[place]
        place += 1
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, place
    raise ValueError("too long a number")


def _read_meta(body: bytes, tick: int, found: _File) -> None:
    kind, data = body[0], body[1:]
    if kind == 0x51 and len(data) == 3:
        per_quarter = int.from_bytes(data, "big")
        speed = 60_000_000 / per_quarter if per_quarter else 0.0
        if 0 < speed < 10_000:
            found.tempi[tick] = round(speed, 4)
    elif kind == 0x58 and len(data) >= 2 and 1 <= data[0] <= 64 and data[1] <= 6:
        found.meters[tick] = Meter((data[0],), 2 ** data[1])
    elif kind == 0x59 and len(data) >= 2:
        fifths = data[0] - 256 if data[0] > 127 else data[0]
        if abs(fifths) <= 7:
            is_minor = data[1] == 1
            tonic = PitchName.from_fifths(fifths + (3 if is_minor else 0))
            found.keys[tick] = Key(tonic, "minor" if is_minor else "major")


def _build(tracks: list[_Track], found: _File, division: int, name: str) -> Score:
    losses = Losses()
    heard = [
        [Sounding(*quantise(start, end, division), midi) for start, end, midi in track.notes]
        for track in tracks
    ]
    keys = [KeyChange(Fraction(tick, division), key) for tick, key in sorted(found.keys.items())]
    if not keys or keys[0].onset > 0:
        keys.insert(0, KeyChange(Fraction(0), find_key(note for part in heard for note in part)))
    losses.tell(
        f"MIDI has no spelling: the notes are spelled in {keys[0].key} "
        + ("as the file says." if found.keys else "as their pitches suggest.")
    )
    losses.tell("Lengths are rounded to thirty-second and triplet sixteenth notes.")
    if found.has_bends:
        losses.count("pitch bends")
    if found.has_pedals:
        losses.count("pedal controls")
    end = max(note.end for part in heard for note in part)
    meters, bars = place_bars(_raw_bars(found, division, end, losses), losses)
    parts: list[Part] = []
    for track, notes in zip(tracks, heard, strict=True):
        staff = build_staff(notes, keys, is_percussion=track.is_percussion)
        title = track.name or ("Percussion" if track.is_percussion else f"Part {len(parts) + 1}")
        parts.append(Part(title, (staff,), midi_program=track.program))
    tempi = [Tempo(Fraction(tick, division), speed) for tick, speed in sorted(found.tempi.items())]
    return Score(
        parts=tuple(parts),
        meters=meters,
        tempi=tuple(tempi),
        keys=tuple(keys),
        bars=() if are_regular(bars, meters) else bars,
        source=name,
        losses=losses.sentences(has_layout=False),
    )


def _raw_bars(found: _File, division: int, end: Fraction, losses: Losses) -> list[RawBar]:
    """Divide the time into bars; a change of meter inside a bar cuts it short."""
    changes = [(Fraction(tick, division), meter) for tick, meter in sorted(found.meters.items())]
    if not changes:
        losses.tell("The file has no meter; 4/4 is assumed.")
    if not changes or changes[0][0] > 0:
        changes.insert(0, (Fraction(0), Meter((4,), 4)))
    bars: list[RawBar] = []
    for index, (onset, meter) in enumerate(changes):
        stop = changes[index + 1][0] if index + 1 < len(changes) else end
        place = onset
        while place < stop:
            length = meter.bar_quarters
            if index + 1 < len(changes):
                length = min(length, stop - place)
            bars.append(RawBar(str(len(bars) + 1), meter, length))
            place += length
    return bars
