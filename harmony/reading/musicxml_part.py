"""One part of a MusicXML file, bar by bar."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from xml.etree.ElementTree import Element

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval
from harmony.pitch.key import MODE_FIFTHS, Key
from harmony.pitch.meter import Meter
from harmony.pitch.spelling import PitchName
from harmony.reading.bars import RawBar
from harmony.reading.losses import Losses
from harmony.reading.musicxml_direction import (
    DirectionReader,
    RawHarmony,
    RawTempo,
    read_harmony,
)
from harmony.reading.musicxml_note import (
    EXPORT_AGAIN,
    RawNote,
    add_pitch,
    read_note,
    text_of,
    whole_of,
)
from harmony.scoring.clef import clef_name

_AT_PITCH = Interval(0, 0)
#: letters that a transposition by so many semitones is usually spelled with
_USUAL_STEPS = (0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6)
_USUAL = Meter((4,), 4)
_MOST_STAVES = 12
_STYLES = frozenset(
    {
        "dashed", "dotted", "heavy", "heavy-heavy", "heavy-light", "light-heavy", "light-light",
        "none", "regular", "short", "tick",
    }
)  # fmt: skip
#: Children of a measure that only say how it looks.
_QUIET = frozenset({"print", "bookmark", "link", "listening"})


@dataclass(frozen=True, slots=True)
class RawKey:
    """A signature in concert pitch as read."""

    bar: int
    offset: Fraction
    key: Key


class PartReader:
    """Reads the bars of one part in order; what it found is in its attributes."""

    def __init__(self, losses: Losses, *, is_concert: bool) -> None:
        self.losses = losses
        self.is_concert = is_concert
        self.bars: list[RawBar] = []
        self.notes: list[tuple[int, RawNote]] = []
        self.harmonies: list[RawHarmony] = []
        self.keys: list[RawKey] = []
        self.clefs: list[tuple[int, Fraction, int, str]] = []
        self.directions = DirectionReader(losses)
        self.transposition: Interval | None = None
        self.staves = 1
        self._moved = _AT_PITCH
        self._divisions = 1
        self._meter: Meter | None = None
        self._ending = ""
        self._place = self._furthest = Fraction(0)
        self._last: RawNote | None = None

    def read_measure(self, measure: Element) -> None:
        """Read the next ``<measure>``."""
        bar = RawBar(label=(measure.get("number") or "").strip(), ending=self._ending)
        self.bars.append(bar)
        self._place = self._furthest = Fraction(0)
        self._last = None
        index = len(self.bars) - 1
        for element in measure:
            try:
                self._read_child(element, index, bar)
            except HarmonyError as fault:
                label = bar.label or str(index + 1)
                raise HarmonyError(f"Bar {label}: {fault.message}", where=f"bar {label}") from fault
        bar.meter = self._meter
        bar.filled = self._furthest

    def _read_child(self, element: Element, index: int, bar: RawBar) -> None:
        tag = element.tag
        if tag == "note":
            self._read_note(element, index)
        elif tag in ("backup", "forward"):
            length = self._length(element)
            self._place = self._place + length if tag == "forward" else self._place - length
            self._place = max(self._place, Fraction(0))
            self._fill()
        elif tag == "attributes":
            self._read_attributes(element, index)
        elif tag == "direction":
            self.directions.read(element, index, self._offset_of(element))
        elif tag == "harmony":
            place = self._offset_of(element)
            found = read_harmony(element, index, place, self._moved, self.losses)
            if found is not None:
                self.harmonies.append(found)
        elif tag == "sound":
            speed = self.directions.read_sound(element)
            if speed is not None:
                self.directions.tempi.append(
                    RawTempo(index, self._place, speed, "", Fraction(1), is_shown=False)
                )
        elif tag == "barline":
            self._read_barline(element, bar)
        elif tag not in _QUIET:
            self.losses.count(tag)

    def _length(self, element: Element) -> Fraction:
        text = text_of(element, "duration", "0")
        try:
            ticks = Fraction(text)
        except (ValueError, ZeroDivisionError) as fault:
            raise HarmonyError(f"{text[:20]!r} is not a duration; {EXPORT_AGAIN}.") from fault
        length = ticks / self._divisions
        if not 0 <= length < 100_000:
            raise HarmonyError(f"{text[:20]!r} is not a duration; {EXPORT_AGAIN}.")
        # Files that count in floats are off by a hair.
        return length.limit_denominator(5040) if length.denominator > 5040 else length

    def _offset_of(self, element: Element) -> Fraction:
        text = text_of(element, "offset", "0")
        try:
            offset = Fraction(text) / self._divisions
        except (ValueError, ZeroDivisionError):
            offset = Fraction(0)
        return max(self._place + offset.limit_denominator(5040), Fraction(0))

    def _read_note(self, element: Element, index: int) -> None:
        if element.find("cue") is not None:
            self.losses.count("cue")
            if element.find("chord") is None and element.find("grace") is None:
                self._place += self._length(element)
                self._fill()
            return
        if element.find("chord") is not None and self._last is not None:
            add_pitch(self._last, element, self._moved, self.losses)
            return
        is_grace = element.find("grace") is not None
        duration = Fraction(0) if is_grace else self._length(element)
        note = read_note(element, self._place, duration, self._moved, self.losses)
        self._last = note
        if note.staff > _MOST_STAVES:
            raise HarmonyError(f"A part has up to {_MOST_STAVES} staves, not {note.staff}.")
        self.staves = max(self.staves, note.staff)
        self.directions.add_dynamics(note.dynamics, index, self._place, note.staff)
        self._place += duration
        if note.pitches:
            self._furthest = max(self._furthest, self._place)
        else:
            self._fill()
        is_hidden = element.get("print-object") == "no" and not note.pitches
        if (duration or is_grace) and not is_hidden:
            self.notes.append((index, note))

    def _fill(self) -> None:
        """Count silence: it fills a bar but never makes it longer."""
        whole = (self._meter or _USUAL).bar_quarters
        self._furthest = max(self._furthest, min(self._place, whole))

    def _read_attributes(self, attributes: Element, index: int) -> None:
        for element in attributes:
            tag = element.tag
            if tag == "divisions":
                self._divisions = max(whole_of(attributes, "divisions", 1), 1)
            elif tag == "transpose":
                self._read_transposition(element)
            elif tag == "for-part" and self.is_concert:
                part = element.find("part-transpose")
                if part is not None and self.transposition is None:
                    self.transposition = read_interval(part)
            elif tag == "staves":
                self.staves = min(max(whole_of(attributes, "staves", 1), 1), _MOST_STAVES)
            elif tag == "clef":
                self._read_clef(element, index)
            elif tag == "time":
                self._read_time(element)
            elif tag == "measure-style" and element.find("multiple-rest") is None:
                self.losses.count("measure-style")
            elif tag == "staff-details" and text_of(element, "staff-lines", "5") != "5":
                self.losses.count("staff-details")
        # The key is read last: its concert pitch depends on the transposition.
        for element in attributes.findall("key"):
            self._read_key(element, index)

    def _read_transposition(self, element: Element) -> None:
        interval = read_interval(element)
        if self.transposition is not None and interval != self._moved and not self.is_concert:
            self.losses.tell(
                "A part changes its transposition; it is written with the first one throughout."
            )
        self._moved = interval
        if self.transposition is None:
            self.transposition = interval

    def _read_clef(self, element: Element, index: int) -> None:
        sign = text_of(element, "sign", "G")
        default_line = {"G": 2, "F": 4, "C": 3}.get(sign, 2)
        number = element.get("number", "1")
        staff = int(number) if number.isdecimal() else 1
        if sign == "percussion":
            name: str | None = "percussion"
        else:
            line = whole_of(element, "line", default_line)
            name = clef_name(sign, line, whole_of(element, "clef-octave-change"))
        if name is None:
            name = "bass" if sign == "F" else "treble"
            self.losses.tell(f"A rare clef ({sign}) is written as a {name} clef.")
        self.clefs.append((index, self._place, max(staff, 1), name))

    def _read_time(self, element: Element) -> None:
        if element.find("senza-misura") is not None:
            self.losses.count("senza-misura")
            return
        pairs = list(zip(element.findall("beats"), element.findall("beat-type"), strict=False))
        if not pairs:
            return
        if len({(kind.text or "").strip() for _, kind in pairs}) > 1:
            self.losses.tell("Meters joined from several note values keep only the first.")
            pairs = pairs[:1]
        beats = "+".join((count.text or "").strip() for count, _ in pairs)
        self._meter = Meter.from_text(f"{beats}/{(pairs[0][1].text or '').strip()}")

    def _read_key(self, element: Element, index: int) -> None:
        if element.find("fifths") is None:
            self.losses.tell("A signature made of single accidentals is not kept.")
            return
        mode = text_of(element, "mode", "major").lower()
        if mode == "none":
            return  # a signature that claims no key
        mode = mode if mode in MODE_FIFTHS else "major"
        shift = transposition_fifths(self._moved)
        fifths = whole_of(element, "fifths") + shift
        if abs(fifths) > 7 and abs(fifths - 12 * (1 if fifths > 0 else -1)) < abs(fifths):
            fifths -= 12 if fifths > 0 else -12
        if abs(fifths) > 14:
            raise HarmonyError(
                f"A signature of {abs(fifths)} {'sharps' if fifths > 0 else 'flats'} cannot be"
                " read; up to 7 are accepted."
            )
        tonic = PitchName.from_fifths(fifths - MODE_FIFTHS[mode])
        self.keys.append(RawKey(index, self._place, Key(tonic, mode)))

    def _read_barline(self, element: Element, bar: RawBar) -> None:
        style = text_of(element, "bar-style")
        style = style if style in _STYLES and style != "regular" else ""
        is_left = element.get("location") == "left"
        repeat = element.find("repeat")
        if repeat is not None:
            direction = repeat.get("direction", "")
            if direction in ("forward", "backward") and direction not in bar.repeats:
                bar.repeats.append(direction)
        elif is_left:
            bar.left = style or bar.left
        else:
            bar.right = style or bar.right
        ending = element.find("ending")
        if ending is not None:
            if ending.get("type") == "start":
                self._ending = bar.ending = (ending.get("number") or "1").strip() or "1"
            else:
                self._ending = ""
        if element.find("fermata") is not None:
            self.losses.count("fermatas over bar lines")


def transposition_fifths(moved: Interval) -> int:
    """Give how many fifths a transposition moves a signature by."""
    # An octave (7 steps, 12 semitones) moves none, a fifth (4, 7) moves one.
    return 7 * moved.semitones - 12 * moved.steps


def read_interval(element: Element) -> Interval:
    """Read ``<transpose>``: sounding minus written."""
    chromatic = whole_of(element, "chromatic")
    octaves = whole_of(element, "octave-change")
    if element.find("diatonic") is not None:
        diatonic = whole_of(element, "diatonic")
    else:
        whole, rest = divmod(abs(chromatic), 12)
        diatonic = (7 * whole + _USUAL_STEPS[rest]) * (-1 if chromatic < 0 else 1)
    if max(abs(chromatic), abs(octaves) * 12, abs(diatonic)) > 60:
        raise HarmonyError(
            "A transposition of more than five octaves cannot be read; up to five are accepted."
        )
    return Interval(diatonic + 7 * octaves, chromatic + 12 * octaves)
