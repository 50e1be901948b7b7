"""The ideas behind alternatives: what each asks of the chords, in a sentence.

An idea is a cost of its own beside the others: where it is not followed it costs.
Ideas look at what is heard most: phrase ends, downbeats, long notes, the bass.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.chain import Chain
from harmony.harmonising.setting import strength_at

FloatArray = NDArray[np.float64]
Wish = tuple[FloatArray, "FloatArray | None"]

_LONG = 1.5  # times the median length


@dataclass(frozen=True, slots=True)
class Idea:
    """A name, a sentence for the composer, and what it adds to nodes and steps.

    ``wish`` gives a table (spans, chords) and a table (chords, chords) or None.
    """

    name: str
    sentence: str
    wish: Callable[[Chain], Wish]


def importance(chain: Chain) -> FloatArray:
    """How much each span is heard: its length, its beat, the end of a phrase, (spans,)."""
    weight = np.ones(len(chain.spans))
    for place, span in enumerate(chain.spans):
        weight[place] += 0.25 * strength_at(chain.melody, span)
        inside = chain.heard[place]
        if inside and inside[0].note.duration >= 2 * span.duration:
            weight[place] += 0.3
    for final in chain.finals:
        weight[final] += 0.5
    share: FloatArray = weight / weight.mean()
    return share


def openness(chain: Chain) -> FloatArray:
    """How far the tune leaves the choice of root open, about 1 on average, (spans,).

    Ideas are followed first where no chord is the obvious one; without learnt chances
    every span is as open as any other.
    """
    if not chain.likely.any():
        return np.ones(len(chain.spans))
    doubt: FloatArray = 1.0 - chain.likely.max(axis=1)
    doubt = doubt**OPENNESS
    open_: FloatArray = np.clip(doubt / doubt.mean(), 0.15, 3.0)
    return open_


OPENNESS = 1.0


def share_followed(
    chain: Chain, wish: FloatArray, moves: FloatArray | None, path: Sequence[int]
) -> float | None:
    """How much of a way follows an idea: of the time it speaks of, or of the changes of bass.

    None for an idea that asks for nothing.
    """
    if moves is not None:
        asked = [(a, b) for a, b in itertools.pairwise(path) if a != b or moves[a, b] == 0]
        return sum(bool(moves[a, b] == 0) for a, b in asked) / max(1, len(asked))
    spoken = wish.max(axis=1) > 0
    if not spoken.any():
        return None
    lengths = np.array([float(span.duration) for span in chain.spans]) * spoken
    kept = wish[np.arange(len(path)), list(path)] == 0
    share: float = (lengths * kept).sum() / lengths.sum()
    return share


def _nothing(chain: Chain) -> FloatArray:
    return np.zeros((len(chain.spans), len(chain.vocabulary)))


def _plain(chain: Chain) -> Wish:
    return _nothing(chain), None


def _gap(chain: Chain) -> NDArray[np.intp]:
    basses = chain.vocabulary.basses
    return (basses[None, :] - basses[:, None]) % 12


def _sinking(chain: Chain) -> Wish:
    """The bass goes down by tone or semitone."""
    gap = _gap(chain)
    down, thirds = (gap == 11) | (gap == 10), (gap == 9) | (gap == 8)
    return _nothing(chain), np.select([down, gap == 0, thirds],
                                      [0.0, 0.5, 0.7], 1.1)  # fmt: skip


def _rising(chain: Chain) -> Wish:
    """The bass goes up by tone or semitone."""
    gap = _gap(chain)
    return _nothing(chain), np.select([(gap == 1) | (gap == 2), gap == 0, (gap == 3) | (gap == 4)],
                                      [0.0, 0.5, 0.7], 1.1)  # fmt: skip


def _chromatic(chain: Chain) -> Wish:
    gap = _gap(chain)
    return _nothing(chain), np.select([gap == 11, gap == 1, gap == 10, gap == 0],
                                      [0.0, 0.35, 0.5, 0.6], 1.1)  # fmt: skip


def _reinterpreted(chain: Chain) -> Wish:
    """Long notes become a third, a seventh or a ninth, not root or fifth.

    Where few notes are long, as in hymns, those that span a chord are taken.
    """
    wish = _nothing(chain)
    vocabulary = chain.vocabulary
    lengths = sorted(note.duration for note in chain.melody.notes)
    longest = [max(inside, key=lambda s: s.note.duration, default=None) for inside in chain.heard]
    usual = lengths[len(lengths) // 2]
    if sum(one is not None and one.note.duration > usual for one in longest) < len(longest) / 4:
        usual = Fraction(0)
    for place, one in enumerate(longest[:-1]):
        if one is None or one.note.duration <= usual:
            continue
        above = (one.pitch_class - vocabulary.roots) % 12
        plain = (above == 0) | (above == 7)
        wish[place] = 1.1 * plain
    return wish, None


def _other_goals(chain: Chain) -> Wish:
    """Inner phrases end away from tonic and dominant; the dominant moves on elsewhere."""
    wish = _nothing(chain)
    roots = chain.vocabulary.roots
    for final in chain.finals[:-1]:
        for place in range(max(0, final - 1), min(final + 1, len(wish))):
            share = 1.6 if place == final else 0.8
            wish[place] += share * ((roots == 0) | (roots == 7))
    if len(chain.finals) == 1:
        middle = len(wish) // 2
        wish[middle] += 1.6 * ((roots == 0) | (roots == 7))
    wish += 0.45 * ((roots == 0) | (roots == 7))
    return wish, None


def _subdominant(chain: Chain) -> Wish:
    """The side of the fourth: second, fourth and sixth degrees before fifth and tonic."""
    roots = chain.vocabulary.roots
    away = np.isin(roots, (7, 11, 4, 0))
    return np.tile(0.6 * away, (len(chain.spans), 1)), None


def _inverted(chain: Chain) -> Wish:
    """Chords stand on thirds and fifths; root position is kept for closes."""
    vocabulary = chain.vocabulary
    wish = np.tile(0.7 * (vocabulary.basses == vocabulary.roots), (len(chain.spans), 1))
    for final in chain.finals:
        wish[final] = 0.0
    return wish, None


def _relative(chain: Chain) -> Wish:
    """The third-related key's side: chords on the third and sixth degrees."""
    key = chain.vocabulary.key
    third, sixth = (3, 8) if key.is_minor else (4, 9)
    good = np.isin(chain.vocabulary.roots, (third, sixth, 2, 5))
    return np.tile(0.7 * ~good, (len(chain.spans), 1)), None


