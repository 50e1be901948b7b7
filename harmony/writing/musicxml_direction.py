"""MusicXML for what stands beside the notes: words, dynamics, tempo, chord names."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree.ElementTree import Element, SubElement

from harmony.chords.kinds import chord_to_kind
from harmony.pitch.spelling import PitchName
from harmony.scoring.direction import Direction, Harmony, Tempo
from harmony.scoring.timeline import Timeline
from harmony.scoring.value import duration_to_value
from harmony.writing.symbol import symbol_tail

DYNAMICS = frozenset(
    {
        "p", "pp", "ppp", "pppp", "ppppp", "pppppp", "f", "ff", "fff", "ffff", "fffff", "ffffff",
        "mp", "mf", "sf", "sfp", "sfpp", "fp", "rf", "rfz", "sfz", "sffz", "fz", "n", "pf", "sfzp",
    }
)  # fmt: skip
_OCTAVES = {"8va": ("down", 8), "8vb": ("up", 8), "15ma": ("down", 15), "15mb": ("up", 15)}


@dataclass(frozen=True, slots=True)
class Placed:
    """An element and the tick it belongs to; ``rank`` orders those at one time."""

    tick: int
    rank: int
    element: Element


def _direction(place: str, staff: int | None) -> tuple[Element, Element]:
    direction = Element("direction", placement=place)
    kind = SubElement(direction, "direction-type")
    if staff is not None:
        SubElement(direction, "staff").text = str(staff)
    return direction, kind


def place_directions(
    directions: Iterable[Direction], timeline: Timeline, *, staff: int | None, line: int
) -> list[Placed]:
    """Give the elements of a staff's directions, ends of wedges and lines included.

    ``line`` numbers the wedges and lines, which a part's staves must not share.
    """
    placed = []
    for direction in directions:
        element, kind = _direction(direction.place, staff)
        end = None
        text = direction.text
        if direction.kind == "words":
            SubElement(kind, "words").text = text
        elif direction.kind == "dynamic":
            _add_dynamic(kind, text)
        elif direction.kind == "rehearsal":
            SubElement(kind, "rehearsal").text = text
        elif direction.kind in ("segno", "coda"):
            SubElement(kind, direction.kind)
        else:
            tag = {"wedge": "wedge", "octave": "octave-shift", "pedal": "pedal"}[direction.kind]
            attributes = {"number": str(line)} if tag != "pedal" else {"line": "yes"}
            stop = dict(attributes)
            if tag == "octave-shift":
                way, size = _OCTAVES[text]
                attributes |= {"type": way, "size": str(size)}
                stop["size"] = str(size)
            else:
                attributes["type"] = text if tag == "wedge" else "start"
            SubElement(kind, tag, attributes)
            if direction.until is not None:
                end, end_kind = _direction(direction.place, staff)
                SubElement(end_kind, tag, stop | {"type": "stop"})
        placed.append(Placed(timeline.ticks(direction.onset), 2, element))
        if end is not None and direction.until is not None:
            # Lines end before what begins at the same time.
            placed.append(Placed(timeline.ticks(direction.until), 0, end))
    return placed


def _add_dynamic(kind: Element, text: str) -> None:
    holder = SubElement(kind, "dynamics")
    if text in DYNAMICS:
        SubElement(holder, text)
    else:
        SubElement(holder, "other-dynamics").text = text


def place_tempi(tempi: Iterable[Tempo], timeline: Timeline, *, staff: int | None) -> list[Placed]:
    """Give the elements of tempo marks; an unprinted tempo is only a sound."""
    placed = []
    for tempo in tempi:
        speed = f"{tempo.quarters_per_minute:g}"
        if not tempo.is_shown and not tempo.words:
            placed.append(Placed(timeline.ticks(tempo.onset), 1, Element("sound", tempo=speed)))
            continue
        element, kind = _direction("above", None)
        if tempo.words:
            SubElement(kind, "words", {"font-weight": "bold"}).text = tempo.words
        beat = duration_to_value(tempo.beat_quarters)
        if tempo.is_shown and beat is not None:
            if tempo.words:
                kind = SubElement(element, "direction-type")
            mark = SubElement(kind, "metronome", parentheses="yes" if tempo.words else "no")
            SubElement(mark, "beat-unit").text = beat[0]
            for _ in range(beat[1]):
                SubElement(mark, "beat-unit-dot")
            per_minute = tempo.quarters_per_minute / float(tempo.beat_quarters)
            SubElement(mark, "per-minute").text = f"{round(per_minute, 2):g}"
        if staff is not None:
            SubElement(element, "staff").text = str(staff)
        SubElement(element, "sound", tempo=speed)
        placed.append(Placed(timeline.ticks(tempo.onset), 1, element))
    return placed


def place_symbols(
    harmonies: Iterable[Harmony], timeline: Timeline, *, staff: int | None
) -> list[Placed]:
    """Give the ``<harmony>`` elements, each with a root (never a numeral)."""
    placed = []
    for harmony in harmonies:
        element = Element("harmony", placement="above")
        if harmony.chord is None:
            root = SubElement(element, "root")
            SubElement(root, "root-step", text="").text = "C"
            SubElement(element, "kind", text=harmony.symbol or "N.C.").text = "none"
        else:
            _add_chord(element, harmony)
        if staff is not None:
            SubElement(element, "staff").text = str(staff)
        placed.append(Placed(timeline.ticks(harmony.onset), 3, element))
    return placed


def _add_chord(element: Element, harmony: Harmony) -> None:
    written = chord_to_kind(harmony.chord)
    assert written is not None
    _add_name(SubElement(element, "root"), "root", written.root)
    text = symbol_tail(harmony.symbol) if harmony.symbol else written.text
    SubElement(element, "kind", text=text).text = written.kind
    if written.bass is not None:
        _add_name(SubElement(element, "bass"), "bass", written.bass)
    for degree in written.degrees:
        # The kind's text already says them, so they are not printed again.
        holder = SubElement(element, "degree", {"print-object": "no"})
        SubElement(holder, "degree-value").text = str(degree.value)
        SubElement(holder, "degree-alter").text = str(degree.alter)
        SubElement(holder, "degree-type").text = degree.type


def _add_name(holder: Element, prefix: str, name: PitchName) -> None:
    SubElement(holder, f"{prefix}-step").text = name.letter
    if name.alter:
        SubElement(holder, f"{prefix}-alter").text = str(name.alter)


def place_numerals(
    harmonies: Iterable[Harmony], timeline: Timeline, *, staff: int | None
) -> list[Placed]:
    """Give the Roman numerals as words below the staff."""
    placed = []
    for harmony in harmonies:
        if harmony.numeral:
            element, kind = _direction("below", staff)
            SubElement(kind, "words").text = harmony.numeral
            placed.append(Placed(timeline.ticks(harmony.onset), 3, element))
    return placed
