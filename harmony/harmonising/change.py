"""One alternative in several idioms: they change at a bar, the joint searched with the rest."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising.alternatives import is_unlike
from harmony.harmonising.chain import Chain, build_chain, find_best
from harmony.harmonising.fixing import Fixed, hold, make_room, with_fixed
from harmony.harmonising.found import Found, to_harmonisation
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.ideas import importance
from harmony.harmonising.idiom import Idiom, load_idiom
from harmony.harmonising.melody import Melody, in_key
from harmony.harmonising.pedals import tell_pedal
from harmony.harmonising.spans import Span, plan_spans, split
from harmony.harmonising.strands import FREE, Strand
from harmony.harmonising.tries import Try, list_tries, name_idea
from harmony.harmonising.vocabulary import build_vocabulary, harmonic_key
from harmony.harmonising.wishes import ask_nothing

FloatArray = NDArray[np.float64]

_CHANGE = re.compile(r"\s*,?\s*\bfrom bar\s+(-?\d+)\s+")
_STRANGE = 0.6  # two chords on either side of the joint without a common note
_CONSECUTIVE = 3.0
_BASS = (0.5, 0.0, 0.0, 0.4, 0.4, 0.15, 1.0)
_TRIES = 6


@dataclass(frozen=True, slots=True)
class Stretch:
    """An idiom from a time in quarters on; ``bar`` is the bar it begins with."""

    idiom: Idiom
    bar: int
    start: Fraction


@dataclass(frozen=True, slots=True)
class JoinedWay:
    """A way through every stretch, and what each joint costs."""

    founds: tuple[Found, ...]
    joints: tuple[float, ...]


def has_change(text: str) -> bool:
    """True where a text names a change of idiom: ``modal, from bar 9 quartal``."""
    return _CHANGE.search(text) is not None


def idioms_named(text: str) -> tuple[str, ...]:
    """The idioms that a text names, as they are written and in order.

    >>> idioms_named("modal, from bar 9 quartal")
    ('modal', 'quartal')
    """
    first, *rest = _CHANGE.split(text)
    return (first, *rest[1::2])


def read_changes(text: str, melody: Melody) -> tuple[Stretch, ...]:
    """Read ``IDIOM, from bar N IDIOM``, as many changes as wanted.

    Raises
    ------
    HarmonyError
        For an idiom or a bar there is not, or bars out of order.
    """
    first, *rest = _CHANGE.split(text)
    meters = melody.theme.meters
    bars = meters.bars_through(melody.end)
    begin = melody.notes[0].onset
    stretches = [Stretch(load_idiom(first), max(meters.locate(begin)[0], bars.start), begin)]
    for number, name in zip(rest[::2], rest[1::2], strict=True):
        bar = int(number)
        earliest = stretches[-1].bar + 1
        if not earliest <= bar < bars.stop:
            where = f"it can at bars {earliest} to {bars.stop - 1}"
            if earliest >= bars.stop:
                where = "no bar is left for it to change at"
            raise HarmonyError(
                f"The idiom cannot change at bar {bar}; {where}.", where=f"bar {bar}"
            )
        stretches.append(Stretch(load_idiom(name), bar, meters.bar_start(bar)))
    return tuple(stretches)


def find_changing(
    melody: Melody,
    stretches: Sequence[Stretch],
    spans: Sequence[Span],
    count: int,
    fixed: Sequence[Fixed] = (),
    weights: Mapping[str, float] | None = None,
    *,
    is_planned: bool = True,
) -> list[Harmonisation]:
    """Find ``count`` harmonisations that change their idiom where it is said.

    Chords on both sides of a joint are found together: the bass moves well across
    it, and a note held in common is worth having. ``is_planned`` says that the
    harmonic rhythm is ours, so that a stretch of planing may take its own.
    """
    spans = _lay_spans(melody, stretches, spans, is_planned=is_planned)
    spans = make_room(spans, fixed)
    cuts = [
        next(n for n, span in enumerate(spans) if span.onset >= stretch.start)
        for stretch in stretches
    ]
    parts = [range(a, b) for a, b in zip(cuts, [*cuts[1:], len(spans)], strict=True)]
    options = [
        _list_part(melody, stretch.idiom, spans, part, fixed, weights, count)
        for stretch, part in zip(stretches, parts, strict=True)
    ]
    ways: list[JoinedWay] = []
    for number in range(count):
        tries = [found[number % len(found)] for found in options]
        ways.append(_search(tries, parts, ways))
    return [_join(way, stretches) for way in ways]


def _lay_spans(
    melody: Melody, stretches: Sequence[Stretch], spans: Sequence[Span], *, is_planned: bool
) -> tuple[Span, ...]:
    quick = plan_spans(melody, pace="beats") if is_planned else tuple(spans)
    laid: list[Span] = []
    ends = [*(stretch.start for stretch in stretches[1:]), melody.end]
    for stretch, end in zip(stretches, ends, strict=True):
        rhythm = quick if stretch.idiom.engine == "parallel" else tuple(spans)
        rhythm = split(split(rhythm, stretch.start), end)
        laid += [span for span in rhythm if stretch.start <= span.onset < end]
    return tuple(laid)


def _list_part(
    melody: Melody,
    idiom: Idiom,
    spans: Sequence[Span],
    part: range,
    fixed: Sequence[Fixed],
    weights: Mapping[str, float] | None,
    count: int,
) -> list[Try]:
    """What is searched in one stretch, each on a chain over the whole tune."""
    heard = in_key(melody, harmonic_key(melody.key, idiom))
    start, end = spans[part.start].onset, spans[part.stop - 1].end
    held = [one for one in fixed if start <= one.onset < end]
    vocabulary = with_fixed(build_vocabulary(idiom, heard.key), held)
    chain = hold(build_chain(heard, vocabulary, spans, weights, part), held, heard.key)
    tries = list_tries(chain, idiom, count)
    for laid, strand, _ in tries:
        if strand is not None and not strand.is_figure:
            _leave_well(laid, strand, part)
    # A stretch binds nothing, so what an idea would only bind is not said there.
    tries = [one for one in tries if one[2].course is None or one[2].wish is not ask_nothing]
    if idiom.engine == "parallel":
        tries = [one for one in tries if one[2].name != "plain reference"] or tries
    return tries


def _leave_well(chain: Chain, strand: Strand, part: range) -> None:
    """A pedal belongs to the chords it begins and ends with in its stretch, where any has it."""
    for line in strand.lines:
        for place in (part.start, part.stop - 1):
            note = line.notes[place]
            belongs = chain.vocabulary.members[:, note]
            if note != FREE and (chain.allowed[place] & belongs).any():
                chain.allowed[place] &= belongs


def _search(
    tries: Sequence[Try], parts: Sequence[range], earlier: Sequence[JoinedWay]
) -> JoinedWay:
    nodes: list[FloatArray] = []
    steps: list[FloatArray] = []
    heard: list[FloatArray] = []
    above: list[NDArray[np.intp]] = []
    for number, ((chain, _, idea), part) in enumerate(zip(tries, parts, strict=True)):
        wish, moves = idea.wish(chain)
        share = chain.weights["idea"]
        own = chain.total_steps()
        total = chain.total_nodes() + share * wish
        loud = importance(chain)
        tonic = chain.vocabulary.key.tonic.pitch_class
        for place in part:
            if place == part.start and number:
                steps.append(cross(tries[number - 1][0], chain, place))
            elif place > part.start:
                steps.append(own[place - 1] + (0.0 if moves is None else share * moves))
            nodes.append(total[place])
            heard.append(loud[place])
            above.append((chain.vocabulary.roots + tonic) % 12)
    rows = [
        np.concatenate([found.roots for found in way.founds]) for way in earlier
    ]  # fmt: skip
    lengths = np.array([float(span.duration) for span in tries[0][0].spans])
    variety = 0.7 if rows else 0.0
    for _ in range(_TRIES):
        pushed = [
            node + variety * loud * sum((names == row[place]).astype(float) for row in rows)
            for place, (node, loud, names) in enumerate(zip(nodes, heard, above, strict=True))
        ]
        path, value = find_best(pushed, steps)
        if not np.isfinite(value):
            raise NoSolutionError(
                "No chords of these idioms fit the tune with the chords fixed; take one back or"
                " move the change.",
                rule="melody_fit",
            )
        roots = np.array([names[choice] for names, choice in zip(above, path, strict=True)])
        apart = [float((lengths * (roots != row)).sum() / lengths.sum()) for row in rows]
        if is_unlike(apart):
            break
        variety *= 1.6
    founds = tuple(
        _found(one, part, path[part.start : part.stop])
        for one, part in zip(tries, parts, strict=True)
    )
    starts = [part.start for part in parts[1:]]
    return JoinedWay(founds, tuple(float(steps[n - 1][path[n - 1], path[n]]) for n in starts))


def _found(one: Try, part: range, path: Sequence[int]) -> Found:
    """A way through one stretch, its pedal cut to it and told with its bars."""
    chain, strand, idea = one
    name, sentence = name_idea(idea, strand)
    cut = _cut(chain, part)
    if strand is not None:
        strand = strand.cut(part)
        if not strand.is_figure:
            sentence = tell_pedal(chain.melody, cut.spans, strand.lines, is_whole=False)
    return Found(cut, tuple(path), name, sentence, idea, strand)


def cross(before: Chain, after: Chain, place: int) -> FloatArray:
    """What each step across a joint costs, from chords of one idiom to those of the next."""
    one, two = before.vocabulary, after.vocabulary
    shift = (two.key.tonic.pitch_class - one.key.tonic.pitch_class) % 12
    low, high = one.basses[:, None], (two.basses[None, :] + shift) % 12
    gap = (high - low) % 12
    cost: FloatArray = np.array(_BASS)[np.minimum(gap, 12 - gap)]
    common = one.members.astype(int) @ np.roll(two.members, shift, axis=1).T.astype(int)
    cost = cost + _STRANGE * (common == 0)
    left, right = before.heard[place - 1], after.heard[place]
    if left and right:
        tune = left[-1].pitch_class
        then = (right[0].pitch_class + shift) % 12
        for interval in (0, 7):
            here, there = (tune - low) % 12 == interval, (then - high) % 12 == interval
            cost = cost + _CONSECUTIVE * after.weights["outer_voices"] * (
                here & there & (low != high) & (tune != then)
            )
    return cost


def _cut(chain: Chain, part: range) -> Chain:
    """The chain of one stretch alone."""
    inside = slice(part.start, part.stop)
    return replace(
        chain,
        spans=chain.spans[inside],
        heard=chain.heard[inside],
        finals=tuple(final - part.start for final in chain.finals if final in part),
        nodes={name: table[inside] for name, table in chain.nodes.items()},
        steps={name: rows[part.start : part.stop - 1] for name, rows in chain.steps.items()},
        allowed=chain.allowed[inside],
        likely=chain.likely[inside],
    )


def _join(way: JoinedWay, stretches: Sequence[Stretch]) -> Harmonisation:
    made = [to_harmonisation(found) for found in way.founds]
    terms = [[dict(one) for one in part.slot_terms] for part in made]
    for part, step in zip(terms[1:], way.joints, strict=True):
        part[0]["syntax"] = part[0].get("syntax", 0.0) + step
    names = [part.idiom for part in made]
    where = [f", from bar {stretch.bar} " for stretch in stretches[1:]]
    return Harmonisation(
        made[0].theme,
        Progression(
            tuple(slot for part in made for slot in part.progression),
            made[0].progression.meters,
        ),
        "".join(word for pair in zip(names, [*where, ""], strict=True) for word in pair),
        ", then ".join(part.name for part in made),
        "; ".join(
            part.idea if number == 0 else f"from bar {stretches[number].bar} {part.idea}"
            for number, part in enumerate(made)
        ),
        tuple(one for part in terms for one in part),
        spans=tuple(span for found in way.founds for span in found.chain.spans),
        held=tuple(note for part in made for note in part.held),
    )
