"""Directions, tempi and chord names of MusicXML."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from xml.etree.ElementTree import Element

from harmony.chords.chord import Chord
from harmony.chords.kinds import DEGREE_TYPES, KindDegree, kind_to_chord
from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import PitchName
from harmony.reading.losses import Losses
from harmony.reading.musicxml_note import number_of, read_dynamics, text_of, whole_of
from harmony.scoring.value import VALUES

_WEDGES = frozenset({"crescendo", "diminuendo"})
_QUIET_SOUNDS = frozenset({"tempo", "dynamics", "id"})
_FASTEST = 10_000


@dataclass(slots=True)
class RawDirection:
    """A direction as read: bar index and time inside it; ``end`` likewise, where it lasts."""

    bar: int
    offset: Fraction
    staff: int
    kind: str
    text: str
    place: str
    end: tuple[int, Fraction] | None = None


@dataclass(slots=True)
class RawTempo:
    """A tempo as read; ``quarters_per_minute`` is None for words without a speed."""

    bar: int
    offset: Fraction
    quarters_per_minute: float | None
    words: str
    beat_quarters: Fraction
    is_shown: bool


@dataclass(frozen=True, slots=True)
class RawHarmony:
    """A chord name as read."""

    bar: int
    offset: Fraction
    chord: Chord | None
    symbol: str


class DirectionReader:
    """Reads the directions of one part, joining the ends of what lasts."""

    def __init__(self, losses: Losses) -> None:
        self.losses = losses
        self.directions: list[RawDirection] = []
        self.tempi: list[RawTempo] = []
        self._open: dict[tuple[str, str], RawDirection] = {}

    def read(self, element: Element, bar: int, offset: Fraction) -> None:
        """Read a ``<direction>`` that stands at a time of a bar."""
        place = element.get("placement", "")
        staff = max(whole_of(element, "staff", 1), 1)
        words: list[str] = []
        metronome: tuple[Fraction, float] | None = None
        for kind in element.findall("direction-type"):
            for sign in kind:
                if sign.tag == "words":
                    words.append((sign.text or "").strip())
                elif sign.tag == "metronome":
                    metronome = self._read_metronome(sign)
                else:
                    self._read_sign(sign, bar, offset, staff, place)
        self._finish(element, bar, offset, staff, place, " ".join(filter(None, words)), metronome)

    def _finish(
        self,
        element: Element,
        bar: int,
        offset: Fraction,
        staff: int,
        place: str,
        text: str,
        metronome: tuple[Fraction, float] | None,
    ) -> None:
        sound = element.find("sound")
        speed = None if sound is None else self.read_sound(sound)
        if metronome is not None or (speed is not None and text):
            beat, per_minute = metronome or (Fraction(1), 0.0)
            shown = speed if metronome is None else per_minute * float(beat)
            self.tempi.append(
                RawTempo(bar, offset, speed or shown, text, beat, metronome is not None)
            )
        else:
            if speed is not None:
                self.tempi.append(RawTempo(bar, offset, speed, "", Fraction(1), is_shown=False))
            if text:
                self._add(RawDirection(bar, offset, staff, "words", text, place or "above"))

    def read_sound(self, sound: Element) -> float | None:
        """Give the tempo of a ``<sound>``, if it sets one."""
        if set(sound.keys()) - _QUIET_SOUNDS:
            self.losses.count("sound")
        try:
            speed = float(sound.get("tempo") or 0.0)
        except ValueError:
            return None
        return speed if 0 < speed < _FASTEST else None

    def add_dynamics(
        self, signs: list[tuple[str, str]], bar: int, offset: Fraction, staff: int
    ) -> None:
        """Add dynamics that stand at a note."""
        for text, place in signs:
            self._add(RawDirection(bar, offset, staff, "dynamic", text, place))

    def _add(self, direction: RawDirection) -> None:
        self.directions.append(direction)

    def _read_metronome(self, sign: Element) -> tuple[Fraction, float] | None:
        units = [VALUES.get(text.strip()) for text in sign.itertext() if text.strip() in VALUES]
        speed = text_of(sign, "per-minute")
        digits = "".join(c if c.isdigit() or c == "." else " " for c in speed).split()
        if len(units) != 1 or units[0] is None or not digits:
            self.losses.count("metronome")
            return None
        dots = len(sign.findall("beat-unit-dot"))
        beat = units[0] * Fraction(2 ** (dots + 1) - 1, 2**dots)
        try:
            per_minute = float(digits[0])
        except ValueError:
            return None
        return (beat, per_minute) if 0 < per_minute * float(beat) < _FASTEST else None

    def _read_sign(self, sign: Element, bar: int, offset: Fraction, staff: int, place: str) -> None:
        tag = sign.tag
        if tag == "dynamics":
            where = place or sign.get("placement") or "below"
            self.add_dynamics([(text, where) for text in read_dynamics(sign)], bar, offset, staff)
        elif tag == "rehearsal":
            text = (sign.text or "").strip()
            self._add(RawDirection(bar, offset, staff, "rehearsal", text, place or "above"))
        elif tag in ("segno", "coda"):
            self._add(RawDirection(bar, offset, staff, tag, "", "above"))
        elif tag in ("wedge", "octave-shift", "pedal"):
            self._read_line(sign, bar, offset, staff, place)
        elif sign.get("type") != "stop":
            self.losses.count("other" if tag.startswith("other") else tag)

    def _read_line(self, sign: Element, bar: int, offset: Fraction, staff: int, place: str) -> None:
        tag, kind = sign.tag, sign.get("type", "")
        key = (tag, sign.get("number", "1"))
        if kind in ("stop", "discontinue"):
            opened = self._open.pop(key, None)
            if opened is not None:
                opened.end = (bar, offset)
            return
        if tag == "wedge" and kind in _WEDGES:
            found = RawDirection(bar, offset, staff, "wedge", kind, place or "below")
        elif tag == "octave-shift" and kind in ("up", "down"):
            size = "15m" if sign.get("size") == "15" else "8v"
            text = f"{size}{'a' if kind == 'down' else 'b'}"
            found = RawDirection(bar, offset, staff, "octave", text, place or "above")
        elif tag == "pedal" and kind in ("start", "sostenuto"):
            found = RawDirection(bar, offset, staff, "pedal", "", place or "below")
        else:
            return
        self._open[key] = found
        self._add(found)


def read_harmony(
    element: Element, bar: int, offset: Fraction, moved: Interval, losses: Losses
) -> RawHarmony | None:
    """Read a ``<harmony>``; only chords with a root can be read without a key."""
    root = element.find("root")
    kind = element.find("kind")
    if root is None or kind is None:
        losses.count("chord names without a root")
        return None
    if element.find("frame") is not None:
        losses.count("frame")
    value = (kind.text or "").strip()
    text = kind.get("text")
    if value == "none":
        return RawHarmony(bar, offset, None, text or "N.C.")
    try:
        root_name = transpose(_name(root, "root"), moved)
        bass = element.find("bass")
        bass_name = None if bass is None else transpose(_name(bass, "bass"), moved)
        degrees = [_degree(degree) for degree in element.findall("degree")]
        chord = kind_to_chord(root_name, value, bass=bass_name, degrees=degrees)
    except HarmonyError as fault:
        losses.tell(f"Left out: a chord name that cannot be read ({fault.message})")
        return None
    if chord is None or text is None:
        return RawHarmony(bar, offset, chord, chord.figure if chord else "N.C.")
    return RawHarmony(
        bar, offset, chord, f"{root_name}{text}" + (f"/{bass_name}" if bass_name else "")
    )


def _name(holder: Element, prefix: str) -> PitchName:
    alter = round(number_of(holder, f"{prefix}-alter"))
    return PitchName(text_of(holder, f"{prefix}-step").upper(), alter)


def _degree(element: Element) -> KindDegree:
    kind = text_of(element, "degree-type", "add")
    return KindDegree(
        whole_of(element, "degree-value", 1),
        whole_of(element, "degree-alter"),
        kind if kind in DEGREE_TYPES else "add",
    )
