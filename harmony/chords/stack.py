"""A chord while it is read: a root, the alterations of its degrees, and the key's scale.

Everything is reckoned on the line of fifths (C 0, G 1, F -1), where a semitone
of the same letter is seven places, so that spelling is never lost.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

from harmony.chords.numeral import Change
from harmony.chords.qualities import name_degrees
from harmony.chords.quality import Degree, Quality
from harmony.pitch.interval import MAJOR_FIFTHS
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName

_TRIADS = {"o": (-1, -1), "ø": (-1, -1), "+": (0, 1)}
_THIRDS = {"m": -1, "d": 0}  # IIm7 is minor, iid7 the dominant seventh


class Scale(NamedTuple):
    """A key as numerals see it: the fifths of its seven degrees, and its mode."""

    fifths: tuple[int, ...]
    mode: str

    @property
    def has_major_third(self) -> bool:
        """True where a major third lies on the tonic."""
        return self.fifths[2] - self.fifths[0] == MAJOR_FIFTHS[2]

    def lowered(self, place: int) -> int:
        """Give the semitones by which the mode lowers a degree (0 to 6) of major."""
        return (self.fifths[0] + MAJOR_FIFTHS[place] - self.fifths[place]) // 7


@lru_cache(maxsize=512)
def scale_of(tonic_fifths: int, mode: str) -> Scale:
    """Give the scale on the tonic that lies so many fifths above C."""
    key = Key(PitchName.from_fifths(tonic_fifths), mode)
    return Scale(tuple(name.fifths for name in key.scale), mode)


class Shape(NamedTuple):
    """A chord against a tonic at 0: root and bass in fifths, quality and changes."""

    root: int
    bass: int
    quality: Quality
    added: tuple[Degree, ...]
    omitted: tuple[Degree, ...]


class Stack:
    """A chord while it is read: the alteration of each degree above its root."""

    __slots__ = ("added", "alters", "held", "omitted", "place", "root", "scale")

    def __init__(self, place: int, root: int, scale: Scale) -> None:
        self.place = place
        self.root = root
        self.scale = scale
        self.alters: dict[int, int] = {1: 0}
        self.added: list[tuple[int, int]] = []
        self.omitted: set[int] = set()
        self.held: dict[int, int] = {}  # member -> the note that is held in its place

    def diatonic(self, number: int) -> int:
        """Say how the key alters a degree above this root."""
        step = (number - 1) % 7
        name = self.scale.fifths[(self.place + step) % 7]
        return (name - self.root - MAJOR_FIFTHS[step]) // 7

    def set_triad(self, *, upper: bool, signs: str) -> None:
        """Set third and fifth as the numeral's case and signs say."""
        third, fifth = (0, 0) if upper else (-1, 0)
        for sign in signs:
            third, fifth = _TRIADS.get(sign) or (_THIRDS.get(sign, third), fifth)
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

    def replace(self, numbers: tuple[int, ...], without: tuple[int, ...]) -> None:
        """Put in figures foreign to the chord in place of those ``without`` which it stands."""
        for number in without:
            self.alters.pop(number, None)
        for number in numbers:
            self.alters[number] = self.diatonic(number)

    def alter_above(self, altered: tuple[tuple[int, int], ...], bass: int) -> None:
        """Apply accidentals before figures, which count from the bass."""
        for number, alter in altered:
            degree = (number - 1 + bass - 1) % 7 + 1 if bass != 1 else number
            if degree not in self.alters and degree + 7 in self.alters:
                degree += 7
            self.alters[degree] = self._altered(degree, alter)

    def _altered(self, number: int, alter: int) -> int:
        """Alter the key's note; an accidental it has already is a reminder.

        An ``alter`` of 0 is a natural sign: the note without any accidental.
        """
        if alter == 0:
            return -((self.root + MAJOR_FIFTHS[(number - 1) % 7] + 1) // 7)
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
            self.held[3] = number
        if change.alter is None:
            alter = 0 if change.action == "sus" else self.diatonic(number)
            if change.action == "hold" and self.is_borrowed_minor:
                alter = min(alter, 0)  # iv(4) in major is heard in minor: Bb over F
        else:
            alter = self._altered(number, change.alter)
        if change.action == "hold":
            member = {2: 1, 4: 3, 6: 5}.get(number, 0)
            self.alters.pop(member, None)
            self.held[member] = number
        if change.action == "fix":
            alter = change.alter or 0
        elif number == 5 and change.alter:
            # A fifth that is diminished is raised to a perfect one, and lowered no further.
            is_low = self.alters.get(5) == -1 and change.action != "add"
            alter = 0 if is_low and change.alter == 1 else change.alter
        if change.action == "add" and number in self.alters and self.alters[number] != alter:
            self.added.append((number, alter))
        else:
            self.alters[number] = alter

    @property
    def is_borrowed_minor(self) -> bool:
        """True where the triad is minor and the key's triad on this root is not."""
        return self.alters.get(3) == -1 and self.diatonic(3) == 0

    def _fifths(self, number: int) -> int:
        """Give the place of a degree of the chord on the line of fifths."""
        return self.root + MAJOR_FIFTHS[(number - 1) % 7] + 7 * self.alters.get(number, 0)

    def to_shape(self, bass: int, known: Quality | None = None) -> Shape:
        """Name the quality, unless it is known, and choose the bass among what is left."""
        if bass not in self.alters:
            bass = self.held.get(bass, bass)  # V65(4): what is held stands where it resolves
        pairs = (*self.alters.items(), *self.added)
        if known is not None and set(known.degrees) <= set(_degrees(pairs)):
            quality = known
            added = tuple(d for d in _degrees(pairs) if d not in known.degrees)
        else:
            quality, added = _name_pairs(tuple(sorted(pairs)))
        omitted: tuple[Degree, ...] = ()
        if self.omitted:
            omitted = tuple(d for d in _degrees(pairs) if d.number in self.omitted)
            added = tuple(d for d in added if d not in omitted)
            left = [number for number in self.alters if number not in self.omitted]
            while bass not in left and left:
                # With its bass left out, a chord stands on the next member up.
                bass = bass + 2 if bass < 7 else min(left)
        return Shape(self.root, self._fifths(bass), quality, added, omitted)


def _degrees(pairs: Iterable[tuple[int, int]]) -> tuple[Degree, ...]:
    return tuple(Degree(number, alter) for number, alter in sorted(pairs))


@lru_cache(maxsize=4096)
def _name_pairs(pairs: tuple[tuple[int, int], ...]) -> tuple[Quality, tuple[Degree, ...]]:
    return name_degrees(frozenset(_degrees(pairs)))
