"""Naming chords that were found rather than typed: Roman numerals and chord symbols."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from harmony.chords.chord import Chord
from harmony.chords.kinds import chord_to_kind
from harmony.chords.qualities import find_quality, rows_by_name
from harmony.chords.quality import Quality
from harmony.chords.roman import read_numeral
from harmony.errors import HarmonyError
from harmony.pitch.interval import MAJOR_FIFTHS, transpose
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName, alter_to_accidentals

NUMERALS = ("I", "II", "III", "IV", "V", "VI", "VII")
_INVERSIONS = {5: ("", "6", "64"), 7: ("7", "65", "43", "42"), 9: ("9",), 11: ("11",), 13: ("13",)}
#: Qualities with a minor third, whose numerals are written in small letters.
_LOWER = frozenset(
    {"min", "dim", "min7", "hdim7", "dim7", "minmaj7", "min9", "hdim9", "min11", "min13"}
    | {"min6", "min69", "minmaj9", "min7#5", "dimmaj7"}
)
_SIGNS = {
    "dim": "o",
    "dim7": "o",
    "hdim7": "ø",
    "hdim9": "ø",
    "aug": "+",
    "aug7": "+",
    "augmaj7": "+",
}
#: What the tables of the trade and of datasets call the qualities, against our names.
_ALIASES = {
    "major": "maj", "minor": "min", "diminished": "dim", "augmented": "aug", "dominant": "dom7",
    "dominant-seventh": "dom7", "7": "dom7", "major-seventh": "maj7", "minor-seventh": "min7",
    "half-diminished": "hdim7", "half-diminished-seventh": "hdim7", "m7b5": "hdim7",
    "diminished-seventh": "dim7", "augmented-seventh": "aug7", "9": "dom9", "11": "dom11",
    "13": "dom13",
}  # fmt: skip


def resolve_quality(name: str) -> Quality:
    """Give the quality of a name of ours, or of one that chord tables use for it.

    >>> resolve_quality("half-diminished").name
    'hdim7'
    """
    return find_quality(_ALIASES.get(name, name))


def chord_symbol(chord: Chord | None) -> str:
    """Write a chord as a chord symbol; N.C. for None.

    Read again by :func:`harmony.chords.leadsheet.read_symbol` it gives the same
    names over the same bass.

    >>> chord_symbol(read_numeral("viiø65", Key.from_text("C")))
    'Bø7/D'
    """
    written = chord_to_kind(chord)
    if written is None:
        return "N.C."
    over = "" if written.bass is None else f"/{written.bass}"
    return f"{written.root}{written.text}{over}"


@lru_cache(maxsize=8192)
def figure_in_key(
    root: PitchName | Chord, key: Key, quality: str = "maj", bass: PitchName | None = None
) -> str:
    """Write a chord as a Roman numeral in a key.

    Parameters
    ----------
    root
        The root's name, or a whole chord (then the next two are taken from it).
    key
        The key to write it in.
    quality
        A name of the table of qualities, such as ``dom7``.
    bass
        The bass's name; None in root position.

    Returns
    -------
    str
        A numeral that, read in ``key``, has the same root, quality and bass.
        Dominants and leading-tone chords foreign to the key are written as
        applied chords (``V7/ii``), others with accidentals (``bVI``). Where no
        numeral says the chord (a bass foreign to it), its chord symbol.
    """
    if isinstance(root, Chord):
        return _figure_of_chord(root, key)
    wanted = find_quality(quality)
    bass = root if bass is None else bass
    special = _find_sixth(root, wanted, bass, key)
    if special:
        return special
    plain = _plain_numeral(root, wanted, bass, key)
    if plain and _is_in_scale(root, wanted, key):
        return plain
    found = _applied_numeral(root, wanted, bass, key) or plain
    return found or chord_symbol(Chord(root, wanted, bass))


def _figure_of_chord(chord: Chord, key: Key) -> str:
    """Write a whole chord, what was added and left out in brackets."""
    if chord.quality.name in rows_by_name() and not chord.fixed and not chord.stacked:
        plain = figure_in_key(chord.root, key, chord.quality.name, chord.bass)
        head, slash, target = plain.partition("/")
        changes = [f"[add{d}]" for d in chord.added] + [f"[no{d.number}]" for d in chord.omitted]
        figure = head + "".join(changes) + slash + target
        try:
            found = read_numeral(figure, key)
        except HarmonyError:
            return chord_symbol(chord)
        if set(found.names) == set(chord.names) and found.bass == chord.bass:
            return figure
    return chord_symbol(chord)


def _is_in_scale(root: PitchName, quality: Quality, key: Key) -> bool:
    scale = set(key.scale)
    if key.mode == "minor":
        scale |= {key.degree(7, 1), key.degree(6, 1)}
    return all(transpose(root, degree.interval) in scale for degree in quality.degrees)


def _find_sixth(root: PitchName, quality: Quality, bass: PitchName, key: Key) -> str:
    names = {"it6": ("It6",), "fr6": ("Fr43", "Fr65", "Fr42", "Fr7"), "sw6": ("Sw43",),
             "ger6": ("Ger65", "Ger43", "Ger42", "Ger7")}.get(quality.name, ())  # fmt: skip
    targets = ("", "/V", "/IV", "/ii", "/vi", "/iii", "/iv", "/VI", "/III", "/VII")
    for figure in (name + target for target in targets for name in names):
        chord = read_numeral(figure, key)
        if (chord.root, chord.bass) == (root, bass):
            return figure
    return ""


def _plain_numeral(root: PitchName, quality: Quality, bass: PitchName, key: Key) -> str:
    """Write a numeral with accidentals, and check it by reading it again."""
    place = (root.step - key.tonic.step) % 7
    numeral = NUMERALS[place]
    if quality.name in _LOWER:
        numeral = numeral.lower()
    tail = _tail(root, quality, bass)
    for signs in _accidentals(root, key, place, is_lower=numeral.islower()):
        for mark in ("", "d", "M", "m"):
            figure = _assemble(signs, numeral, quality, mark, tail)
            if _reads_as(figure, key, root, quality, bass):
                return figure
    signs = next(_accidentals(root, key, place, is_lower=numeral.islower()))
    figure = _spell_out(signs + numeral, quality, tail)
    return figure if _reads_as(figure, key, root, quality, bass) else ""


def _assemble(signs: str, numeral: str, quality: Quality, mark: str, tail: str) -> str:
    return f"{signs}{numeral}{_SIGNS.get(quality.name, '')}{mark if tail else ''}{tail}"


def _accidentals(root: PitchName, key: Key, place: int, *, is_lower: bool) -> Iterator[str]:
    """Try no accidental, then those against the scale and against the major scale."""
    natural = key.degree(place + 1)
    against_scale = root.alter - natural.alter
    major = PitchName.from_fifths(key.tonic.fifths + MAJOR_FIFTHS[place])
    against_major = root.alter - major.alter
    tried = []
    for alter in (0, against_scale, against_major, against_scale + 1, against_scale - 1):
        signs = alter_to_accidentals(alter)
        if signs not in tried:
            tried.append(signs)
    if key.mode != "minor" or place not in (5, 6) or not is_lower:
        tried.sort(key=lambda signs: signs != alter_to_accidentals(against_scale))
    yield from tried


def _tail(root: PitchName, quality: Quality, bass: PitchName) -> str:
    """Give the figures: how far the stack goes and which member is the bass."""
    numbers = [degree.number for degree in quality.degrees]
    top = max((n for n in numbers if n in (7, 9, 11, 13)), default=5)
    names = [transpose(root, degree.interval) for degree in quality.degrees]
    place = names.index(bass) if bass in names else 0
    figures = _INVERSIONS[top]
    if place and top > 7:
        return {1: "765", 2: "6543", 3: "6432"}.get(place, figures[0])
    return figures[min(place, len(figures) - 1)]


def _spell_out(head: str, quality: Quality, tail: str) -> str:
    """Write what no plain figures say with changes in brackets."""
    numbers = {degree.number: degree for degree in quality.degrees}
    changes = ["no3"] if 3 not in numbers else []
    changes += [f"add{number}" for number in (2, 4) if number in numbers]
    changes += [str(degree) for degree in quality.degrees if degree.number == 5 and degree.alter]
    changes += [f"add{d}" for d in quality.degrees if d.number in (6, 9, 11, 13)]
    base = tail if tail in ("6", "64", "65", "43", "42") else ""
    if 7 in numbers:
        base = {0: "M", -1: "d"}.get(numbers[7].alter, "") + (base or "7")
    return head + base + "".join(f"[{change}]" for change in changes)


def _applied_numeral(root: PitchName, quality: Quality, bass: PitchName, key: Key) -> str:
    """Write a foreign dominant or leading-tone chord as applied to a degree of the key."""
    if quality.name in ("maj", "dom7", "dom9", "dom7b9", "aug", "aug7"):
        numeral, tonic = "V", PitchName.from_fifths(root.fifths - 1)
    elif quality.name in ("dim", "dim7", "hdim7"):
        numeral, tonic = "vii", PitchName.from_fifths(root.fifths - 5)
    else:
        return ""
    degrees = [n for n in range(2, 8) if key.degree(n) == tonic]
    if not degrees:
        return ""
    third = transpose(tonic, find_quality("min").degrees[1].interval)
    target = NUMERALS[degrees[0] - 1]
    # V/V is the usual name in minor too; only its ninth would tell the two apart.
    is_usual = degrees[0] == 5 and 9 not in {degree.number for degree in quality.degrees}
    if third in key.scale and not is_usual:
        target = target.lower()
        if transpose(tonic, find_quality("dim").degrees[2].interval) in key.scale:
            return ""  # nothing is applied to a diminished triad
    head = numeral + _SIGNS.get(quality.name, "")
    figure = f"{head}{_tail(root, quality, bass)}/{target}"
    return figure if _reads_as(figure, key, root, quality, bass) else ""


def _reads_as(figure: str, key: Key, root: PitchName, quality: Quality, bass: PitchName) -> bool:
    try:
        chord = read_numeral(figure, key)
    except HarmonyError:
        return False
    return chord.root == root and set(chord.degrees) == set(quality.degrees) and chord.bass == bass
