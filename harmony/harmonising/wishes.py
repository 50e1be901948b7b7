"""What ideas wish for: tables of costs where a way through a chain does not follow them.

A wish is a table (spans, chords) and one (chords, chords) for every step, or None. The
``tell_`` functions say of a way what came of a wish.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.chain import Chain
from harmony.harmonising.costs import same_chord
from harmony.harmonising.spelling import name_near

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
Wish = tuple[FloatArray, "FloatArray | None"]


def _empty(chain: Chain) -> FloatArray:
    return np.zeros((len(chain.spans), len(chain.vocabulary)))


def has_borrowed(chain: Chain) -> BoolArray:
    """Which chords are borrowed: foreign to the key, every note in its minor, (chords,)."""
    minor = {0, 2, 3, 5, 7, 8, 10, 11}
    strange = [pc for pc in range(12) if pc not in minor]
    vocabulary = chain.vocabulary
    borrowed: BoolArray = (vocabulary.outside > 0) & ~vocabulary.members[:, strange].any(axis=1)
    return borrowed


def is_late(chain: Chain) -> BoolArray:
    """Which spans begin with the middle phrase or later, (spans,)."""
    phrases = chain.melody.phrases
    start = phrases[len(phrases) // 2].start if len(phrases) > 1 else chain.melody.end / 2
    return np.array([span.onset >= start for span in chain.spans])


def count_far(chain: Chain) -> NDArray[np.intp]:
    """How far each chord is: its notes foreign to the key, 3 more for one of another key."""
    far: NDArray[np.intp] = chain.vocabulary.outside + 3 * chain.vocabulary.is_remote
    return far


def climax_of(chain: Chain) -> int:
    """The span in which the highest note of the tune begins."""
    climax = chain.melody.climax
    return next(i for i, span in enumerate(chain.spans) if span.onset <= climax < span.end)


def inner_ends(chain: Chain) -> tuple[int, ...]:
    """The spans inner phrases end with; the middle of a tune that is one phrase."""
    return chain.finals[:-1] or (max(1, len(chain.spans) // 2 - 1),)


def ask_nothing(chain: Chain) -> Wish:
    """Ask for nothing: the idiom's own way."""
    return _empty(chain), None


def _gap(chain: Chain) -> NDArray[np.intp]:
    basses = chain.vocabulary.basses
    return (basses[None, :] - basses[:, None]) % 12


def sink(chain: Chain) -> Wish:
    """The bass goes down by tone or semitone."""
    gap = _gap(chain)
    down, thirds = (gap == 11) | (gap == 10), (gap == 9) | (gap == 8)
    return _empty(chain), np.select([down, gap == 0, thirds],
                                      [0.0, 0.5, 0.7], 1.1)  # fmt: skip


def rise(chain: Chain) -> Wish:
    """The bass goes up by tone or semitone."""
    gap = _gap(chain)
    return _empty(chain), np.select([(gap == 1) | (gap == 2), gap == 0, (gap == 3) | (gap == 4)],
                                      [0.0, 0.5, 0.7], 1.1)  # fmt: skip


def creep(chain: Chain) -> Wish:
    """The bass goes by semitones, down rather than up."""
    gap = _gap(chain)
    return _empty(chain), np.select([gap == 11, gap == 1, gap == 10, gap == 0],
                                      [0.0, 0.35, 0.5, 0.6], 1.1)  # fmt: skip


def creep_up(chain: Chain) -> Wish:
    """The bass goes up by semitones."""
    gap = _gap(chain)
    return _empty(chain), np.select([gap == 1, gap == 2, gap == 0], [0.0, 0.5, 0.6], 1.1)


def fall_by_fifths(chain: Chain) -> Wish:
    """The roots go down by fifths."""
    roots = chain.vocabulary.roots
    gap = (roots[None, :] - roots[:, None]) % 12
    return _empty(chain), np.select([gap == 5, gap == 0], [0.0, 0.4], 0.9)


