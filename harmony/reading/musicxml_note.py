"""Notes of MusicXML: pitch, length, ties and everything that stands at them."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from xml.etree.ElementTree import Element

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import Pitch
from harmony.reading.losses import Losses
from harmony.scoring.event import SYLLABLES, Grace, Lyric, Tuplet
from harmony.scoring.mark import ARTICULATIONS, ORNAMENTS, TECHNICAL, TECHNICAL_WITH_TEXT
from harmony.scoring.value import VALUES, duration_to_value

#: What is accepted where the file is not as a notation program writes it.
EXPORT_AGAIN = "the score exported once more is accepted"
_DEFAULT_GRACE = Fraction(1, 2)
#: Notations that only say how something looks, or that are read elsewhere.
_QUIET = frozenset({"tied", "tuplet", "dynamics", "footnote", "level"})
_ONE_SIDED = frozenset({"start", "stop"})


@dataclass(slots=True)
class RawNote:
    """A note or a chord as read, its time still counted inside its bar."""

    offset: Fraction
    duration: Fraction
    voice: str
    staff: int
    pitches: list[Pitch] = field(default_factory=list)
    ties: list[str | None] = field(default_factory=list)
    slurs: list[tuple[str, int]] = field(default_factory=list)
    marks: list[str] = field(default_factory=list)
    lyrics: list[Lyric] = field(default_factory=list)
    dynamics: list[tuple[str, str]] = field(default_factory=list)
    tuplet: Tuplet | None = None
    grace: Grace | None = None
    id: str = ""


def text_of(element: Element, path: str, default: str = "") -> str:
    """Give the text of a child, without the spaces around it."""
    found = element.findtext(path)
    return default if found is None else found.strip()


def number_of(element: Element, path: str, default: float = 0.0) -> float:
    """Give the number in a child."""
    found = text_of(element, path)
    if not found:
        return default
    try:
        value = float(found)
    except ValueError:
        value = float("nan")
    if not abs(value) < 1e9:
        raise HarmonyError(f"{found[:20]!r} stands where <{path}> has a number; {EXPORT_AGAIN}.")
    return value


def whole_of(element: Element, path: str, default: int = 0) -> int:
    """Give the whole number in a child, rounding what is not whole."""
    return round(number_of(element, path, default))


def read_note(
    element: Element, offset: Fraction, duration: Fraction, moved: Interval, losses: Losses
) -> RawNote:
    """Read a ``<note>``; ``moved`` is sounding minus written."""
    note = RawNote(
        offset,
        duration,
        text_of(element, "voice", "1"),
        max(whole_of(element, "staff", 1), 1),
        id=(element.get("id") or "").partition(".")[0],
    )
    grace = element.find("grace")
    if grace is not None:
        note.duration = Fraction(0)
        written = VALUES.get(text_of(element, "type"), _DEFAULT_GRACE)
        dots = len(element.findall("dot"))
        full = written * Fraction(2 ** (dots + 1) - 1, 2**dots)
        note.grace = Grace(
            full if duration_to_value(full) else written, slashed=grace.get("slash") == "yes"
        )
    else:
        note.tuplet = _read_tuplet(element, duration)
    add_pitch(note, element, moved, losses)
    for notations in element.findall("notations"):
        _read_notations(note, notations, losses)
    for lyric in element.findall("lyric"):
        _read_lyric(note, lyric, losses)
    if element.find("notehead") is not None and text_of(element, "notehead") != "normal":
        losses.count("notehead")
    return note


def add_pitch(note: RawNote, element: Element, moved: Interval, losses: Losses) -> None:
    """Add the pitch of a ``<note>`` to a note or chord; a rest adds none."""
    pitch = element.find("pitch")
    if pitch is not None:
        alter = number_of(pitch, "alter")
        if alter != int(alter):
            losses.count("quarter-tone")
        written = _pitch(text_of(pitch, "step"), round(alter), whole_of(pitch, "octave", 4))
        note.pitches.append(transpose(written, moved))
    else:
        unpitched = element.find("unpitched")
        if unpitched is None:
            return
        step = text_of(unpitched, "display-step", "B")
        note.pitches.append(_pitch(step, 0, whole_of(unpitched, "display-octave", 4)))
        if "unpitched" not in note.marks:
            note.marks.append("unpitched")
    note.ties.append(_read_tie(element, losses))


def _pitch(step: str, alter: int, octave: int) -> Pitch:
    return Pitch(step.upper(), alter, octave)


def _read_tie(element: Element, losses: Losses) -> str | None:
    kinds = {tie.get("type", "") for tie in element.findall("tie")}
    tied = {tie.get("type", "") for tie in element.findall("notations/tied")}
    if "let-ring" in kinds | tied:
        losses.count("let-ring")
    # Some files write only the drawn tie, others only the one that sounds.
    kinds = (kinds or tied) & _ONE_SIDED
    return "continue" if len(kinds) == 2 else next(iter(kinds), None)


def _read_tuplet(element: Element, duration: Fraction) -> Tuplet | None:
    ratio = element.find("time-modification")
    if ratio is None:
        return None
    actual, normal = whole_of(ratio, "actual-notes"), whole_of(ratio, "normal-notes")
    if actual < 1 or normal < 1 or actual == normal:
        return None
    # A ratio that its note does not keep (as in two-note tremolos) is no tuplet.
    fits = duration_to_value(duration * actual / normal) is not None
    return Tuplet(actual, normal) if fits else None


def _read_notations(note: RawNote, notations: Element, losses: Losses) -> None:
    for element in notations:
        tag = element.tag
        if tag == "slur":
            kind = element.get("type", "")
            if kind in _ONE_SIDED:
                note.slurs.append((kind, _slur_number(element)))
        elif tag == "articulations":
            _read_marks(note, element, ARTICULATIONS, "other-articulation", losses)
        elif tag == "technical":
            _read_marks(note, element, TECHNICAL, "technical", losses)
        elif tag == "ornaments":
            _read_ornaments(note, element, losses)
        elif tag in ("fermata", "arpeggiate"):
            _add_mark(note, tag)
        elif tag == "dynamics":
            place = element.get("placement", "below")
            note.dynamics += [(sign, place) for sign in read_dynamics(element)]
        elif tag in ("glissando", "slide"):
            if element.get("type") != "stop":
                losses.count(tag)
        elif tag not in _QUIET:
            losses.count(tag)


def _slur_number(element: Element) -> int:
    number = element.get("number", "1")
    return min(max(int(number), 1), 16) if number.isdecimal() else 1


def _add_mark(note: RawNote, mark: str) -> None:
    if mark not in note.marks:
        note.marks.append(mark)


def _read_marks(
    note: RawNote, group: Element, known: frozenset[str], otherwise: str, losses: Losses
) -> None:
    for element in group:
        if element.tag in known:
            _add_mark(note, element.tag)
        elif element.tag in TECHNICAL_WITH_TEXT:
            if element.text and element.text.strip():
                _add_mark(note, f"{element.tag}={element.text.strip()}")
        else:
            losses.count(otherwise if element.tag.startswith("other") else element.tag)


def _read_ornaments(note: RawNote, group: Element, losses: Losses) -> None:
    for element in group:
        if element.tag in ORNAMENTS:
            _add_mark(note, element.tag)
        elif element.tag == "tremolo" and element.get("type", "single") == "single":
            strokes = (element.text or "3").strip()
            _add_mark(note, f"tremolo={strokes if strokes.isdecimal() else 3}")
        elif element.tag == "accidental-mark":
            losses.count("accidental-mark")
        elif element.get("type") != "stop":
            losses.count(element.tag if element.tag in ("tremolo", "wavy-line") else "ornament")


def read_dynamics(group: Element) -> list[str]:
    """Give the signs of a ``<dynamics>``: each child's name, or the text of another."""
    return [
        (element.text or "").strip() if element.tag == "other-dynamics" else element.tag
        for element in group
        if element.tag != "other-dynamics" or (element.text or "").strip()
    ]


def _read_lyric(note: RawNote, lyric: Element, losses: Losses) -> None:
    texts = [(part.text or "") for part in lyric.findall("text")]
    syllable = text_of(lyric, "syllabic", "single")
    number = lyric.get("number", "1")
    verse = int(number) if number.isdecimal() and 0 < int(number) < 100 else 1
    extends = lyric.find("extend") is not None
    if texts:
        if len(texts) > 1:
            losses.tell("Two syllables sung on one note are joined by a tie sign.")
        kept = syllable if syllable in SYLLABLES else "single"
        note.lyrics.append(Lyric("‿".join(texts), kept, verse, extends=extends))
    elif lyric.find("humming") is not None or lyric.find("laughing") is not None:
        losses.count("humming")
