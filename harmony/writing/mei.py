"""Scores as MEI, built as strings: the fast way to the engraver.

Written for live redrawing, so only what is drawn is written. Every note has an
id; see :func:`harmony.scoring.event_of_id` for the way back from a click.
"""

from __future__ import annotations

from collections.abc import Sequence
from xml.sax.saxutils import escape, quoteattr

from harmony.pitch.meter import Meter
from harmony.scoring.clef import CLEFS
from harmony.scoring.layout import Written, lay_out_staff
from harmony.scoring.part import Part
from harmony.scoring.score import Bar, Score
from harmony.scoring.timeline import Timeline, measure_score
from harmony.writing.mei_control import write_controls
from harmony.writing.mei_note import LayerWriter
from harmony.writing.written import (
    IdGiver,
    Reading,
    find_accidentals,
    plan_readings,
    reading_at,
)

_BARLINES = {
    "light-light": "dbl", "light-heavy": "end", "heavy-light": "rptstart", "dashed": "dashed",
    "dotted": "dotted", "none": "invis", "regular": "single", "heavy": "heavy",
    "heavy-heavy": "dblheavy",
}  # fmt: skip


def write_mei(score: Score, *, concert: bool = False, lines: Sequence[int] = ()) -> str:
    """Give the score as an MEI 5 document.

    ``concert`` writes sounding pitch, with octave transpositions kept. The id of
    chord name i is ``h{i}``, that of the numeral below it ``h{i}.n``. ``lines``
    are the bars, counted from 0, that begin another line of music.
    """
    return _MeiWriter(score, concert=concert, lines=lines).write()


class _Row:
    """One staff of the system: its place, part, signatures and laid-out bars."""

    __slots__ = ("clefs", "laid", "number", "part", "readings", "staff")

    def __init__(
        self, number: int, part: Part, staff: int, readings: tuple[Reading, ...], time: Timeline
    ) -> None:
        self.number, self.part, self.staff, self.readings = number, part, staff, readings
        self.laid: list[dict[int, list[Written]]] = lay_out_staff(part.staves[staff], time)
        self.clefs = [
            (time.ticks(change.onset), change.name) for change in part.staves[staff].clefs
        ]