def _contrary(chain: Chain) -> Wish:
    """Prefer the bass that moves against the tune's usual direction."""
    notes = chain.melody.notes
    ups = sum(
        1 if b.pitch.midi > a.pitch.midi else -1 if b.pitch.midi < a.pitch.midi else 0
        for a, b in itertools.pairwise(notes)
        if a.pitch is not None and b.pitch is not None
    )
    return _sinking(chain) if ups >= 0 else _rising(chain)


def _fewer(chain: Chain) -> Wish:
    """Chords last: every change costs."""
    roots, kinds = chain.vocabulary.roots, chain.vocabulary.kinds
    changed = (roots[:, None] != roots) | (kinds[:, None] != kinds)
    return _nothing(chain), 0.9 * changed


def _minor_chords(chain: Chain) -> Wish:
    minor = np.array(["min" in one.quality for one in chain.vocabulary.entries])
    return np.tile(0.7 * ~minor, (len(chain.spans), 1)), None


def _remote(chain: Chain) -> Wish:
    """One distant chord at the tune's climax, and near ones elsewhere."""
    wish = _nothing(chain)
    far = chain.vocabulary.outside + 3 * chain.vocabulary.is_remote
    for place, span in enumerate(chain.spans):
        if span.onset <= chain.melody.climax < span.end:
            wish[place] = 1.6 * (far == 0)
    return wish, None


def _shape(*numbers: int) -> Callable[[Chain], Wish]:
    def wish(chain: Chain) -> Wish:
        wanted = np.isin(chain.vocabulary.shapes, numbers)
        return np.tile(2.0 * ~wanted, (len(chain.spans), 1)), None

    return wish


def _sizes(size: int) -> Callable[[Chain], Wish]:
    def wish(chain: Chain) -> Wish:
        wanted = np.array([one.quality.endswith(str(size)) for one in chain.vocabulary.entries])
        return np.tile(0.9 * ~wanted, (len(chain.spans), 1)), None

    return wish


