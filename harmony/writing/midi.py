"""Scores as Standard MIDI Files (format 1), for playing elsewhere.

The format is that of the Standard MIDI File specification 1.0 (RP-001). Equal
scores give equal bytes.
"""

from __future__ import annotations

from fractions import Fraction

from harmony.scoring.event import Event
from harmony.scoring.part import Part, midi_channel
from harmony.scoring.score import Score
from harmony.scoring.ticks import common_divisions, fraction_to_ticks

_LARGEST_DIVISION = 0x7FFF
_USUAL_DIVISION = 480
_SLOWEST = 0xFFFFFF  # microseconds a quarter, the most a file can say (3.6 quarters a minute)
_VELOCITY = 72
#: Loudness of the signs of dynamics, as MIDI velocities (common practice).
_LOUDNESS = {
    "pppp": 16, "ppp": 24, "pp": 36, "p": 48, "mp": 60, "mf": 72, "f": 88, "ff": 104, "fff": 116,
    "ffff": 124,
}  # fmt: skip
_SHORTENED = {"staccato": 2, "staccatissimo": 4, "spiccato": 3}


def write_midi(score: Score) -> bytes:
    """Give the score as a MIDI file, a track a part, in sounding pitch.

    Tied notes sound as one; grace notes are left out; dynamics set the loudness
    of what follows them.
    """
    times = [time for part in score.parts for s in part.staves for e in s.events
             for time in (e.onset, e.duration)]  # fmt: skip
    times += [tempo.onset for tempo in score.tempi] + [bar.onset for bar in score.all_bars]
    finest = common_divisions(times)
    division = finest * max(1, _USUAL_DIVISION // finest)
    # Beyond what a file can count in, times are rounded.
    division = division if division <= _LARGEST_DIVISION else _USUAL_DIVISION
    tracks = [_conductor(score, division)]
    tracks += [_part_track(part, number, division) for number, part in enumerate(score.parts)]
    head = b"MThd" + (6).to_bytes(4, "big") + (1).to_bytes(2, "big")
    head += len(tracks).to_bytes(2, "big") + division.to_bytes(2, "big")
    return head + b"".join(_chunk(track) for track in tracks)


def _ticks(time: Fraction, division: int) -> int:
    exact = division % time.denominator == 0
    return fraction_to_ticks(time, division) if exact else round(time * division)


def _conductor(score: Score, division: int) -> list[tuple[int, int, bytes]]:
    """Give titles, meters, keys and tempi as (tick, order, bytes)."""
    found = [(0, 0, _meta(0x03, score.title.encode("utf-8")))]
    meter = None
    for bar in score.all_bars:
        if bar.meter != meter:
            meter = bar.meter
            data = bytes((meter.count, meter.unit.bit_length() - 1, 24, 8))
            found.append((_ticks(bar.onset, division), 1, _meta(0x58, data)))
    for change in score.keys:
        fifths = change.key.fifths
        if abs(fifths) <= 7:
            data = bytes((fifths % 256, 1 if change.key.is_minor else 0))
            found.append((_ticks(change.onset, division), 2, _meta(0x59, data)))
    for tempo in score.tempi:
        microseconds = min(round(60_000_000 / tempo.quarters_per_minute), _SLOWEST)
        data = microseconds.to_bytes(3, "big")
        found.append((_ticks(tempo.onset, division), 3, _meta(0x51, data)))
    return found


def _part_track(part: Part, number: int, division: int) -> list[tuple[int, int, bytes]]:
    """Give the notes of a part as (tick, order, bytes); releases come before attacks."""
    channel = midi_channel(part, number)
    found = [
        (0, 0, _meta(0x03, part.name.encode("utf-8"))),
        (0, 1, bytes((0xC0 | channel, part.midi_program - 1))),
    ]
    for staff in part.staves:
        loudness = sorted(
            (d.onset, _LOUDNESS[d.text])
            for d in staff.directions
            if d.kind == "dynamic" and d.text in _LOUDNESS
        )
        for start, end, midi, event in _sounding(staff.events, division):
            velocity = next((v for at, v in reversed(loudness) if at <= event.onset), _VELOCITY)
            stop = max(start + 1, end - (end - start) // _shortening(event))
            found.append((start, 3, bytes((0x90 | channel, midi, velocity))))
            found.append((stop, 2, bytes((0x80 | channel, midi, 64))))
    return found


def _shortening(event: Event) -> int:
    """Give the part of its length that a short-played note loses (1 over this); 16 usually."""
    return min((_SHORTENED[mark] for mark in event.marks if mark in _SHORTENED), default=16)


def _sounding(events: tuple[Event, ...], division: int) -> list[tuple[int, int, int, Event]]:
    """Give (start, end, MIDI number, event) with tied notes joined."""
    notes: list[tuple[int, int, int, Event]] = []
    held: dict[tuple[int, int], int] = {}
    for event in events:
        if event.grace is not None:
            continue
        start = _ticks(event.onset, division)
        end = start + _ticks(event.duration, division)
        ties = event.tie_of
        for pitch in event.pitches:
            if not 0 <= pitch.midi <= 127:
                continue
            tie = ties.get(pitch)
            place = held.pop((pitch.midi, start), None)
            if tie in ("stop", "continue") and place is not None:
                first, _, midi, origin = notes[place]
                notes[place] = (first, end, midi, origin)
            else:
                place = len(notes)
                notes.append((start, end, pitch.midi, event))
            if tie in ("start", "continue"):
                held[pitch.midi, end] = place
    return notes


def _meta(kind: int, data: bytes) -> bytes:
    return bytes((0xFF, kind)) + _variable(len(data)) + data


def _variable(value: int) -> bytes:
    out = bytes((value & 0x7F,))
    while value := value >> 7:
        out = bytes((value & 0x7F | 0x80,)) + out
    return out


def _chunk(found: list[tuple[int, int, bytes]]) -> bytes:
    now = 0
    parts = []
    for tick, _, data in sorted(found, key=lambda item: (item[0], item[1])):
        parts.append(_variable(tick - now) + data)
        now = tick
    body = b"".join(parts) + b"\x00\xff\x2f\x00"
    return b"MTrk" + len(body).to_bytes(4, "big") + body
