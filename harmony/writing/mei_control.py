"""MEI for what stands beside the notes: chord names, numerals, words, dynamics, tempo."""

from __future__ import annotations

from bisect import bisect_right
from fractions import Fraction
from xml.sax.saxutils import escape

from harmony.pitch.meter import Meter
from harmony.scoring.direction import Direction, Harmony, Tempo
from harmony.scoring.score import Score
from harmony.scoring.timeline import Timeline
from harmony.scoring.value import duration_to_value
from harmony.writing.mei_note import DURATIONS
from harmony.writing.symbol import engrave_symbol, harmony_symbol, split_numeral

_NOTE_SIGNS = {"whole": "\ue1d2", "half": "\ue1d3", "quarter": "\ue1d5", "eighth": "\ue1d7"}


def write_controls(score: Score, time: Timeline) -> list[str]:
    """Give for each bar the elements that follow its staves."""
    out: list[list[str]] = [[] for _ in time.bars]
    last_staff = sum(len(part.staves) for part in score.parts)
    for index, harmony in enumerate(score.harmonies):
        bar, place = _locate(time, time.ticks(harmony.onset))
        out[bar] += _write_harmony(harmony, index, place, last_staff)
    for tempo in score.tempi:
        bar, place = _locate(time, time.ticks(tempo.onset))
        out[bar].append(_write_tempo(tempo, place))
    staves = [staff for part in score.parts for staff in part.staves]
    placed = [(1, direction) for direction in score.directions]
    for number, staff in enumerate(staves, start=1):
        placed += [(number, direction) for direction in staff.directions]
    for number, direction in placed:
        bar, place = _locate(time, time.ticks(direction.onset))
        out[bar].append(_write_direction(direction, number, bar, place, time))
        if direction.kind == "pedal" and direction.until is not None:
            bar, place = _locate(time, time.ticks(direction.until))
            out[bar].append(f'<pedal staff="{number}" dir="up" tstamp="{place}"/>')
    return ["".join(elements) for elements in out]


def _locate(time: Timeline, tick: int) -> tuple[int, str]:
    """Give the index of the bar that holds a tick, and MEI's place in it."""
    bar = max(bisect_right(time.starts, tick) - 1, 0)
    return bar, _tstamp(tick - time.starts[bar], time.bars[bar].meter, time.divisions)


def _tstamp(tick: int, meter: Meter, divisions: int) -> str:
    """Count in units of the meter, from 1."""
    return f"{1 + float(Fraction(tick, divisions) / meter.unit_quarters):.6g}"


def _write_harmony(harmony: Harmony, index: int, place: str, last_staff: int) -> list[str]:
    name = escape(engrave_symbol(harmony_symbol(harmony)))
    out = [f'<harm xml:id="h{index}" staff="1" place="above" tstamp="{place}">{name}</harm>']
    if harmony.numeral:
        text = "".join(
            f'<rend rend="sup">{escape(part)}</rend>' if raised else escape(part)
            for part, raised in split_numeral(harmony.numeral)
        )
        out.append(
            f'<harm xml:id="h{index}.n" staff="{last_staff}" place="below" tstamp="{place}">'
            f"{text}</harm>"
        )
    return out


def _write_tempo(tempo: Tempo, place: str) -> str:
    beat = duration_to_value(tempo.beat_quarters)
    speed = tempo.quarters_per_minute / float(tempo.beat_quarters)
    attributes = f'midi.bpm="{tempo.quarters_per_minute:g}"'
    text = escape(tempo.words)
    if tempo.is_shown and beat is not None:
        dots = f' mm.dots="{beat[1]}"' if beat[1] else ""
        attributes += f' mm="{round(speed, 2):g}" mm.unit="{DURATIONS[beat[0]]}"{dots}'
        sign = _NOTE_SIGNS.get(beat[0], "") + "\ue1e7" * beat[1]
        mark = f'<rend glyph.auth="smufl">{sign}</rend> = {round(speed, 2):g}'
        text = f"{text} ({mark})" if text else mark
    return f'<tempo staff="1" place="above" tstamp="{place}" {attributes}>{text}</tempo>'


def _write_direction(direction: Direction, staff: int, bar: int, place: str, time: Timeline) -> str:
    where = f'staff="{staff}" place="{direction.place}" tstamp="{place}"'
    if direction.kind == "words":
        return f"<dir {where}>{escape(direction.text)}</dir>"
    if direction.kind == "dynamic":
        return f"<dynam {where}>{escape(direction.text)}</dynam>"
    if direction.kind == "rehearsal":
        return f"<reh {where}>{escape(direction.text)}</reh>"
    if direction.kind in ("segno", "coda"):
        return f'<repeatMark {where} func="{direction.kind}"/>'
    until = direction.onset if direction.until is None else direction.until
    end_bar, end_place = _locate(time, time.ticks(until))
    span = f'tstamp2="{end_bar - bar}m+{end_place}"'
    if direction.kind == "wedge":
        form = "cres" if direction.text == "crescendo" else "dim"
        return f'<hairpin form="{form}" {where} {span}/>'
    if direction.kind == "octave":
        size = "8" if direction.text.startswith("8") else "15"
        side = "below" if direction.text.endswith("b") else "above"
        where = f'staff="{staff}" tstamp="{place}"'
        return f'<octave dis="{size}" dis.place="{side}" {where} {span}/>'
    return f'<pedal staff="{staff}" dir="down" tstamp="{place}"/>'