PLAIN = Idea("plain reference", "what the idiom would do first, with nothing special asked", _plain)
SINKING = Idea("sinking bass", "the bass sinks by step as long as the tune lets it", _sinking)
RISING = Idea("rising bass", "the bass climbs by step beneath the tune", _rising)
CHROMATIC = Idea("chromatic bass", "the bass creeps down by semitones", _chromatic)
OTHER_NAMES = Idea(
    "long notes reread", "long notes become the third, the seventh or the ninth of their chords",
    _reinterpreted,
)  # fmt: skip
OTHER_GOALS = Idea(
    "other goals", "phrases turn away from tonic and dominant; closes are evaded", _other_goals
)
FOURTH_SIDE = Idea("subdominant side", "the tune leans to the side of the fourth", _subdominant)
THIRD_SIDE = Idea(
    "mediant side", "the tune is heard from the third and the sixth degree", _relative
)
INVERTED = Idea(
    "on the third", "chords stand on their thirds; root position waits for the closes", _inverted
)
CONTRARY = Idea("contrary bass", "the bass moves against the tune", _contrary)
FEWER = Idea("slower harmony", "each chord lasts as long as the tune allows", _fewer)
DARKER = Idea("minor colours", "minor chords wherever the tune allows them", _minor_chords)
REMOTE = Idea(
    "one distant chord", "the most distant chord stands at the tune's highest note", _remote
)

_BY_IDIOM: dict[str, tuple[Idea, ...]] = {
    "common-practice": (PLAIN, THIRD_SIDE, OTHER_NAMES, OTHER_GOALS, SINKING, FOURTH_SIDE, INVERTED,
                        RISING, FEWER, DARKER),
    "modal": (PLAIN, SINKING, OTHER_NAMES, OTHER_GOALS, FOURTH_SIDE, FEWER, CONTRARY, DARKER,
              RISING),
    "romantic": (PLAIN, CHROMATIC, OTHER_NAMES, OTHER_GOALS, REMOTE, THIRD_SIDE, RISING, FEWER,
                 DARKER),
    "third-relations": (PLAIN, OTHER_NAMES, DARKER, SINKING, REMOTE, OTHER_GOALS, FEWER, RISING),
    "extended": (PLAIN, CHROMATIC, OTHER_NAMES, FOURTH_SIDE, THIRD_SIDE, FEWER, DARKER, RISING),
    "pedal": (PLAIN, OTHER_NAMES, DARKER, FOURTH_SIDE, OTHER_GOALS, FEWER, THIRD_SIDE),
    "ostinato": (PLAIN, OTHER_NAMES, FOURTH_SIDE, DARKER, OTHER_GOALS, THIRD_SIDE),
    "own": (PLAIN, SINKING, OTHER_NAMES, FEWER, OTHER_GOALS, RISING, CONTRARY),
    "quartal": (
        Idea("plain reference", "three, four or five fourths as the tune suggests", _plain),
        Idea("three notes", "stacks of three notes, open and light", _sizes(3)),
        SINKING,
        Idea("five notes", "stacks of five notes, thinning at the closes", _sizes(5)),
        FEWER,
        RISING,
        CHROMATIC,
        Idea("four notes", "stacks of four notes throughout", _sizes(4)),
    ),
    "parallel": (
        Idea("scale planing", "triads of the scale hang from the tune by their fifths", _shape(0)),
        Idea("exact planing", "major triads move exactly with the tune, out of the key",
             _shape(4, 5, 6)),
        Idea("planed ninths", "dominant ninths hang from the tune", _shape(10, 9)),
        Idea("planed minor", "minor triads move exactly with the tune", _shape(7, 8)),
        Idea("planing from the third", "the tune is the third of triads of the scale", _shape(1)),
        Idea("planing from the root", "the tune is the root of triads of the scale", _shape(2)),
        Idea("planed sevenths", "sevenths of the scale hang from the tune", _shape(3)),
        PLAIN,
    ),
}  # fmt: skip


def ideas_for(idiom: str, count: int, used: Sequence[str] = ()) -> tuple[Idea, ...]:
    """The ideas to try in an idiom, the plain one first; ``used`` names are left out."""
    known = [idea for idea in _BY_IDIOM[idiom] if idea.name not in used]
    while len(known) < count:
        known.append(_BY_IDIOM[idiom][0])
    return tuple(known[:count])
