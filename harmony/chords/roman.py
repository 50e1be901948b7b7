"""Roman numerals in a key: from the parts of a numeral to a spelled chord.

Roots and upper notes are reckoned on the line of fifths (C 0, G 1, F -1), where
a semitone of the same letter is seven places, so spelling is never lost.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from harmony.chords.chord import Chord
from harmony.chords.inversion import read_figures
from harmony.chords.numeral import Change, Numeral, read_numeral_parts
from harmony.chords.qualities import find_quality, name_degrees
from harmony.chords.quality import Degree, Quality
from harmony.errors import TextError
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName

#: fifths from a root up to the major or perfect form of degrees 1 to 7
NATURAL_FIFTHS = (0, 2, 4, -1, 1, 3, 5)
_TRIADS = {"": None, "o": (-1, -1), "ø": (-1, -1), "+": (0, 1)}
_SIXTHS = {"It": "it6", "Ger": "ger6", "Fr": "fr6", "Sw": "sw6"}
_SIXTH_ROOTS = {"It": (4, 6), "Ger": (4, 6), "Fr": (2, 2), "Sw": (2, 9)}  # degree, fifths
_SIXTH_FIGURES = {"It": 1, "Ger": 1, "Fr": 2, "Sw": 2}  # the inversion with b6 in the bass


@dataclass(frozen=True, slots=True)
class _Scale:
    """A key as the numerals of one chord see it: fifths of its seven degrees."""

    fifths: tuple[int, ...]
    mode: str

    @property
    def major_fifths(self) -> tuple[int, ...]:
        return tuple(self.fifths[0] + step for step in NATURAL_FIFTHS)


@lru_cache(maxsize=512)
def _scale_of(tonic_fifths: int, mode: str) -> _Scale:
    key = Key(PitchName.from_fifths(tonic_fifths), mode)
    return _Scale(tuple(name.fifths for name in key.scale), mode)


@lru_cache(maxsize=16384)
def read_numeral(figure: str, key: Key) -> Chord:
    """Read a Roman numeral in a key.

    In minor, degrees 6 and 7 follow RomanText: small letters stand on the raised
    degree, capitals on the natural one, and an accidental that says the same
    again (``#vii``, ``bVI``) changes nothing. Sevenths and beyond follow the
    key, but a minor triad takes a minor seventh.

    Raises
    ------
    TextError
        With the stretch of ``figure`` that cannot be read.

    >>> " ".join(str(name) for name in read_numeral("V65/V", Key.from_text("C")).names)
    'F# D A C'
    """
    numeral = read_numeral_parts(figure)
    try:
        scale = _scale_of(key.tonic.fifths, key.mode)
        return _resolve(numeral, _follow(numeral.target, scale), figure)
    except TextError:
        raise
    except ValueError as fault:
        raise TextError(
            f"{figure!r} in {key}: {fault}", text=figure, start=0, end=len(figure)
        ) from fault


def _follow(target: Numeral | None, scale: _Scale) -> _Scale:
    """Give the scale of the key that a chord is applied to."""
    if target is None:
        return scale
    scale = _follow(target.target, scale)
    if target.special == "N":
        return _scale_of(scale.fifths[0] - 5, "major")
    if target.special == "Cad":
        return scale
    if target.special:
        raise ValueError(f"a chord cannot be applied to {target.special}; /V or /bVI is accepted.")
    is_minor = not target.is_upper or bool({"o", "ø"} & set(target.signs))
    return _scale_of(_root_fifths(target, scale), "minor" if is_minor else "major")


def _root_fifths(numeral: Numeral, scale: _Scale) -> int:
    place = numeral.degree - 1
    natural = scale.fifths[place]
    lowered = (scale.major_fifths[place] - natural) // 7  # 1 where the mode lowers it
    alter = numeral.alter
    if scale.mode == "minor" and place in (5, 6) and not numeral.is_upper and alter == 0:
        alter = 1
    if lowered and alter < 0:
        alter += lowered  # a flat on a degree that is flat already is a reminder
    return natural + 7 * alter


def _resolve(numeral: Numeral, scale: _Scale, figure: str) -> Chord:
    if numeral.special in _SIXTHS:
        return _resolve_sixth(numeral, scale, figure)
    root = numeral.degree
    upper, signs, root_fifths = numeral.is_upper, numeral.signs, 0
    if numeral.special == "N":
        root, root_fifths = 2, scale.fifths[0] - 5
    elif numeral.special == "subV":
        root, root_fifths, signs = 2, scale.fifths[0] - 5, signs + "d"
    elif numeral.special == "Cad":
        root, root_fifths, upper = 1, scale.fifths[0], scale.mode != "minor"
    elif numeral.special == "CT":
        # The common-tone seventh shares the tonic, its own seventh (diminished).
        root, root_fifths, upper, signs = 2, scale.fifths[0] + 9, False, "o"
    else:
        root_fifths = _root_fifths(numeral, scale)
    stack = _Stack(root - 1, root_fifths, scale)
    stack.set_triad(upper=upper, signs=signs)
    figures = numeral.figures
    if not figures:
        figures = {"Cad": ((None, 6), (None, 4)), "CT": ((None, 7),)}.get(numeral.special, ())
    reading = read_figures(figures, has_seventh="ø" in signs and not figures)
    stack.pile(reading.stack, signs)
    stack.replace(reading.foreign)
    stack.alter_above(reading.altered, reading.bass)
    for change in numeral.changes:
        stack.apply(change)
    return stack.to_chord(reading.bass, figure)


def _resolve_sixth(numeral: Numeral, scale: _Scale, figure: str) -> Chord:
    """Read an augmented sixth: its usual figures, or none, put b6 in the bass."""
    quality = find_quality(_SIXTHS[numeral.special])
    degree, fifths = _SIXTH_ROOTS[numeral.special]
    numbers = {number for _, number in numeral.figures} - {3, 5} | (
        {5} if {number for _, number in numeral.figures} >= {6, 5} else set()
    )
    usual = _SIXTH_FIGURES[numeral.special]
    if not numeral.figures or numbers == {6}:
        inversion = usual
    else:
        inversion = (read_figures(numeral.figures, has_seventh=False).bass - 1) // 2
    stack = _Stack(degree - 1, scale.fifths[0] + fifths, scale)
    stack.alters = {d.number: d.alter for d in quality.degrees}
    for change in numeral.changes:
        stack.apply(change)
    bass = quality.degrees[min(inversion, len(quality.degrees) - 1)].number
    return stack.to_chord(bass, figure, quality)


class _Stack:
    """A chord while it is read: the alteration of each degree above its root."""

    __slots__ = ("added", "alters", "omitted", "place", "root", "scale")

    def __init__(self, place: int, root: int, scale: _Scale) -> None:
        self.place = place
        self.root = root
        self.scale = scale
        self.alters: dict[int, int] = {1: 0}
        self.added: list[tuple[int, int]] = []
        self.omitted: set[int] = set()

    def diatonic(self, number: int) -> int:
        """Say how the key alters a degree above this root."""
        step = (number - 1) % 7
        name = self.scale.fifths[(self.place + step) % 7]
        return (name - self.root - NATURAL_FIFTHS[step]) // 7

    def set_triad(self, *, upper: bool, signs: str) -> None:
        third, fifth = (0, 0) if upper else (-1, 0)
        for sign in signs:
            third, fifth = _TRIADS.get(sign) or (third, fifth)
        self.alters[3], self.alters[5] = third, fifth

    def pile(self, numbers: tuple[int, ...], signs: str) -> None:
        """Put sevenths and beyond on the triad."""
        for number in numbers:
            if number != 7:
                self.alters[number] = self.diatonic(number)
                continue
            alter = self.diatonic(7)
            if self.alters[3] == -1 and alter == 0:
                alter = -1
            for sign, fixed in (("o", -2), ("ø", -1), ("d", -1), ("m", -1), ("M", 0)):
                if sign in signs:
                    alter = fixed
            self.alters[7] = alter

    def replace(self, numbers: tuple[int, ...]) -> None:
        """Put in figures foreign to the chord: 4 or 2 for the third, 6 for the fifth."""
        for number in numbers:
            if number in (2, 4):
                self.alters.pop(3, None)
            if number == 6 and 4 in numbers:
                self.alters.pop(5, None)
            self.alters[number] = self.diatonic(number)

    def alter_above(self, altered: tuple[tuple[int, int], ...], bass: int) -> None:
        """Apply accidentals before figures, which count from the bass."""
        for number, alter in altered:
            degree = (number - 1 + bass - 1) % 7 + 1 if bass != 1 else number
            if degree not in self.alters and degree + 7 in self.alters:
                degree += 7
            self.alters[degree] = self._altered(degree, alter)

    def _altered(self, number: int, alter: int) -> int:
        """Alter the key's note; an accidental it has already is a reminder."""
        diatonic = self.diatonic(number)
        if alter > 0 and (diatonic > 0 or (diatonic == 0 and number in (3, 7))):
            return alter if diatonic > 0 else 0
        if alter < 0 and diatonic < 0:
            return min(alter, diatonic)
        return diatonic + alter

    def apply(self, change: Change) -> None:
        """Make one change asked for in brackets or words."""
        number = change.number
        if change.action == "no":
            self.omitted.add(number)
            return
        if change.action == "sus":
            self.alters.pop(3, None)
        if change.alter is None:
            alter = 0 if change.action == "sus" else self.diatonic(number)
            if change.action == "hold" and self.is_borrowed_minor:
                alter = min(alter, 0)  # iv(4) in major is heard in minor: Bb over F
        else:
            alter = self._altered(number, change.alter)
        if change.action == "hold":
            self.alters.pop({2: 1, 4: 3, 6: 5}.get(number, 0), None)
        if change.alter is not None and (change.action == "fix" or number == 5):
            alter = change.alter
        if change.action == "add" and number in self.alters and self.alters[number] != alter:
            self.added.append((number, alter))
        else:
            self.alters[number] = alter

    @property
    def is_borrowed_minor(self) -> bool:
        """True where the triad is minor and the key's triad on this root is not."""
        return self.alters.get(3) == -1 and self.diatonic(3) == 0

    def name(self, number: int) -> PitchName:
        """Give the name of a degree of the chord."""
        fifths = NATURAL_FIFTHS[(number - 1) % 7] + 7 * self.alters.get(number, 0)
        return PitchName.from_fifths(self.root + fifths)

    def to_chord(self, bass: int, figure: str, known: Quality | None = None) -> Chord:
        """Name the quality, unless it is known, and choose the bass among what is left."""
        degrees = {Degree(n, a) for n, a in self.alters.items()}
        degrees |= {Degree(n, a) for n, a in self.added}
        if known is not None and degrees >= set(known.degrees):
            quality, added = known, tuple(sorted(degrees - set(known.degrees)))
        else:
            quality, added = name_degrees(frozenset(degrees))
        omitted = tuple(sorted(d for d in degrees if d.number in self.omitted))
        left = [n for n in self.alters if n not in self.omitted]
        while bass not in left and left:
            # With its bass left out, a chord stands on the next member up.
            bass = bass + 2 if bass < 7 else min(left)
        return Chord(
            PitchName.from_fifths(self.root), quality, self.name(bass),
            tuple(d for d in added if d not in omitted), omitted, figure,
        )  # fmt: skip
