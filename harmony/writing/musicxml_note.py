"""MusicXML for one note, chord or rest."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch
from harmony.scoring.event import Event
from harmony.scoring.layout import Written
from harmony.scoring.mark import ARTICULATIONS, ORNAMENTS, TECHNICAL, TECHNICAL_WITH_TEXT
from harmony.writing.written import ties_of, write_pitch

ACCIDENTAL_NAMES = {
    0: "natural", 1: "sharp", -1: "flat", 2: "double-sharp", -2: "flat-flat",
    3: "triple-sharp", -3: "triple-flat",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class NotePlace:
    """Where a note is written: its voice and staff in MusicXML's numbers, and its stem.

    ``shows_silence`` is True where silence nobody wrote is printed as rests.
    """

    voice: int
    staff: int | None
    stem: str = ""
    shows_silence: bool = True


@dataclass(frozen=True, slots=True)
class NoteWriter:
    """Writes notes; lengths are ticks.

    ``transposition`` is sounding minus written, ``shown`` says
    which (note, pitch index) need a sign, ``give_id`` names a written note.
    """

    transposition: Interval
    shown: set[tuple[int, int]]
    give_id: Callable[[str], str]

    def write(self, parent: Element, written: Written, place: NotePlace) -> None:
        """Append the ``<note>`` elements of a written note, chord or rest."""
        event = written.event
        if event is None or not event.pitches:
            self._write_rest(parent, written, place)
            return
        ties = ties_of(written)
        for index, pitch in enumerate(event.pitches):
            note = self._open(parent, event)
            if event.grace is not None:
                SubElement(note, "grace", {"slash": "yes"} if event.grace.slashed else {})
            if index:
                SubElement(note, "chord")
            self._add_pitch(note, event, pitch)
            stop, start = ties[index]
            _add_length(note, written)
            if stop:
                SubElement(note, "tie", type="stop")
            if start:
                SubElement(note, "tie", type="start")
            self._add_value(note, written, place, index)
            self._add_notations(note, written, index, ties[index])
            if index == 0 and written.piece == 0:
                _add_lyrics(note, event)

    def _open(self, parent: Element, event: Event) -> Element:
        return SubElement(parent, "note", {"id": self.give_id(event.id)} if event.id else {})

    def _write_rest(self, parent: Element, written: Written, place: NotePlace) -> None:
        event = written.event
        if event is None and not place.shows_silence:
            forward = SubElement(parent, "forward")
            add_text(forward, "duration", written.duration)
            add_text(forward, "voice", place.voice)
            if place.staff is not None:
                add_text(forward, "staff", place.staff)
            return
        note = SubElement(parent, "note") if event is None else self._open(parent, event)
        SubElement(note, "rest", {"measure": "yes"} if written.fills_bar else {})
        _add_length(note, written)
        add_text(note, "voice", place.voice)
        if not written.fills_bar:
            add_text(note, "type", written.value)
            for _ in range(written.dots):
                SubElement(note, "dot")
            _add_ratio(note, written)
        if place.staff is not None:
            add_text(note, "staff", place.staff)
        self._add_notations(note, written, 0, (False, False))

    def _add_pitch(self, note: Element, event: Event, pitch: Pitch) -> None:
        shown = write_pitch(pitch, self.transposition, event.pitches)
        if "unpitched" in event.marks:
            holder = SubElement(note, "unpitched")
            add_text(holder, "display-step", shown.letter)
            add_text(holder, "display-octave", shown.octave)
            return
        holder = SubElement(note, "pitch")
        add_text(holder, "step", shown.letter)
        if shown.alter:
            add_text(holder, "alter", shown.alter)
        add_text(holder, "octave", shown.octave)

    def _add_value(self, note: Element, written: Written, place: NotePlace, index: int) -> None:
        event = written.event
        assert event is not None
        add_text(note, "voice", place.voice)
        add_text(note, "type", written.value)
        for _ in range(written.dots):
            SubElement(note, "dot")
        if (id(written), index) in self.shown and "unpitched" not in event.marks:
            name = ACCIDENTAL_NAMES.get(
                write_pitch(event.pitches[index], self.transposition, event.pitches).alter
            )
            if name:
                add_text(note, "accidental", name)
        _add_ratio(note, written)
        if place.stem and written.value not in ("whole", "breve"):
            add_text(note, "stem", place.stem)
        if place.staff is not None:
            add_text(note, "staff", place.staff)
        if index == 0:
            for level, word in enumerate(written.beams, start=1):
                add_text(note, "beam", word, number=str(level))

    def _add_notations(
        self, note: Element, written: Written, index: int, tie: tuple[bool, bool]
    ) -> None:
        holder = Element("notations")
        if tie[0]:
            SubElement(holder, "tied", type="stop")
        if tie[1]:
            SubElement(holder, "tied", type="start")
        if index == 0:
            _add_slurs(holder, written)
            if written.opens_tuplet:
                SubElement(holder, "tuplet", type="start", number="1", bracket="yes")
            if written.closes_tuplet:
                SubElement(holder, "tuplet", type="stop", number="1")
            _add_marks(holder, written)
        elif written.event is not None and "arpeggiate" in written.event.marks:
            SubElement(holder, "arpeggiate")
        if len(holder):
            note.append(holder)


def add_text(parent: Element, tag: str, value: object, **attributes: str) -> Element:
    """Append an element that holds a text."""
    child = SubElement(parent, tag, attributes)
    child.text = str(value)
    return child


def _add_length(note: Element, written: Written) -> None:
    if written.duration:
        add_text(note, "duration", written.duration)


def _add_ratio(note: Element, written: Written) -> None:
    if written.tuplet is not None:
        ratio = SubElement(note, "time-modification")
        add_text(ratio, "actual-notes", written.tuplet.actual)
        add_text(ratio, "normal-notes", written.tuplet.normal)


def _add_slurs(holder: Element, written: Written) -> None:
    event = written.event
    for kind, number in event.slurs if event is not None else ():
        # A slur begins on the first piece of a divided note and ends on the last.
        if (kind == "start" and written.piece == 0) or (kind == "stop" and written.is_last):
            SubElement(holder, "slur", type=kind, number=str(number))


def _add_marks(holder: Element, written: Written) -> None:
    event = written.event
    if event is None or not event.marks:
        return
    marks = event.marks if written.piece == 0 else ()
    ornaments = [mark for mark in marks if mark in ORNAMENTS or mark.startswith("tremolo=")]
    technical = [m for m in marks if m in TECHNICAL or m.partition("=")[0] in TECHNICAL_WITH_TEXT]
    articulations = [mark for mark in marks if mark in ARTICULATIONS]
    if ornaments:
        group = SubElement(holder, "ornaments")
        for mark in ornaments:
            name, _, strokes = mark.partition("=")
            element = SubElement(group, name)
            if name == "tremolo":
                element.set("type", "single")
                element.text = strokes
    if technical:
        group = SubElement(holder, "technical")
        for mark in technical:
            name, _, text = mark.partition("=")
            SubElement(group, name).text = text or None
    if articulations:
        group = SubElement(holder, "articulations")
        for mark in articulations:
            SubElement(group, mark)
    if "fermata" in event.marks and written.is_last:
        SubElement(holder, "fermata")
    if "arpeggiate" in marks:
        SubElement(holder, "arpeggiate")


def _add_lyrics(note: Element, event: Event) -> None:
    for lyric in event.lyrics:
        holder = SubElement(note, "lyric", number=str(lyric.verse))
        add_text(holder, "syllabic", lyric.syllable)
        add_text(holder, "text", lyric.text)
        if lyric.extends:
            SubElement(holder, "extend")
