"""Figured bass: the notes that figures ask for above a bass in a key.

An accidental alone alters the third; ``#`` raises the note of the key
signature by a semitone, ``b`` lowers it, ``n`` cancels its accidental. A dash
leads from one stage to the next: ``4-3``, ``9/4-8/3``, ``4-#3``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from harmony.errors import TextError
from harmony.pitch.key import Key
from harmony.pitch.spelling import LETTERS, PitchName

_FIGURE = re.compile(r"([#b♯♭n♮x]*)(\d{0,2})([#b♯♭n♮]?)")
EXPECTED = "figures such as 6, 6/5, 7/#, b7, n or 4-3"
#: What players add to the figures written, each tried in turn (common practice).
_COMPLETIONS: tuple[tuple[frozenset[int], frozenset[int]], ...] = (
    (frozenset(), frozenset({3, 5})),
    (frozenset({3}), frozenset({5})),
    (frozenset({5}), frozenset({3})),
    (frozenset({6}), frozenset({3})),
    (frozenset({6, 4}), frozenset()),
    (frozenset({7}), frozenset({3, 5})),
    (frozenset({6, 5}), frozenset({3})),
    (frozenset({4, 3}), frozenset({6})),
    (frozenset({4, 2}), frozenset({6})),
    (frozenset({2}), frozenset({4, 6})),
    (frozenset({9}), frozenset({3, 5})),
    (frozenset({7, 3}), frozenset({5})),
    (frozenset({9, 7}), frozenset({3, 5})),
    (frozenset({4}), frozenset({5})),
    (frozenset({5, 4}), frozenset()),
    (frozenset({9, 4}), frozenset({5})),
    (frozenset({7, 4}), frozenset({5})),
    (frozenset({8}), frozenset({3, 5})),
    (frozenset({8, 3}), frozenset({5})),
    (frozenset({5, 2}), frozenset()),
)
#: Dissonances in the upper stage that hold another note back: 7-6 has no fifth in it.
_HELD_BACK = {(7, 6): 5}


@dataclass(frozen=True, slots=True)
class _Figure:
    number: int
    sign: str


def realise_figures(bass: PitchName, figures: str, key: Key) -> tuple[PitchName, ...]:
    """Give the names that figures ask for, bass first.

    Parameters
    ----------
    bass
        The bass's name.
    figures
        Such as ``""`` (a triad), ``"6/5"``, ``"7/#"``, ``"#6/4/3"``.
    key
        Its signature says what unaltered figures mean.

    Raises
    ------
    TextError
        With the figures that cannot be read.

    >>> [str(n) for n in realise_figures(PitchName("E"), "7/#", Key.from_text("a"))]
    ['E', 'G#', 'B', 'D']
    """
    return _realise(bass, _read(figures, figures, 0), key)


def realise_stages(
    bass: PitchName, figures: str, key: Key, *, bass_after: PitchName | None = None
) -> tuple[tuple[PitchName, ...], ...]:
    """Give the names of each stage of moving figures, such as ``4-3`` or ``9/4-8/3``.

    ``bass_after`` is the bass under the later stages where it moves itself, as
    in a suspension in the bass (``2-3``).
    """
    stages, place = [], 0
    for part in figures.split("-"):
        stages.append(_read(part, figures, place))
        place += len(part) + 1
    found = []
    for index, stage in enumerate(stages):
        later = stages[index + 1] if index + 1 < len(stages) else None
        under = bass_after if bass_after is not None and index else bass
        numbers = {figure.number for figure in stage}
        if bass_after is not None and numbers == {2}:
            stage = (*stage, _Figure(5, ""))  # the bass itself is held over: 5/2
        elif bass_after is not None and numbers == {3}:
            stage = (*stage, _Figure(6, ""))
        dropped = None
        if later is not None and len(stage) == len(later) == 1:
            dropped = _HELD_BACK.get((stage[0].number, later[0].number))
        names = _realise(under, stage, key)
        if dropped is not None:
            gone = LETTERS[(under.step + dropped - 1) % 7]
            names = tuple(name for name in names if name.letter != gone)
        found.append(names)
    return tuple(found)


def _read(part: str, whole: str, offset: int) -> tuple[_Figure, ...]:
    figures = []
    place = 0
    for word in part.split("/") if part.strip() else []:
        match = _FIGURE.fullmatch(word.strip())
        if match is None or not word.strip() or (match[2] and not 1 <= int(match[2]) <= 13):
            raise TextError(
                f"{word!r} in the figures {whole!r} cannot be read; {EXPECTED} is accepted.",
                text=whole,
                start=offset + place,
                end=offset + place + max(len(word), 1),
                expected=EXPECTED,
            )
        figures.append(_Figure(int(match[2] or 3), match[1] or match[3]))
        place += len(word) + 1
    return tuple(figures)


def _realise(bass: PitchName, figures: tuple[_Figure, ...], key: Key) -> tuple[PitchName, ...]:
    signs = {figure.number: figure.sign for figure in figures}
    numbers = list(signs)
    written = frozenset(numbers)
    for shape, completion in _COMPLETIONS:
        if shape == written:
            numbers += sorted(completion)
            break
    names = [bass]
    for number in sorted(numbers):
        name = _above(bass, number, signs.get(number, ""), key)
        if name not in names or number == 8:
            names.append(name)
    return tuple(names)


def _above(bass: PitchName, number: int, sign: str, key: Key) -> PitchName:
    if number == 8:
        return bass
    letter = LETTERS[(bass.step + number - 1) % 7]
    natural = next(name for name in key.scale if name.letter == letter)
    if sign in ("n", "♮"):
        return PitchName(letter)
    change = sign.count("#") + sign.count("♯") + 2 * sign.count("x")
    change -= sign.count("b") + sign.count("♭")
    return PitchName(letter, natural.alter + change)