def long_notes(chain: Chain) -> list[tuple[int, int]]:
    """The spans under long notes, and each note's pitch class above the tonic.

    Where few notes are long, as in hymns, those that span a chord are taken; the close
    is left out.
    """
    lengths = sorted(note.duration for note in chain.melody.notes)
    longest = [max(inside, key=lambda s: s.note.duration, default=None) for inside in chain.heard]
    usual = lengths[len(lengths) // 2]
    if sum(one is not None and one.note.duration > usual for one in longest) < len(longest) / 4:
        usual = Fraction(0)
    return [
        (place, one.pitch_class)
        for place, one in enumerate(longest[:-1])
        if one is not None and one.note.duration > usual
    ]


def reread(chain: Chain) -> Wish:
    """Long notes become a third, a seventh or a ninth, not root or fifth."""
    wish = _empty(chain)
    for place, note in long_notes(chain):
        above = (note - chain.vocabulary.roots) % 12
        wish[place] = 1.1 * ((above == 0) | (above == 7))
    return wish, None


def tell_reread(chain: Chain, path: Sequence[int]) -> str:
    """How many of the chords under long notes make them what: thirds, sevenths, ninths."""
    places = long_notes(chain)
    above = [int(note - chain.vocabulary.roots[path[place]]) % 12 for place, note in places]
    kinds = (("thirds", (3, 4)), ("sevenths", (10, 11)), ("ninths", (1, 2)))
    counted = [(sum(one in among for one in above), name) for name, among in kinds]
    words = [f"{number} {name if number > 1 else name[:-1]}" for number, name in counted if number]
    return f"{' and '.join(words) or 'none'} over {len(places)} chords"


def turn_away(chain: Chain) -> Wish:
    """Tonic and dominant are left for others, above all before phrases end."""
    wish = _empty(chain)
    roots = chain.vocabulary.roots
    for final in chain.finals[:-1]:
        if final:
            wish[final - 1] += 0.8 * ((roots == 0) | (roots == 7))
    wish += 0.45 * ((roots == 0) | (roots == 7))
    return wish, None


def tell_goals(chain: Chain, path: Sequence[int]) -> str:
    """On what the inner phrases end."""
    key = chain.vocabulary.key
    ends = inner_ends(chain)
    names = [
        str(name_near(int(key.tonic.pitch_class + chain.vocabulary.roots[path[place]]) % 12, key))
        for place in ends
    ]
    where = "the inner phrases end" if len(ends) > 1 else "the inner phrase ends"
    if len(chain.finals) == 1:
        where = "the middle stands"
    return f"{where} on {', '.join(names)}"


def lean_to_fourth(chain: Chain) -> Wish:
    """The side of the fourth: second, fourth and sixth degrees before fifth and tonic."""
    roots = chain.vocabulary.roots
    away = np.isin(roots, (7, 11, 4, 0))
    return np.tile(0.6 * away, (len(chain.spans), 1)), None


def invert(chain: Chain) -> Wish:
    """Chords stand on thirds and fifths; root position is kept for closes."""
    vocabulary = chain.vocabulary
    wish = np.tile(0.7 * (vocabulary.basses == vocabulary.roots), (len(chain.spans), 1))
    for final in chain.finals:
        wish[final] = 0.0
    return wish, None


def lean_to_relative(chain: Chain) -> Wish:
    """The phrases before the last lean to the scale of the relative key."""
    wish = _empty(chain)
    key = chain.vocabulary.key
    # The leading tone of a minor key is no note of its relative.
    foreign = chain.vocabulary.members[:, 11] & key.is_minor
    start = chain.finals[-2] if len(chain.finals) > 1 else len(chain.spans) // 2
    wish[: start + 1] += 0.4 * foreign + 0.2 * (chain.vocabulary.roots == 0)
    return wish, None


def mix_at_return(chain: Chain) -> Wish:
    """From the middle phrase on, chords of the key's minor."""
    asked = is_late(chain)
    asked[chain.finals[-1] :] = False
    return np.where(asked[:, None] & ~has_borrowed(chain), 0.6, 0.0), None


def go_round(size: int) -> Callable[[Chain], Wish]:
    """Phrases end round a cycle of equal thirds; chords stay in its system of triads."""

    def wish(chain: Chain) -> Wish:
        roots = chain.vocabulary.roots
        table = np.tile(0.7 * (roots % size != 0), (len(chain.spans), 1))
        return table, None

    return wish


def tell_pace(chain: Chain, path: Sequence[int]) -> str:
    """How many chords there are."""
    same = same_chord(chain.vocabulary)
    number = 1 + sum(not same[a, b] for a, b in itertools.pairwise(path))
    return f"{number} chord{'s' if number > 1 else ''} in all"


def lean_to_third(chain: Chain) -> Wish:
    """The third-related key's side: chords on the third and sixth degrees."""
    key = chain.vocabulary.key
    third, sixth = (3, 8) if key.is_minor else (4, 9)
    good = np.isin(chain.vocabulary.roots, (third, sixth, 2, 5))
    return np.tile(0.7 * ~good, (len(chain.spans), 1)), None


def slow_down(chain: Chain) -> Wish:
    """Chords last: every change costs."""
    return _empty(chain), np.where(same_chord(chain.vocabulary), 0.0, 0.9)


def darken(chain: Chain) -> Wish:
    """Minor chords."""
    minor = np.array(["min" in one.quality for one in chain.vocabulary.entries])
    return np.tile(0.7 * ~minor, (len(chain.spans), 1)), None


def reach_far(chain: Chain) -> Wish:
    """One distant chord at the tune's climax, and near ones elsewhere."""
    wish = _empty(chain)
    wish[climax_of(chain)] = 1.6 * (count_far(chain) == 0)
    return wish, None


def keep_shape(*numbers: int) -> Callable[[Chain], Wish]:
    """One of these planing shapes (places in vocabulary.SHAPES) throughout."""

    def wish(chain: Chain) -> Wish:
        wanted = np.isin(chain.vocabulary.shapes, numbers)
        return np.tile(2.0 * ~wanted, (len(chain.spans), 1)), None

    return wish


def keep_stack(kind: int) -> Callable[[Chain], Wish]:
    """One kind of stack throughout: perfect, with an augmented fourth, or of fifths."""

    def wish(chain: Chain) -> Wish:
        return np.tile(2.0 * (chain.vocabulary.shapes != kind), (len(chain.spans), 1)), None

    return wish


def keep_size(size: int) -> Callable[[Chain], Wish]:
    """Stacks of so many notes throughout."""

    def wish(chain: Chain) -> Wish:
        wanted = chain.vocabulary.sizes == size
        return np.tile(0.9 * ~wanted, (len(chain.spans), 1)), None

    return wish
