"""Scores as MusicXML 4.0 (partwise), written directly.

The format is the W3C's MusicXML 4.0 (Final Community Group Report, 1 June 2021).
Equal scores give equal bytes: no date is written.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement, indent, tostring

from harmony.pitch.interval import UNISON, Interval
from harmony.pitch.meter import Meter
from harmony.scoring.clef import CLEFS, ClefChange
from harmony.scoring.layout import Written, lay_out_staff
from harmony.scoring.part import Group, Part, midi_channel
from harmony.scoring.score import Bar, Score
from harmony.scoring.timeline import Timeline, measure_score
from harmony.writing.musicxml_direction import (
    Placed,
    place_directions,
    place_numerals,
    place_symbols,
    place_tempi,
)
from harmony.writing.musicxml_note import NotePlace, NoteWriter, add_text
from harmony.writing.written import (
    IdGiver,
    Reading,
    find_accidentals,
    is_octave,
    plan_readings,
    reading_at,
)

SOFTWARE = "loom-harmony-workbench"
_PROLOGUE = (
    '<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN"'
    ' "http://www.musicxml.org/dtds/partwise.dtd">\n'
)
_COMMON_LINE = 16  # MusicXML numbers lines of a part that last at one time, up to 16
_Laid = list[dict[int, list[Written]]]


def write_musicxml(score: Score, *, concert: bool = False) -> bytes:
    """Give the score as MusicXML 4.0 in UTF-8.

    Transposing parts are written as their players read them; ``concert`` writes
    a score in C, where only octave transpositions stay and ``<for-part>`` tells
    how each part is to be transposed.
    """
    root = Element("score-partwise", version="4.0")
    _add_header(root, score, concert=concert)
    _add_part_list(root, score)
    ids = IdGiver("n")
    timeline = measure_score(score)
    for index, part in enumerate(score.parts):
        _PartWriter(score, index, part, timeline, ids, concert=concert).write(root)
    indent(root, space=" ")
    return (_PROLOGUE + tostring(root, encoding="unicode") + "\n").encode()


def _add_header(root: Element, score: Score, *, concert: bool) -> None:
    if score.title:
        add_text(SubElement(root, "work"), "work-title", score.title)
    identification = SubElement(root, "identification")
    if score.composer:
        add_text(identification, "creator", score.composer, type="composer")
    encoding = SubElement(identification, "encoding")
    add_text(encoding, "software", SOFTWARE)
    for element in ("accidental", "beam"):
        SubElement(encoding, "supports", element=element, type="yes")
    if score.source:
        add_text(identification, "source", score.source)
    if concert:
        SubElement(SubElement(root, "defaults"), "concert-score")


def _add_part_list(root: Element, score: Score) -> None:
    holder = SubElement(root, "part-list")
    opening: dict[int, list[tuple[int, Group]]] = {}
    closing: dict[int, list[int]] = {}
    # Wider groups open first and close last, so that brackets nest.
    nested = sorted(score.groups, key=lambda group: (group.first, -group.last))
    for number, group in enumerate(nested, start=1):
        opening.setdefault(group.first, []).append((number, group))
        closing.setdefault(group.last, []).insert(0, number)
    for index, part in enumerate(score.parts):
        for number, group in opening.get(index, ()):
            element = SubElement(holder, "part-group", type="start", number=str(number))
            if group.name:
                add_text(element, "group-name", group.name)
            if group.abbreviation:
                add_text(element, "group-abbreviation", group.abbreviation)
            add_text(element, "group-symbol", group.symbol)
            add_text(element, "group-barline", "yes")
        _add_score_part(holder, index, part)
        for number in closing.get(index, ()):
            SubElement(holder, "part-group", type="stop", number=str(number))


def _add_score_part(holder: Element, index: int, part: Part) -> None:
    name = f"P{index + 1}"
    element = SubElement(holder, "score-part", id=name)
    add_text(element, "part-name", part.name)
    if part.abbreviation:
        add_text(element, "part-abbreviation", part.abbreviation)
    instrument = SubElement(element, "score-instrument", id=f"{name}-I1")
    add_text(instrument, "instrument-name", part.instrument or part.name)
    if part.sound:
        add_text(instrument, "instrument-sound", part.sound)
    midi = SubElement(element, "midi-instrument", id=f"{name}-I1")
    add_text(midi, "midi-channel", 1 + midi_channel(part, index))
    add_text(midi, "midi-program", part.midi_program)


class _PartWriter:
    """Writes one part, measure by measure."""

    def __init__(
        self,
        score: Score,
        index: int,
        part: Part,
        timeline: Timeline,
        ids: IdGiver,
        *,
        concert: bool,
    ) -> None:
        self.score, self.index, self.part, self.ids = score, index, part, ids
        self.timeline, self.bars = timeline, timeline.bars
        self.concert = concert
        self.many = len(part.staves) > 1
        self.readings = plan_readings(score, part, timeline, concert=concert)
        self.laid: list[_Laid] = [lay_out_staff(staff, timeline) for staff in part.staves]
        self.placed = [self._place_beside(number) for number in range(len(part.staves))]
        self.voice_numbers = {
            key: number
            for number, key in enumerate(
                (
                    (staff, voice)
                    for staff in range(len(part.staves))
                    for voice in part.staves[staff].voices or (1,)
                ),
                start=1,
            )
        }

    def _staff_number(self, staff: int) -> int | None:
        return staff + 1 if self.many else None

    def _place_beside(self, staff: int) -> list[Placed]:
        """Collect what stands beside the notes of a staff, in order of time."""
        number = self._staff_number(staff)
        own = self.part.staves[staff].directions
        placed = place_directions(own, self.timeline, staff=number, line=staff + 1)
        if self.index == 0 and staff == 0:
            placed += place_tempi(self.score.tempi, self.timeline, staff=number)
            common = self.score.directions
            placed += place_directions(common, self.timeline, staff=number, line=_COMMON_LINE)
            placed += place_symbols(self.score.harmonies, self.timeline, staff=number)
        if self.index == len(self.score.parts) - 1 and staff == len(self.part.staves) - 1:
            placed += place_numerals(self.score.harmonies, self.timeline, staff=number)
        return sorted(placed, key=lambda item: (item.tick, item.rank))

    def write(self, root: Element) -> None:
        """Append the ``<part>``."""
        element = SubElement(root, "part", id=f"P{self.index + 1}")
        for number, bar in enumerate(self.bars):
            attributes = {"number": bar.label or str(bar.number)}
            if bar.number == 0:
                attributes["implicit"] = "yes"
            measure = SubElement(element, "measure", attributes)
            self._write_bar(measure, number, bar)

    def _write_bar(self, measure: Element, number: int, bar: Bar) -> None:
        before = self.bars[number - 1] if number else None
        is_last = number == len(self.bars) - 1
        after = None if is_last else self.bars[number + 1]
        _add_left_barline(measure, bar, before)
        self._add_opening_attributes(measure, number)
        self._add_changes_inside(measure, number)
        place = 0
        for staff, laid in enumerate(self.laid):
            shown = find_accidentals(laid[number], self.timeline.starts[number], self.readings)
            several = len(laid[number]) > 1
            for order, (voice, notes) in enumerate(laid[number].items()):
                if place:
                    add_text(SubElement(measure, "backup"), "duration", place)
                beside = self._beside(staff, number) if order == 0 else []
                where = NotePlace(
                    self.voice_numbers[staff, voice],
                    self._staff_number(staff),
                    ("up", "down")[order % 2] if several else "",
                    shows_silence=order == 0,
                )
                self._write_voice(measure, number, notes, where, shown, beside)
                place = self.timeline.lengths[number]
        _add_right_barline(measure, bar, after, is_regular=not self.score.bars)

    def _beside(self, staff: int, number: int) -> list[Placed]:
        """Give what stands beside the notes of a staff in a bar."""
        start = self.timeline.starts[number]
        is_last = number == len(self.bars) - 1
        end = start + self.timeline.lengths[number]
        return [
            item
            for item in self.placed[staff]
            if start <= item.tick and (item.tick < end or is_last)
        ]

    def _write_voice(
        self,
        measure: Element,
        number: int,
        notes: list[Written],
        where: NotePlace,
        shown: set[tuple[int, int]],
        beside: list[Placed],
    ) -> None:
        waiting, start = beside, self.timeline.starts[number]
        for written in notes:
            if waiting:
                waiting = _put_beside(measure, waiting, start, written)
            interval = reading_at(self.readings, start + written.offset).transposition
            NoteWriter(interval, shown, self.ids.give).write(measure, written, where)
        for item in waiting:
            measure.append(item.element)

    def _add_opening_attributes(self, measure: Element, number: int) -> None:
        bar = self.bars[number]
        before = self.bars[number - 1] if number else None
        start = self.timeline.starts[number]
        attributes = Element("attributes")
        if before is None:
            add_text(attributes, "divisions", self.timeline.divisions)
        reading = reading_at(self.readings, start)
        is_new_key = before is None or reading.tick == start
        if is_new_key:
            _add_key(attributes, reading)
        if before is None or before.meter != bar.meter:
            _add_time(attributes, bar.meter)
        if before is None and self.many:
            add_text(attributes, "staves", len(self.part.staves))
        for place, staff in enumerate(self.part.staves):
            for clef in staff.clefs:
                if clef.onset == bar.onset:
                    _add_clef(attributes, clef, self._staff_number(place))
        if before is None:
            self._add_staff_lines(attributes)
        if is_new_key:
            self._add_transposition(attributes, reading, before)
        if len(attributes):
            measure.append(attributes)

    def _add_staff_lines(self, attributes: Element) -> None:
        for place, staff in enumerate(self.part.staves):
            if staff.lines != 5:
                own = self._staff_number(place)
                details = SubElement(
                    attributes, "staff-details", {} if own is None else {"number": str(own)}
                )
                add_text(details, "staff-lines", staff.lines)

    def _add_transposition(self, attributes: Element, reading: Reading, before: Bar | None) -> None:
        last = self.readings[max(self.readings.index(reading) - 1, 0)].transposition
        if reading.transposition != (UNISON if before is None else last):
            _add_steps(SubElement(attributes, "transpose"), reading.transposition)
        if self.concert and before is None and not is_octave(self.part.transposition):
            holder = SubElement(SubElement(attributes, "for-part"), "part-transpose")
            _add_steps(holder, self.part.transposition)

    def _add_changes_inside(self, measure: Element, number: int) -> None:
        """Write key and clef changes inside the bar, at their own times."""
        start = self.timeline.starts[number]
        end = start + self.timeline.lengths[number]
        found: dict[int, Element] = {}
        for reading in self.readings:
            if start < reading.tick < end:
                _add_key(found.setdefault(reading.tick, Element("attributes")), reading)
        for place, staff in enumerate(self.part.staves):
            for clef in staff.clefs[1:]:
                tick = self.timeline.ticks(clef.onset)
                if start < tick < end:
                    holder = found.setdefault(tick, Element("attributes"))
                    _add_clef(holder, clef, self._staff_number(place))
        place_tick = start
        for tick in sorted(found):
            add_text(SubElement(measure, "forward"), "duration", tick - place_tick)
            measure.append(found[tick])
            place_tick = tick
        if place_tick > start:
            add_text(SubElement(measure, "backup"), "duration", place_tick - start)


def _put_beside(
    measure: Element, waiting: list[Placed], start: int, written: Written
) -> list[Placed]:
    """Write what stands at or inside a note before it; give what is left."""
    place = start + written.offset
    stop = place + written.duration
    for index, item in enumerate(waiting):
        if item.tick > place and item.tick >= stop:
            return waiting[index:]
        if item.tick > place and item.element.tag != "sound":
            offset = Element("offset")
            offset.text = str(item.tick - place)
            _insert_offset(item.element, offset)
        measure.append(item.element)
    return []


def _insert_offset(element: Element, offset: Element) -> None:
    """Put ``<offset>`` where the schema wants it: before staff and sound."""
    for index, child in enumerate(element):
        if child.tag in ("staff", "sound"):
            element.insert(index, offset)
            return
    element.append(offset)


def _add_key(attributes: Element, reading: Reading) -> None:
    key = SubElement(attributes, "key")
    add_text(key, "fifths", reading.fifths)
    mode = reading.mode.split(maxsplit=1)[0]
    if mode in ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "aeolian",
                "ionian", "locrian", "none"):  # fmt: skip
        add_text(key, "mode", mode)


def _add_time(attributes: Element, meter: Meter) -> None:
    time = SubElement(attributes, "time")
    add_text(time, "beats", "+".join(str(group) for group in meter.groups))
    add_text(time, "beat-type", meter.unit)


def _add_clef(attributes: Element, change: ClefChange, number: int | None) -> None:
    sign, line, octaves = CLEFS[change.name]
    clef = SubElement(attributes, "clef", {} if number is None else {"number": str(number)})
    add_text(clef, "sign", sign)
    if sign != "percussion":
        add_text(clef, "line", line)
    if octaves:
        add_text(clef, "clef-octave-change", octaves)


def _add_steps(holder: Element, interval: Interval) -> None:
    """Write a transposition: steps and semitones within the octave, and whole octaves.

    Octaves are taken out only where both counts allow the same number.
    """
    octaves = min(abs(interval.steps) // 7, abs(interval.semitones) // 12)
    octaves = -octaves if interval.semitones < 0 else octaves
    add_text(holder, "diatonic", interval.steps - 7 * octaves)
    add_text(holder, "chromatic", interval.semitones - 12 * octaves)
    if octaves:
        add_text(holder, "octave-change", octaves)


def _add_left_barline(measure: Element, bar: Bar, before: Bar | None) -> None:
    opens = bar.ending and (before is None or before.ending != bar.ending)
    if not (bar.left or opens or "forward" in bar.repeats):
        return
    barline = SubElement(measure, "barline", location="left")
    if bar.left or "forward" in bar.repeats:
        add_text(barline, "bar-style", bar.left or "heavy-light")
    if opens:
        SubElement(barline, "ending", number=bar.ending, type="start")
    if "forward" in bar.repeats:
        SubElement(barline, "repeat", direction="forward")


def _add_right_barline(measure: Element, bar: Bar, after: Bar | None, *, is_regular: bool) -> None:
    closes = bar.ending and (after is None or after.ending != bar.ending)
    style = bar.right
    if not style and ("backward" in bar.repeats or (after is None and is_regular)):
        style = "light-heavy"
    if not (style or closes):
        return
    barline = SubElement(measure, "barline", location="right")
    if style:
        add_text(barline, "bar-style", style)
    if closes:
        SubElement(barline, "ending", number=bar.ending, type="stop")
    if "backward" in bar.repeats:
        SubElement(barline, "repeat", direction="backward")