class _MeiWriter:
    def __init__(self, score: Score, *, concert: bool, lines: Sequence[int]) -> None:
        self.score = score
        self.lines = frozenset(lines)
        self.time = measure_score(score)
        self.rows: list[_Row] = []
        for part in score.parts:
            readings = plan_readings(score, part, self.time, concert=concert)
            for staff in range(len(part.staves)):
                self.rows.append(_Row(len(self.rows) + 1, part, staff, readings, self.time))
        self.layers = LayerWriter(IdGiver("n"))

    def write(self) -> str:
        controls = write_controls(self.score, self.time)
        out = [
            '<?xml version="1.0" encoding="UTF-8"?><mei xmlns='
            '"http://www.music-encoding.org/ns/mei" meiversion="5.0"><meiHead><fileDesc>'
            f"<titleStmt><title>{escape(self.score.title)}</title></titleStmt>"
            "<pubStmt/></fileDesc></meiHead><music><body><mdiv><score>",
            self._score_definition(),
            "<section>",
        ]
        ending = ""
        for number, bar in enumerate(self.time.bars):
            if bar.ending != ending:
                out.append("</ending>" if ending else "")
                out.append(f"<ending n={quoteattr(bar.ending)}>" if bar.ending else "")
                ending = bar.ending
            if number:
                out.append(self._changes(number))
            if number in self.lines:
                out.append("<sb/>")
            out.append(self._measure(number, bar, controls[number]))
        out.append("</ending>" if ending else "")
        out.append("</section></score></mdiv></body></music></mei>")
        return "".join(out)

    def _score_definition(self) -> str:
        bar = self.time.bars[0]
        return f"<scoreDef {_meter(bar.meter)}>{self._staff_groups()}</scoreDef>"

    def _staff_groups(self) -> str:
        opening: dict[int, list[str]] = {}
        closing: dict[int, int] = {}
        for group in sorted(self.score.groups, key=lambda group: (group.first, -group.last)):
            # Group names would collide with the braces of keyboard parts.
            symbol = "" if group.symbol == "none" else f' symbol="{_group_symbol(group.symbol)}"'
            opening.setdefault(group.first, []).append(f'<staffGrp{symbol} bar.thru="true">')
            closing[group.last] = closing.get(group.last, 0) + 1
        out = ["<staffGrp>"]
        row = 0
        for index, part in enumerate(self.score.parts):
            out += opening.get(index, [])
            labels = f"<label>{escape(part.name)}</label>" if part.name else ""
            if part.abbreviation:
                labels += f"<labelAbbr>{escape(part.abbreviation)}</labelAbbr>"
            if len(part.staves) > 1:
                out.append(f'<staffGrp symbol="brace" bar.thru="true">{labels}')
                labels = ""
            for _ in part.staves:
                out.append(_staff_definition(self.rows[row], labels))
                row += 1
            out.append("</staffGrp>" if len(part.staves) > 1 else "")
            out.append("</staffGrp>" * closing.get(index, 0))
        out.append("</staffGrp>")
        return "".join(out)

    def _changes(self, number: int) -> str:
        """Give the new meter and signatures that hold from a bar on."""
        before, bar = self.time.bars[number - 1], self.time.bars[number]
        start = self.time.starts[number]
        meter = "" if before.meter == bar.meter else _meter(bar.meter)
        keys = [
            f'<staffDef n="{row.number}" key.sig="{_signature(reading.fifths)}"/>'
            for row in self.rows
            for reading in row.readings[1:]
            if reading.tick == start
        ]
        if not meter and not keys:
            return ""
        staves = f"<staffGrp>{''.join(keys)}</staffGrp>" if keys else ""
        return f"<scoreDef {meter}>{staves}</scoreDef>"

    def _measure(self, number: int, bar: Bar, control: str) -> str:
        is_last = number == len(self.time.bars) - 1
        right = _BARLINES.get(bar.right, "")
        if "backward" in bar.repeats:
            right = "rptend"
        elif not right and is_last and not self.score.bars:
            right = "end"
        left = "rptstart" if "forward" in bar.repeats else ""
        attributes = f"n={quoteattr(bar.label or str(bar.number))}"
        attributes += f' right="{right}"' if right else ""
        attributes += f' left="{left}"' if left else ""
        attributes += ' metcon="false"' if bar.length != bar.meter.bar_quarters else ""
        self.layers.control = []
        staves = [self._staff(row, number) for row in self.rows]
        return (
            f'<measure xml:id="m{number}" {attributes}>{"".join(staves)}'
            f"{control}{''.join(self.layers.control)}</measure>"
        )

    def _staff(self, row: _Row, number: int) -> str:
        start = self.time.starts[number]
        length = self.time.lengths[number]
        voices = row.laid[number]
        shown = find_accidentals(voices, start, row.readings)
        interval = reading_at(row.readings, start).transposition
        insertions = {
            reading.tick - start: f'<keySig sig="{_signature(reading.fifths)}"/>'
            for reading in row.readings[1:]
            if start < reading.tick < start + length
        }
        tail = ""
        for tick, name in row.clefs[1:]:
            if start < tick < start + length:
                insertions[tick - start] = f"<clef {_clef(name)}/>"
            elif tick == start + length:
                # A clef for the next bar stands before the bar line.
                tail = f"<clef {_clef(name)}/>"
        layers = []
        for order, (voice, notes) in enumerate(voices.items()):
            content = self.layers.write(
                notes,
                row.number,
                interval,
                shown,
                stem=("up", "down")[order % 2] if len(voices) > 1 else "",
                shows_silence=order == 0,
                insertions=insertions if order == 0 else {},
            )
            layers.append(f'<layer n="{voice}">{content}{tail if order == 0 else ""}</layer>')
        return f'<staff n="{row.number}">{"".join(layers)}</staff>'


def _group_symbol(symbol: str) -> str:
    return "bracketsq" if symbol == "square" else symbol


def _meter(meter: Meter) -> str:
    count = "+".join(str(group) for group in meter.groups)
    return f'meter.count="{count}" meter.unit="{meter.unit}"'


def _signature(fifths: int) -> str:
    """Give MEI's signature: 2f, 0, 3s.

    >>> _signature(-2)
    '2f'
    """
    return "0" if fifths == 0 else f"{abs(fifths)}{'s' if fifths > 0 else 'f'}"


def _clef(name: str) -> str:
    sign, line, octaves = CLEFS[name]
    text = f'shape="{"perc" if sign == "percussion" else sign}" line="{line}"'
    if octaves:
        text += f' dis="{8 if abs(octaves) == 1 else 15}"'
        text += f' dis.place="{"above" if octaves > 0 else "below"}"'
    return text


def _staff_definition(row: _Row, labels: str) -> str:
    reading = row.readings[0]
    lines = row.part.staves[row.staff].lines
    # Rhythm on one line has no signature, and its clef stands on that line.
    clef = _clef(row.clefs[0][1]) if lines > 1 else 'shape="perc" line="1"'
    signature = _signature(reading.fifths) if lines > 1 else "0"
    interval = reading.transposition
    transposed = ""
    if interval.steps or interval.semitones:
        transposed = f' trans.diat="{interval.steps}" trans.semi="{interval.semitones}"'
    return (
        f'<staffDef n="{row.number}" lines="{lines}" key.sig="{signature}"'
        f"{transposed}>{labels}<clef {clef}/></staffDef>"
    )
