"""Chord symbols as players read them: ``Dm7``, ``F#ø7``, ``C7(#9,b13)``, ``A/C#``."""

from __future__ import annotations

import re
from functools import lru_cache

from harmony.chords.chord import Chord
from harmony.chords.qualities import name_degrees
from harmony.chords.quality import Degree, Quality
from harmony.errors import TextError
from harmony.pitch.spelling import PitchName, accidentals_to_alter

EXPECTED = "a root A to G"
EXPECTED_AFTER = "a kind (m maj7 7 dim ø7 sus4), a change such as b9, or /E for the bass"
_ROOT = re.compile(r"([A-G])([#♯x𝄪]+|[b♭𝄫]+)?")
_BASS = re.compile(r"/\s*([A-G])([#♯x𝄪]+|[b♭𝄫]+)?\s*\)?$")
_TOKEN = re.compile(
    r"(?P<skip>[\s,()\[\]|]+)"
    r"|(?P<sus>[Ss]us|SUS)(?P<sus_number>2/?4|4/?2|#?[249])?"
    r"|(?P<add>add|Add|ADD)\s*(?P<add_sign>[#b♯♭+-]*)(?P<add_number>1[0-3]|[2-9])"
    r"|(?P<no>no|omit|No|Omit|\bw/o)\s*(?P<no_sign>[#b♯♭]*)(?P<no_number>1[13]|[1-9])(?:rd|th|nd)?"
    r"|(?P<alt>alt(?:ered)?|ALT)"
    r"|(?P<major>[Mm]aj(?:or)?|MAJ|Ma(?![a-z])|ma(?![a-z])|M|Δ|∆|\^|j(?=7))"
    r"|(?P<half>ø|Ø|half-?dim|[hH]dim|m7b5(?=$))"
    r"|(?P<minor>[Mm]in(?:or)?|MIN|[Mm]i|m)"
    r"|(?P<dim>dim|Dim|DIM|°|º|o)"
    r"|(?P<aug>aug|Aug|AUG)"
    r"|(?P<dom>dom)"
    r"|(?P<six_nine>6/?9|6,9)"
    r"|/?(?P<sign>[#b♯♭+-]*)(?P<number>1[0-3]|[2-9])(?:th)?"
    r"|(?P<plus>\+)|(?P<minus>-|–|−)"
)


@lru_cache(maxsize=16384)
def read_symbol(text: str) -> Chord:
    """Read a chord symbol.

    A minus sign right after the root is minor; before a number it lowers. A
    seventh is minor unless ``maj`` stands before it; an eleventh or thirteenth
    has all the thirds below it, but an altered ninth puts the natural eleventh
    out, as players do.

    Raises
    ------
    TextError
        With the stretch of ``text`` that cannot be read.

    >>> " ".join(str(name) for name in read_symbol("F#ø7/C").names)
    'C F# A E'
    """
    root = _ROOT.match(text)
    if root is None:
        raise _fault(text, 0, len(text))
    name = _read_name(root[0])
    end, bass = len(text), name
    found = _BASS.search(text, root.end()) if "/" in text else None
    if found is not None:
        bass = _read_name(found[1] + (found[2] or ""))
        end = found.start()
    try:
        quality, added, omitted = _read_suffix(text[root.end() : end])
    except _SuffixError as wrong:
        raise _fault(text, root.end() + wrong.place, end) from None
    return Chord(name, quality, bass, added, omitted, text)


@lru_cache(maxsize=128)
def _read_name(text: str) -> PitchName:
    return PitchName.from_text(text)


@lru_cache(maxsize=4096)
def _read_suffix(text: str) -> tuple[Quality, tuple[Degree, ...], tuple[Degree, ...]]:
    """Read what stands between root and bass: quality, added and omitted degrees."""
    reader = _Reader(text)
    reader.read()
    degrees, omitted = reader.finish()
    quality, added = name_degrees(degrees)
    return quality, tuple(d for d in added if d not in omitted), omitted


class _SuffixError(ValueError):
    """A place in the signs after the root that cannot be read."""

    def __init__(self, place: int) -> None:
        super().__init__(place)
        self.place = place


