"""Asked for again: closer to one alternative, less like it, other chords here only.

Each of the three is a limit on how much of the tune's length may stand on other
roots than the alternative's, and each answer is the cheapest of all ways through
the idiom's chords within its limit.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from math import ceil
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from harmony.chords.chord import Chord
from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising.chain import Chain, add_to_steps, build_chain
from harmony.harmonising.change import has_change
from harmony.harmonising.compare import chord_at
from harmony.harmonising.counted import Counting, find_limited
from harmony.harmonising.fixing import Fixed, hold, is_entry, make_room, read_fixed, with_fixed
from harmony.harmonising.found import Found, to_harmonisation
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.harmonising.ideas import PLAIN, Idea, all_ideas, wishes_in
from harmony.harmonising.idiom import Idiom, load_idiom
from harmony.harmonising.limits import Limit, units_of
from harmony.harmonising.melody import in_key
from harmony.harmonising.progress import tell_found
from harmony.harmonising.regions import Regions
from harmony.harmonising.standing import stand_on
from harmony.harmonising.strands import Strand
from harmony.harmonising.tries import find_strand
from harmony.harmonising.vocabulary import build_vocabulary, harmonic_key

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

#: Bands of the share of the length under other roots, for alternatives ever less close.
CLOSER_BANDS = ((0.04, 0.12), (0.12, 0.2), (0.2, 0.28), (0.28, 0.36), (0.36, 0.44))
LESS_LIKE = 0.5
HERE_APART = 0.5  # of the stretch, between each new answer and what stands there
HERE_APART_FROM_EACH_OTHER = 0.25
MOST = 5


def closer(
    found: Harmonisations,
    to: int,
    *,
    count: int = 3,
    fixed: Sequence[str | Fixed] = (),
) -> Harmonisations:
    """Find harmonisations close to alternative ``to``, each a little less so than the last.

    The idea of the alternative is kept. The first has other roots under 4 to 12 % of
    the tune's length, the second under 12 to 20 %, and so on in bands of 8 %; each is
    the cheapest within its band, and a band in which nothing stands is left out.

    Parameters
    ----------
    found
        What was found before; ``to`` is counted from 1.
    count
        How many, 1 to 5.
    fixed
        Chords fixed or forbidden, as for :func:`harmony.harmonise`.

    Raises
    ------
    HarmonyError
        Where nothing near stands, or for a number there is not.
    """
    one = _chosen(found, to, count)
    ground = _ground(found, one, fixed)
    nodes, steps = _weigh(ground.chain, ground.idea)
    units, _ = units_of(ground.chain.spans)
    other = ~_same_roots(ground.chain, one)
    counting = Counting(nodes, steps, [other], units, ground.regions)
    answers: list[Found] = []
    most = 0
    for low, high in CLOSER_BANDS:
        if len(answers) == count:
            break
        tell_found(len(answers), count, one.idiom)
        # What lies on the edge of two bands is in the nearer one.
        least, most = max(most + 1, ceil(low * sum(units))), int(high * sum(units))
        if most < least:
            continue
        path, where, value = counting.find([Limit(other, least, most)])
        if np.isfinite(value):
            share = _share(other, path, units)
            # A course of a voice was bound in the alternative and is not bound here.
            says_more = ground.idea is not PLAIN or ground.strand is not None
            keeps_idea = says_more and ground.idea.course is None
            like = one.idea if keeps_idea else f"much as {_letter(to)}"
            sentence = f"{like}; other roots under {share} of the tune than in {_letter(to)}"
            answers.append(ground.answer(path, where, f"close to {one.name}, {share}", sentence))
    return _answer(found, answers, f"Nothing near to {_letter(to)} stands under this tune")


def less_like(
    found: Harmonisations,
    to: int,
    *,
    count: int = 3,
    fixed: Sequence[str | Fixed] = (),
) -> Harmonisations:
    """Find harmonisations unlike alternative ``to``: other roots under half the tune or more.

    Each follows another idea of the idiom and is the cheapest for it within that limit. A
    pedal that was the alternative's own idea is one that gives way.

    Raises
    ------
    HarmonyError
        Where the idiom has no chords for that, or for a number there is not.
    """
    one = _chosen(found, to, count)
    idiom = _idiom_of(one)
    if not idiom.has_strands:
        one = replace(one, strand="")
    ground = _ground(found, one, fixed)
    units, _ = units_of(ground.chain.spans)
    other = ~_same_roots(ground.chain, one)
    least, price = ceil(LESS_LIKE * sum(units)), 0.0
    answers: list[Found] = []
    others = (idea for idea in wishes_in(idiom.name) if idea.name != ground.idea.name)
    for idea in dict.fromkeys((PLAIN, *others)):
        if len(answers) == count:
            break
        tell_found(len(answers), count, idiom.name)
        nodes, steps = _weigh(ground.chain, idea)
        counting = Counting(nodes, steps, [other], units, ground.regions)
        counting.price = price
        path, where, value = counting.find([Limit(other, least)])
        price = counting.price
        if not np.isfinite(value) or any(list(e.path) == path for e in answers):
            continue
        share = _share(other, path, units)
        roots = f"other roots under {share} of the tune than in {_letter(to)}"
        sentence = f"the likeliest with {roots}" if idea is PLAIN else f"{idea.sentence}; {roots}"
        name = "the likeliest that is unlike" if idea is PLAIN else idea.name
        answers.append(ground._replace(idea=idea).answer(path, where, name, sentence))
    return _answer(
        found, answers,
        f"The idiom {one.idiom!r} has no way that differs from {_letter(to)} under half the tune",
    )  # fmt: skip


def other_chords(
    found: Harmonisations,
    of: int,
    *,
    bars: tuple[int, int],
    count: int = 3,
    fixed: Sequence[str | Fixed] = (),
) -> Harmonisations:
    """Find other chords for some bars of alternative ``of``, everything else as it stands.

    In the bars every answer has other roots under half their length at least than
    the alternative, and under a quarter at least than each answer before it; each is
    the cheapest of all that do.

    Parameters
    ----------
    bars
        The first and the last bar, by their numbers.

    Raises
    ------
    HarmonyError
        Where no other chords fit there, or for bars and numbers there are not.
    """
    one = _chosen(found, of, count)
    ground = _ground(found, one, fixed)
    chain = ground.chain
    start, stop, where = _find_bars(found, bars)
    here = np.array([start <= span.onset < stop for span in chain.spans])
    if not here.any():
        first, last = min(bars), max(bars)
        raise HarmonyError(f"No chord begins in bars {first} to {last}; split one there first.")
    held = {
        one.onset
        for one in (*found.fixed, *read_fixed(fixed, found.melody))
        if not one.is_forbidden
    }
    if all(span.onset in held for span, inside in zip(chain.spans, here, strict=True) if inside):
        raise HarmonyError(
            f"Every chord in {where} is fixed, so none can be another; let go of one there first.",
            where=where,
        )
    nodes, steps = _weigh(chain, ground.idea)
    nodes = np.where(here[:, None] | _same_chords(chain, one), nodes, np.inf)
    short, _ = units_of(tuple(s for s, inside in zip(chain.spans, here, strict=True) if inside))
    units = np.zeros(len(chain.spans), np.intp)
    units[here] = short
    total = sum(short)
    limits = [Limit(~_same_roots(chain, one), ceil(HERE_APART * total))]
    answers: list[Found] = []
    for _ in range(count):
        tell_found(len(answers), count, one.idiom)
        path, keys, value = find_limited(nodes, steps, limits, units.tolist(), ground.regions)
        if not np.isfinite(value):
            break
        answer = ground.answer(path, keys, f"{one.name}, {where} anew", "")
        figures = " ".join(
            slot.figure
            for slot in to_harmonisation(answer).progression
            if start <= slot.onset < stop
        )
        sentence = f"{_letter(of)} with other chords in {where} only: {figures}"
        answers.append(replace(answer, sentence=sentence))
        roots = chain.vocabulary.roots
        apart = roots[None, :] != roots[path][:, None]
        limits.append(Limit(apart, max(1, ceil(HERE_APART_FROM_EACH_OTHER * total))))
    return _answer(found, answers, f"No other chords of the idiom {one.idiom!r} fit {where}")


def _find_bars(found: Harmonisations, bars: tuple[int, int]) -> tuple[Fraction, Fraction, str]:
    """When two bars of the tune begin and end, in quarters, and what they are called."""
    meters = found.theme.meters
    known = meters.bars_through(found.melody.end)
    first, last = min(bars), max(bars)
    if first not in known or last not in known:
        raise HarmonyError(
            f"There are no bars {first} to {last}; the tune has bars {known.start} to"
            f" {known.stop - 1}."
        )
    where = f"bar {first}" if first == last else f"bars {first} to {last}"
    return meters.bar_start(first), meters.bar_start(last) + meters.bar_length(last), where


def _chosen(found: Harmonisations, number: int, count: int) -> Harmonisation:
    if not 1 <= count <= MOST:
        raise HarmonyError(f"{count} alternatives are not offered; 1 to {MOST} are.")
    return found.alternative(number)


def _letter(number: int) -> str:
    return "ABCDEFGHIJKL"[number - 1] if number <= 12 else str(number)


def _idiom_of(one: Harmonisation) -> Idiom:
    if has_change(one.idiom):
        raise HarmonyError(
            f"{one.name!r} changes its idiom, so it is not searched again as a whole; fix the bars"
            " worth keeping and harmonise again."
        )
    return load_idiom(one.idiom_text)


class _Ground(NamedTuple):
    """What an alternative is searched again on: its chain, its pedal or figure, its idea."""

    chain: Chain
    strand: Strand | None
    idea: Idea
    regions: Regions | None

    def answer(self, path: Sequence[int], where: Sequence[int], name: str, sentence: str) -> Found:
        """Give a way found on it, with the key regions it was found in."""
        regions = None if self.regions is None else tuple(where)
        return Found(self.chain, tuple(path), name, sentence, self.idea, self.strand, regions)


def _ground(found: Harmonisations, one: Harmonisation, fixed: Sequence[str | Fixed]) -> _Ground:
    """Lay again what an alternative was found on, its own chords among those there are."""
    idiom = _idiom_of(one)
    melody = in_key(found.melody, harmonic_key(found.melody.key, idiom))
    held = (*found.fixed, *read_fixed(fixed, found.melody))
    stood = tuple(
        Fixed(slot.onset, slot.chord, slot.figure)
        for slot in one.progression
        if slot.chord is not None
    )
    spans = make_room(one.spans or found.spans, (*held, *stood))
    vocabulary = with_fixed(build_vocabulary(idiom, melody.key), (*held, *stood))
    chain = build_chain(melody, vocabulary, spans, found.weights)
    chain = hold(chain, held, melody.key, stand_on(found.given))
    idea = next((known for known in all_ideas(idiom.name) if known.name == one.asked), PLAIN)
    laid = find_strand(chain, idiom, one.strand) if one.strand else None
    chain, strand = (chain, None) if laid is None else laid
    return _Ground(chain, strand, idea, chain.weigh_regions())


def _weigh(chain: Chain, idea: Idea) -> tuple[FloatArray, list[FloatArray]]:
    wish, moves = idea.wish(chain)
    nodes = chain.total_nodes() + chain.weights["idea"] * wish
    steps = chain.total_steps()
    if moves is not None:
        steps = add_to_steps(steps, chain.weights["idea"] * moves)
    return nodes, steps


def _chords_of(chain: Chain, one: Harmonisation) -> list[Chord | None]:
    return [chord_at(one, span.onset) for span in chain.spans]


def _same_roots(chain: Chain, one: Harmonisation) -> BoolArray:
    """Where a chord has the root of the alternative at its place, (spans, chords)."""
    tonic = chain.vocabulary.key.tonic.pitch_class
    roots = [-1 if c is None else (c.root.pitch_class - tonic) % 12 for c in _chords_of(chain, one)]
    same: BoolArray = chain.vocabulary.roots[None, :] == np.array(roots)[:, None]
    return same


def _same_chords(chain: Chain, one: Harmonisation) -> BoolArray:
    """Where a chord is the alternative's own: root, quality and bass, (spans, chords)."""
    entries, tonic = chain.vocabulary.entries, chain.vocabulary.key.tonic.pitch_class
    same = _same_roots(chain, one)
    for place, chord in enumerate(_chords_of(chain, one)):
        if chord is None:
            continue
        exact = np.array([is_entry(entry, chord, tonic) for entry in entries])
        alike = np.array([entry.quality == chord.quality.name for entry in entries])
        same[place] = exact if exact.any() else same[place] & alike
    return same


def _share(other: BoolArray, path: Sequence[int], units: Sequence[int]) -> str:
    apart = sum(u for u, row, chord in zip(units, other, path, strict=True) if row[chord])
    return f"{round(100 * float(Fraction(apart, sum(units))))}%"


def _answer(found: Harmonisations, answers: Sequence[Found], words: str) -> Harmonisations:
    if not answers:
        raise NoSolutionError(
            f"{words}; allow more chords, split a stretch or choose another idiom.", rule="variety"
        )
    return replace(found, alternatives=tuple(to_harmonisation(one) for one in answers))
