"""From one chain to several alternatives: one search an idea, each unlike those before."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from harmony.errors import NoSolutionError
from harmony.harmonising.binding import Bound, bind
from harmony.harmonising.chain import Chain, Way, add_to_steps, build_chain, find_way
from harmony.harmonising.fixing import Fixed, hold, make_room, with_fixed
from harmony.harmonising.found import Found, difference
from harmony.harmonising.ideas import ANOTHER, PLAIN, Idea, importance, openness, share_followed
from harmony.harmonising.idiom import Idiom
from harmony.harmonising.melody import Melody, in_key
from harmony.harmonising.progress import tell_found
from harmony.harmonising.repetition import echo
from harmony.harmonising.returns import find_turning, return_price
from harmony.harmonising.spans import Span, is_hymn_like
from harmony.harmonising.strands import Strand
from harmony.harmonising.tries import list_tries, name_idea
from harmony.harmonising.vocabulary import build_vocabulary, harmonic_key

FloatArray = NDArray[np.float64]

#: At least so many of the roots, by time, differ between any two alternatives.
LEAST_DIFFERENCE = 0.16
WANTED_DIFFERENCE = 0.3
_VARIETY = 0.7  # what the root of an earlier alternative weighs in its place, at first
_NEAR, _FAR = 1.6, 1.1  # how much more after a try, for alternatives still too near and others
_STRONGER = 1.7  # how much more an idea weighs after a try that does not follow it
_TRIES = 6
_HARDLY, _REACHED = 0.01, 3.0  # a chance so small, and what an idea pays to take it
_SIX_FOUR = 0.8
_OPENING = 0.3  # so much of the push away from earlier alternatives where the tune sets out
_MORE = 0.08  # so much more of the tune follows an idea than in the plain way, at least


def find_alternatives(
    melody: Melody,
    idiom: Idiom,
    spans: Sequence[Span],
    count: int,
    fixed: Sequence[Fixed] = (),
    weights: Mapping[str, float] | None = None,
    adapt: Callable[[Chain], Chain] | None = None,
) -> list[Found]:
    """Find ``count`` harmonisations in an idiom, the plain one first.

    Each is the exact best for its idea among those at least LEAST_DIFFERENCE unlike
    every earlier one as far as the idiom allows that. ``adapt`` changes the chain before
    it is searched (an inner tune, a bass that is given).

    Raises
    ------
    NoSolutionError
        Where no chords of the idiom fit the tune and the chords fixed, saying where.
    """
    melody = in_key(melody, harmonic_key(melody.key, idiom))
    spans = make_room(spans, fixed)
    vocabulary = with_fixed(build_vocabulary(idiom, melody.key), fixed)
    chain = hold(build_chain(melody, vocabulary, spans, weights), fixed, melody.key, adapt)
    found: list[Found] = []
    tries = list_tries(chain, idiom, count + 5)
    spare: list[Found] = []
    totals: dict[int, _Totals] = {}
    for one, strand, idea in tries:
        if len(found) == count:
            break
        tell_found(len(found), count, idiom.name)
        answer = _search(one, idea, strand, found, totals)
        if answer is None:
            continue
        unlike = min((difference(answer, e) for e in found), default=1.0)
        (found if unlike >= LEAST_DIFFERENCE else spare).append(answer)
    if not found and not spare:
        # What every idea binds may be too much for a tune that has chords all the same.
        answer = None if tries[0][1] else _search(chain, PLAIN, None, (), totals)
        if answer is None:
            raise _no_way(chain)
        found.append(answer)
    spare.sort(key=lambda answer: -min((difference(answer, e) for e in found), default=1.0))
    return found + spare[: count - len(found)]


class _Totals(NamedTuple):
    """What a chain costs whatever the idea, and the plain way through it.

    ``free`` is that way with no price on going straight back, the same where the idiom
    has none. ``openness`` and ``heard``, (spans, 1), say how far ideas and the push away from
    earlier alternatives count; ``shut_out`` is what ideas pay for.
    """

    nodes: FloatArray
    steps: list[FloatArray]
    plain: Sequence[int]
    free: Sequence[int]
    openness: FloatArray
    heard: FloatArray
    shut_out: FloatArray


def _total(chain: Chain) -> _Totals:
    nodes, steps = chain.total_nodes(), chain.total_steps()
    free, _, _ = find_way(chain, nodes, steps)
    plain = _find(chain, nodes, steps)[0] if return_price(chain) else free
    open_ = openness(chain)[:, None]
    heard = importance(chain)[:, None] * open_
    if not is_hymn_like(chain.melody):
        heard[0] *= _OPENING
    return _Totals(nodes, steps, plain, free, open_, heard, _shut_out(chain))


def _find(chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray]) -> Way:
    """The cheapest way; in idioms that price it, with going straight back priced."""
    price = return_price(chain)
    if not price:
        return find_way(chain, nodes, steps)
    path, value = find_turning(chain.vocabulary, nodes, steps, price)
    return path, None, value


def _search(
    chain: Chain,
    idea: Idea,
    strand: Strand | None,
    earlier: Sequence[Found],
    totals: dict[int, _Totals],
) -> Found | None:
    """The best way for an idea, pushed away from earlier ones until it is unlike them.

    The idea weighs more from try to try until its sentence is true: more of the tune
    follows it than in the plain way. None where that cannot be had.
    """
    wish, moves = idea.wish(chain)
    if id(chain) not in totals:
        totals[id(chain)] = _total(chain)
    plain = totals[id(chain)]
    wished = chain.weights["idea"] * wish * plain.openness
    paid = np.zeros_like(plain.nodes) if idea in (PLAIN, ANOTHER) else plain.shut_out
    first = [one.path for one in earlier[:1] if one.chain is chain and one.strand == strand]
    shares = [share_followed(chain, wish, moves, way) for way in (plain.plain, *first)]
    usual = max((share for share in shares if share is not None), default=None)
    name, sentence = name_idea(idea, strand)
    repeats = not is_hymn_like(chain.melody)
    rivals = _Rivals(chain, earlier)
    strength = 1.0
    answer = None
    for _ in range(_TRIES):
        pushed = _VARIETY * plain.heard * rivals.weigh(wished.shape)
        nodes = plain.nodes + strength * wished + pushed + paid
        steps = plain.steps
        if moves is not None:
            steps = add_to_steps(steps, strength * chain.weights["idea"] * moves)
        answered = _follow(chain, idea, nodes, steps, plain.free, repeats=repeats)
        if answered is None:
            return answer
        (path, where, _), bound = answered
        told = _tell(sentence, idea, bound, chain, path)
        ends = None if bound is None else bound.ends
        found = Found(chain, tuple(path), name, told, idea, strand, where, ends)
        follows = None if bound is not None else share_followed(chain, wish, moves, path)
        is_true = usual is None or follows is None or follows > min(usual + _MORE, 0.99)
        if is_true:
            answer = found
        else:
            strength *= _STRONGER
        if rivals.keep_off(found) and is_true:
            break
    return answer


class _Rivals:
    """The alternatives a way is pushed away from, each the harder the longer it stays near."""

    def __init__(self, chain: Chain, earlier: Sequence[Found]) -> None:
        tonic = chain.vocabulary.key.tonic.pitch_class
        roots = (chain.vocabulary.roots[None, :] + tonic) % 12
        self._found = [one for one in earlier if len(one.path) == len(chain.spans)]
        self._same = [roots == one.roots[:, None] for one in self._found]
        self._weights = np.ones(len(self._found))

    def weigh(self, shape: tuple[int, ...]) -> FloatArray:
        """What each chord weighs for having the root of a rival in its place, (spans, chords)."""
        weighed = zip(self._weights, self._same, strict=True)
        return sum((weight * same for weight, same in weighed), np.zeros(shape))

    def keep_off(self, way: Found) -> bool:
        """True where a way is unlike them all; else those near it weigh more from now on."""
        apart = [difference(way, one) for one in self._found]
        if is_unlike(apart):
            return True
        self._weights *= [_NEAR if gap < WANTED_DIFFERENCE else _FAR for gap in apart]
        return False


def is_unlike(apart: Sequence[float]) -> bool:
    """True where these differences from earlier alternatives are enough, each and on average."""
    return not apart or (
        min(apart) >= LEAST_DIFFERENCE and sum(apart) / len(apart) >= WANTED_DIFFERENCE
    )


def _shut_out(chain: Chain) -> FloatArray:
    """What an idea pays for a root the chorales would hardly ever have there, or a six-four.

    Under hymns the learnt chances say it themselves; elsewhere they weigh less.
    """
    paid = np.zeros(chain.allowed.shape)
    if chain.likely.any() and not is_hymn_like(chain.melody):
        vocabulary = chain.vocabulary
        paid += _REACHED * (chain.likely[:, vocabulary.roots] < _HARDLY)
        paid += _SIX_FOUR * ((vocabulary.basses - vocabulary.roots) % 12 == 7)
    return paid


def _follow(
    chain: Chain,
    idea: Idea,
    nodes: FloatArray,
    steps: Sequence[FloatArray],
    plain: Sequence[int],
    *,
    repeats: bool,
) -> tuple[Way, Bound | None] | None:
    """The cheapest way for an idea and what it binds; None where there is none.

    With ``repeats`` what repeats in the tune takes its model's harmony of this very way.
    """
    bound = None
    if idea.course is not None:
        bound = bind(chain, nodes, steps, idea.course, plain)
        if bound is None:
            return None
        nodes = np.where(bound.open, nodes, np.inf)
    way = _find(chain, nodes, steps)
    if not np.isfinite(way[2]):
        return None
    repeated = echo(chain, way[0]) if repeats else None
    return (way if repeated is None else _find(chain, nodes + repeated, steps)), bound


def _tell(sentence: str, idea: Idea, bound: Bound | None, chain: Chain, path: Sequence[int]) -> str:
    """The sentence with what came of the idea."""
    if bound is not None and bound.words:
        return f"{sentence}{bound.words}"
    return f"{sentence}: {idea.tell(chain, path)}" if idea.tell else sentence


def _no_way(chain: Chain) -> NoSolutionError:
    place = int(np.argmin(chain.allowed.any(axis=1)))
    where = chain.melody.theme.meters.say_place(chain.spans[place].onset)
    return NoSolutionError(
        f"No chord of the idiom {chain.vocabulary.idiom.name!r} fits the tune in {where}; split the"
        " stretch there or choose another idiom.",
        rule="melody_fit", where=where,
    )  # fmt: skip