class _Reader:
    """The state of one reading: the chord's degrees as the signs change them."""

    __slots__ = (
        "added", "altered", "end", "extension", "fifths", "has_major_seventh", "is_diminished",
        "omitted", "place", "seventh", "sus", "text", "third",
    )  # fmt: skip

    def __init__(self, text: str) -> None:
        self.text, self.place, self.end = text, 0, len(text)
        self.third: int | None = 0
        self.fifths: list[int] = []
        self.seventh: int | None = None
        self.extension = 0
        self.has_major_seventh = False
        self.is_diminished = False
        self.sus: list[int] = []
        self.altered: list[tuple[int, int]] = []
        self.added: list[tuple[int, int]] = []
        self.omitted: list[tuple[int, int | None]] = []

    def read(self) -> None:
        """Read sign after sign up to the bass."""
        while self.place < self.end:
            match = _TOKEN.match(self.text, self.place, self.end)
            if match is None or match.end() == self.place:
                raise _SuffixError(self.place)
            if match["skip"] is None:
                self._take(match)
            self.place = match.end()

    def _take(self, match: re.Match[str]) -> None:
        groups = match.groupdict()
        if groups["sus"]:
            written = (groups["sus_number"] or "4").replace("/", "")
            self.sus += [9 if n == "9" else int(n) for n in written.lstrip("#")]
        elif groups["add"]:
            self.added.append((int(groups["add_number"]), _signs(groups["add_sign"])))
        elif groups["no"]:
            sign = groups["no_sign"]
            self.omitted.append((int(groups["no_number"]), _signs(sign) if sign else None))
        elif groups["alt"]:
            self.seventh = -1
            self.fifths = [-1, 1]
            self.altered += [(9, -1), (9, 1)]
        elif groups["number"]:
            self._take_number(groups["sign"], int(groups["number"]))
        else:
            self._take_quality(groups)

    def _take_quality(self, groups: dict[str, str | None]) -> None:
        if groups["major"]:
            self.has_major_seventh = True
            if groups["major"] in "Δ∆^":
                self.seventh = 0
        elif groups["half"]:
            self.third, self.fifths, self.seventh = -1, [-1], -1
        elif groups["minor"] or groups["minus"]:
            self.third = -1
        elif groups["dim"]:
            self.third, self.fifths, self.is_diminished = -1, [-1], True
        elif groups["aug"] or groups["plus"]:
            self.fifths = [1]
        elif groups["six_nine"]:
            self.added += [(6, 0), (9, 0)]

    def _take_number(self, sign: str, number: int) -> None:
        """Take a number: an alteration, an extension, or an added note."""
        is_first = self.place == 0
        if sign == "-" and is_first:
            self.third, sign = -1, ""
        elif sign == "+" and is_first and number != 5:
            self.fifths, sign = [1], ""
        alter = _signs(sign)
        if alter or self.text[self.place] == "/":
            if number == 5:
                self.fifths.append(alter)
            elif number == 7 and alter:
                self.seventh = alter
            else:
                self.altered.append((number, alter))
        elif number == 5:
            if is_first and not sign:
                self.omitted.append((3, None))
                self.third = None
        elif number == 6 or number == 2:
            self.added.append((number, 0))
        elif number == 4:
            self.sus.append(4)
        elif number in (7, 9, 11, 13):
            self._extend(number)
        else:
            raise _SuffixError(self.place)

    def _extend(self, number: int) -> None:
        if number <= self.extension:
            raise _SuffixError(self.place)
        if self.extension and self.seventh is not None:
            self.added.append((number, 0))  # "7 9 13" piles up one by one
            return
        self.extension = number
        if self.has_major_seventh:
            self.seventh = 0
        elif self.seventh is None:
            self.seventh = -2 if self.is_diminished and number == 7 else -1

    def finish(self) -> tuple[frozenset[Degree], tuple[Degree, ...]]:
        """Give the degrees, and those among them that are left out."""
        found: set[tuple[int, int]] = {(1, 0)}
        if self.sus:
            found |= {(number, 0) for number in self.sus}
        elif self.third is not None:
            found.add((3, self.third))
        found |= {(5, alter) for alter in self.fifths or [0]}
        if self.seventh is not None:
            found.add((7, self.seventh))
        found |= self._extensions()
        found |= set(self.added)
        omitted = {
            pair
            for pair in found
            for number, alter in self.omitted
            if pair[0] == number and alter in (None, pair[1])
        }
        degrees = frozenset(Degree(*pair) for pair in found)
        return degrees, tuple(sorted(Degree(*pair) for pair in omitted))

    def _extensions(self) -> set[tuple[int, int]]:
        altered = {number for number, _ in self.altered}
        found = set(self.altered)
        for number in range(9, self.extension + 1, 2):
            is_put_out = number == 11 and ((self.extension == 13 and 9 in altered) or 4 in self.sus)
            if number not in altered and not is_put_out:
                found.add((number, 0))
        return found


def _signs(written: str | None) -> int:
    return accidentals_to_alter((written or "").replace("+", "#").replace("-", "b"))


def _fault(text: str, start: int, end: int) -> TextError:
    expected = EXPECTED_AFTER if start else EXPECTED
    place = f"at {text[start:end]!r}" if text[start:end] else "at its end"
    return TextError(
        f"{text!r} is not a chord symbol: {place} {expected} is accepted.",
        text=text,
        start=start,
        end=max(end, start + 1),
        expected=expected,
    )
