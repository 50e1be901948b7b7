"""Roman numerals in a key: from the parts of a numeral to a spelled chord."""

from __future__ import annotations

from functools import lru_cache

from harmony.chords.chord import Chord
from harmony.chords.inversion import read_figures
from harmony.chords.numeral import Numeral, read_numeral_parts
from harmony.chords.qualities import find_quality
from harmony.chords.stack import Scale, Shape, Stack, scale_of
from harmony.errors import TextError
from harmony.pitch.key import Key
from harmony.pitch.spelling import name_at_fifths

_SIXTHS = {"It": "it6", "Ger": "ger6", "Fr": "fr6", "Sw": "sw6"}
_SIXTH_ROOTS = {"It": (4, 6), "Ger": (4, 6), "Fr": (2, 2), "Sw": (2, 9)}  # degree, fifths
_SIXTH_FIGURES = {"It": 1, "Ger": 1, "Fr": 2, "Sw": 2}  # the inversion with b6 in the bass


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
    try:
        tonic = key.tonic.fifths
        # Only where a natural sign may stand does the answer depend on the key's place.
        home = tonic if "n" in figure or "♮" in figure else 0
        shape = _read_shape(figure, key.mode, home)
        away = tonic - home
        return Chord(
            name_at_fifths(away + shape.root), shape.quality, name_at_fifths(away + shape.bass),
            shape.added, shape.omitted, figure,
        )  # fmt: skip
    except TextError:
        raise
    except ValueError as fault:
        raise TextError(
            f"{figure!r} in {key}: {fault}", text=figure, start=0, end=len(figure)
        ) from fault


@lru_cache(maxsize=8192)
def _read_shape(figure: str, mode: str, home: int) -> Shape:
    """Read a numeral with the tonic at ``home``; at 0 every key of the mode shares the answer."""
    numeral = read_numeral_parts(figure)
    return _resolve(numeral, _follow(numeral.target, scale_of(home, mode)))


def _follow(target: Numeral | None, scale: Scale) -> Scale:
    """Give the scale of the key that a chord is applied to."""
    if target is None:
        return scale
    scale = _follow(target.target, scale)
    if target.special == "N":
        return scale_of(scale.fifths[0] - 5, "major")
    if target.special == "Cad":
        return scale
    if target.special:
        raise ValueError(f"a chord cannot be applied to {target.special}; /V or /bVI is accepted.")
    is_minor = not target.is_upper or bool({"o", "ø"} & set(target.signs))
    return scale_of(_root_fifths(target, scale), "minor" if is_minor else "major")


def _root_fifths(numeral: Numeral, scale: Scale) -> int:
    place = numeral.degree - 1
    natural, lowered = scale.fifths[place], scale.lowered(place)
    alter = numeral.alter
    if scale.mode == "minor" and place in (5, 6) and not numeral.is_upper and alter == 0:
        alter = 1
    if lowered and alter < 0:
        alter += lowered  # a flat on a degree that is flat already is a reminder
    return natural + 7 * alter


def _resolve(numeral: Numeral, scale: Scale) -> Shape:
    if numeral.special in _SIXTHS:
        return _resolve_sixth(numeral, scale)
    root = numeral.degree
    upper, signs, root_fifths = numeral.is_upper, numeral.signs, 0
    if numeral.special == "N":
        root, root_fifths = 2, scale.fifths[0] - 5
    elif numeral.special == "subV":
        root, root_fifths, signs = 2, scale.fifths[0] - 5, signs + "d"
    elif numeral.special == "Cad":
        root, root_fifths, upper = 1, scale.fifths[0], scale.has_major_third
    elif numeral.special == "CT":
        # The common-tone seventh shares the tonic, its own seventh (diminished).
        root, root_fifths, upper, signs = 2, scale.fifths[0] + 9, False, "o"
    else:
        root_fifths = _root_fifths(numeral, scale)
    stack = Stack(root - 1, root_fifths, scale)
    stack.set_triad(upper=upper, signs=signs)
    figures = numeral.figures
    if not figures:
        figures = {"Cad": ((None, 6), (None, 4)), "CT": ((None, 7),)}.get(numeral.special, ())
    reading = read_figures(figures, has_seventh="ø" in signs and not figures)
    stack.pile(reading.stack, signs)
    stack.replace(reading.foreign, reading.without)
    stack.alter_above(reading.altered, reading.bass)
    for change in numeral.changes:
        stack.apply(change)
    return stack.to_shape(reading.bass)


def _resolve_sixth(numeral: Numeral, scale: Scale) -> Shape:
    """Read an augmented sixth: its usual figures, or none, put b6 in the bass."""
    quality = find_quality(_SIXTHS[numeral.special])
    degree, fifths = _SIXTH_ROOTS[numeral.special]
    if {number for _, number in numeral.figures} <= {6}:
        inversion = _SIXTH_FIGURES[numeral.special]
    else:
        inversion = (read_figures(numeral.figures, has_seventh=False).bass - 1) // 2
    stack = Stack(degree - 1, scale.fifths[0] + fifths, scale)
    stack.alters = {d.number: d.alter for d in quality.degrees}
    for change in numeral.changes:
        stack.apply(change)
    bass = quality.degrees[min(inversion, len(quality.degrees) - 1)].number
    return stack.to_shape(bass, quality)
