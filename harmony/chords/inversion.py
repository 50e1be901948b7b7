"""Arabic figures after a numeral: which notes are piled up and which is the bass."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

#: The figures that name each inversion: bass (a degree above the root), highest
#: degree of the stack, and every figure that may be written for it.
_INVERSIONS: tuple[tuple[int, int, frozenset[int]], ...] = (
    (1, 5, frozenset({3, 5})),
    (1, 7, frozenset({3, 5, 7})),
    (1, 9, frozenset({3, 5, 7, 9})),
    (1, 11, frozenset({3, 5, 7, 9, 11})),
    (1, 13, frozenset({3, 5, 7, 9, 11, 13})),
    (3, 5, frozenset({3, 6})),
    (3, 7, frozenset({3, 5, 6})),
    (3, 9, frozenset({3, 5, 6, 7})),
    (5, 5, frozenset({4, 6})),
    (5, 7, frozenset({3, 4, 6})),
    (5, 9, frozenset({3, 4, 5, 6})),
    (7, 7, frozenset({2, 4, 6})),
    (7, 9, frozenset({2, 3, 4, 6})),
)
_NEEDED = {
    # (bass, top): figures without which a reading as this chord would be far-fetched
    (1, 7): {7}, (1, 9): {9}, (1, 11): {11}, (1, 13): {13},
    (3, 5): {6}, (3, 7): {6, 5}, (3, 9): {7, 6, 5},
    (5, 5): {6, 4}, (5, 7): {4, 3}, (5, 9): {5, 4, 3},
    (7, 7): {2}, (7, 9): {3, 2},
}  # fmt: skip


class FigureReading(NamedTuple):
    """What figures say: ``stack`` (degrees above the triad, from 7), ``bass`` (a
    degree above the root), ``foreign`` degrees and the members that stand aside for
    them (``without``), and ``altered`` figures as (figure above the bass, semitones).
    """

    stack: tuple[int, ...]
    bass: int
    foreign: tuple[int, ...]
    without: tuple[int, ...]
    altered: tuple[tuple[int, int], ...]


@lru_cache(maxsize=1024)
def read_figures(
    figures: tuple[tuple[int | None, int], ...], *, has_seventh: bool
) -> FigureReading:
    """Read figures such as 6, 65, 43, 42, 9, 54.

    Parameters
    ----------
    figures
        (accidental in semitones or None, number) as written.
    has_seventh
        True where the sign of quality alone asks for a seventh (a bare ø).
    """
    altered = tuple((number, alter) for alter, number in figures if alter is not None)
    plain = [number for alter, number in figures if alter is None]
    numbers = {10: 3, 12: 5}
    written = {numbers.get(number, number) for _, number in figures} - {1, 8}
    core = {numbers.get(number, number) for number in plain} - {1, 8}
    # V7b13 adds a thirteenth to a seventh; V13 piles up all the thirds below it.
    is_added = any(number > 7 for number, _ in altered) and core & {7, 9, 11, 13}
    for wanted in (core, written) if is_added else (written, core):
        for bass, top, allowed in _INVERSIONS:
            if wanted <= allowed and _NEEDED.get((bass, top), set()) <= wanted:
                stack = _stack_to(top, has_seventh=has_seventh)
                return FigureReading(stack, bass, (), (), altered)
    return _read_over_root(core, altered, has_seventh=has_seventh)


def _read_over_root(
    core: Iterable[int], altered: tuple[tuple[int, int], ...], *, has_seventh: bool
) -> FigureReading:
    """Read figures that no inversion explains as notes over the root."""
    numbers = set(core)
    if numbers == {4} or numbers == {6, 2}:
        numbers = {5, 4} if numbers == {4} else {4, 2}
    if numbers == {4, 2}:
        return FigureReading((7,), 7, (), (), altered)
    stack = tuple(n for n in (7, 9, 11, 13) if n in numbers or (n == 7 and has_seventh))
    foreign = tuple(sorted(n for n in numbers if n in (2, 4, 6)))
    # The fourth or second stands for the third, the sixth beside a fourth for the fifth,
    # unless the figures name what they would replace: 5/3/2 has its third.
    aside = {3} if numbers & {2, 4} else set()
    aside |= {5} if numbers >= {4, 6} else set()
    return FigureReading(stack, 1, foreign, tuple(sorted(aside - numbers)), altered)


def _stack_to(top: int, *, has_seventh: bool) -> tuple[int, ...]:
    if top == 5:
        return (7,) if has_seventh else ()
    return tuple(range(7, top + 1, 2))
