"""A composer's own sonorities, and one chord over another."""

from __future__ import annotations

import re
from functools import lru_cache

from harmony.chords.chord import Chord
from harmony.chords.qualities import FUNCTIONAL, name_degrees, rows_by_name
from harmony.chords.quality import Degree, Quality
from harmony.errors import HarmonyError, TextError
from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch, PitchName

_NOTE = re.compile(r"[^\s,;{}]+")
EXPECTED = "a set of notes, lowest first, such as {C2 G2 E3}, {C E G} or {F Bb Eb, stacked}"
OWN = "sonority"
MOST_NOTES = 64


@lru_cache(maxsize=1024)
def read_sonority(text: str) -> Chord:
    """Read names in braces.

    Notes with octaves stand as they are; names alone are pitch classes with the
    first in the bass; ``stacked`` keeps the order of the names from the bass up.

    Raises
    ------
    TextError
        With the stretch that is no note.
    """
    words = [(match[0], match.start(), match.end()) for match in _NOTE.finditer(text)]
    is_stacked = bool(words) and words[-1][0] == "stacked"
    if is_stacked:
        words.pop()
    if not words:
        raise _fault(text, 0, len(text), "holds no note")
    if len(words) > MOST_NOTES:
        raise _fault(text, words[MOST_NOTES][1], len(text), f"has more than {MOST_NOTES} notes")
    has_octaves = any(word[-1].isdigit() for word, _, _ in words)
    pitches: list[Pitch] = []
    names: list[PitchName] = []
    for word, start, end in words:
        try:
            if has_octaves:
                pitches.append(Pitch.from_text(word))
            else:
                names.append(PitchName.from_text(word))
        except HarmonyError as wrong:
            reason = f"has {word!r}, which is not a note"
            if has_octaves and not word[-1].isdigit():
                reason = f"has {word!r} without an octave beside notes that have one"
            raise _fault(text, start, end, reason) from wrong
    if has_octaves:
        pitches.sort(key=lambda pitch: (pitch.midi, pitch.staff_step))
        names = [pitch.name for pitch in pitches]
    return _name_set(names, text, tuple(pitches), is_stacked=is_stacked)


def _name_set(
    names: list[PitchName], text: str, fixed: tuple[Pitch, ...], *, is_stacked: bool
) -> Chord:
    bass = names[0]
    if not is_stacked:
        for root in dict.fromkeys(names):
            found = _match(root, names)
            if found is not None:
                return Chord(root, found, bass, figure=text, fixed=fixed)
    degrees = tuple(dict.fromkeys(degree_above(bass, name) for name in names))
    return Chord(bass, Quality(OWN, degrees), bass, (), (), text, fixed, is_stacked)


def _match(root: PitchName, names: list[PitchName]) -> Quality | None:
    """Find a quality of the table that has exactly these names above a root."""
    wanted = {degree_above(root, name) for name in names}
    for name, row in rows_by_name().items():
        if name not in FUNCTIONAL and {_folded(d) for d in row.quality.degrees} == wanted:
            return row.quality
    return None


def _folded(degree: Degree) -> Degree:
    return Degree(degree.member, degree.alter)


def degree_above(root: PitchName, name: PitchName) -> Degree:
    """Give the degree (1 to 7) that a name is above a root."""
    number = Interval.between_names(root, name).steps + 1
    natural = Degree(number).interval.semitones
    return Degree(number, Interval.between_names(root, name).semitones - natural)


@lru_cache(maxsize=1024)
def join_over(upper: Chord, lower: Chord) -> Chord:
    """Give a polychord: ``upper`` sounding over ``lower``, whose bass and root it has."""
    degrees = list(lower.degrees)
    if lower.bass not in [name for name, degree in lower.members if degree is not None]:
        degrees.insert(0, degree_above(lower.root, lower.bass))
    taken = {_folded(degree) for degree in degrees}
    for name in upper.names:
        degree = degree_above(lower.root, name)
        if degree not in taken:
            taken.add(degree)
            # What stands over a chord is heard as its ninths, elevenths, thirteenths.
            degrees.append(Degree(degree.number + 7, degree.alter) if degree.number in (2, 4, 6)
                           else degree)  # fmt: skip
    figure = f"{upper.figure} over {lower.figure}"
    known, rest = name_degrees(frozenset(degrees))
    quality = Quality("polychord", tuple(degrees)) if rest or " " in known.name else known
    return Chord(lower.root, quality, lower.bass, figure=figure)


def _fault(text: str, start: int, end: int, reason: str) -> TextError:
    return TextError(
        f"{text!r} {reason}; {EXPECTED} is accepted.", text=text, start=start, end=end,
        expected=EXPECTED,
    )  # fmt: skip
