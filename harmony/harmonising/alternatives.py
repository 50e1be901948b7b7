"""From one chain to several alternatives: one search an idea, each unlike those before."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from harmony.chords.progression import Progression, Slot
from harmony.errors import NoSolutionError
from harmony.harmonising.chain import Chain, build_chain, find_best, find_way
from harmony.harmonising.costs import same_chord
from harmony.harmonising.fixing import Fixed, hold, make_room, with_fixed
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.ideas import Idea, ideas_for, importance, openness, share_followed
from harmony.harmonising.idiom import Idiom
from harmony.harmonising.melody import Melody, in_key
from harmony.harmonising.repetition import echo
from harmony.harmonising.setting import final_spans
from harmony.harmonising.spans import Span, is_hymn_like
from harmony.harmonising.spelling import name_near, read_regions, spell_entry
from harmony.harmonising.strands import (
    FREE,
    Strand,
    hold_figure,
    hold_pedal,
    plan_figures,
    plan_pedals,
)
from harmony.harmonising.vocabulary import Entry, build_vocabulary, harmonic_key, scale_of
from harmony.pitch.key import Key
from harmony.pitch.spelling import PitchName

FloatArray = NDArray[np.float64]

Try = tuple[Chain, Strand | None, Idea]

#: At least so many of the roots, by time, differ between any two alternatives.
LEAST_DIFFERENCE = 0.16
WANTED_DIFFERENCE = 0.3
_FIRST_VARIETY = 0.7
_TRIES = 6
_MORE = 0.04  # so much more of the tune follows an idea than in the plain way, at least


@dataclass(frozen=True, slots=True)
class Found:
    """A way through a chain and what it is about.

    ``regions`` has the key region of every span where it was searched for, as places
    in the chain's regions.
    """

    chain: Chain
    path: tuple[int, ...]
    name: str
    sentence: str
    strand: Strand | None = None
    regions: tuple[int, ...] | None = None

    @property
    def roots(self) -> NDArray[np.intp]:
        """The root of every span above C."""
        tonic = self.chain.vocabulary.key.tonic.pitch_class
        return (self.chain.vocabulary.roots[list(self.path)] + tonic) % 12


def difference(one: Found, other: Found) -> float:
    """The share of the melody's length under which two alternatives have different roots."""
    lengths = np.array([float(span.duration) for span in one.chain.spans])
    return float((lengths * (one.roots != other.roots)).sum() / lengths.sum())


def find_alternatives(
    melody: Melody,
    idiom: Idiom,
    spans: Sequence[Span],
    count: int,
    fixed: Sequence[Fixed] = (),
    before: Sequence[Found] = (),
    weights: Mapping[str, float] | None = None,
    adapt: Callable[[Chain], Chain] | None = None,
) -> list[Found]:
    """Find ``count`` harmonisations in an idiom, the plain one first.

    Each is the exact best for its idea among those at least LEAST_DIFFERENCE unlike
    every earlier one (``before`` included) as far as the idiom allows that. ``adapt``
    changes the chain before it is searched (an inner tune, a bass that is given).
    """
    melody = in_key(melody, harmonic_key(melody.key, idiom))
    spans = make_room(spans, fixed)
    vocabulary = with_fixed(build_vocabulary(idiom, melody.key), fixed)
    chain = build_chain(melody, vocabulary, spans, weights)
    hold(chain, fixed, melody.key)
    if adapt is not None:
        chain = adapt(chain)
    found: list[Found] = []
    tries = list_tries(chain, idiom, count + 5)
    spare: list[Found] = []
    totals: dict[int, _Totals] = {}
    for one, strand, idea in tries:
        if len(found) == count:
            break
        answer = _search(one, idea, strand, [*before, *found], totals)
        if answer is None:
            continue
        unlike = min((difference(answer, e) for e in found), default=1.0)
        (found if unlike >= LEAST_DIFFERENCE else spare).append(answer)
    if not found and not spare:
        raise _no_way(chain)
    spare.sort(key=lambda answer: -min((difference(answer, e) for e in found), default=1.0))
    return found + spare[: count - len(found)]


def list_tries(chain: Chain, idiom: Idiom, count: int) -> list[Try]:
    """What is searched in turn: every strand of the idiom, then ideas, on their chains.

    Raises
    ------
    NoSolutionError
        Where no strand of the idiom can be laid.
    """
    strands = lay_strands(chain, idiom)
    ideas = ideas_for(idiom.name, count)
    if not strands:
        return [(chain, None, idea) for idea in ideas]
    tries: list[Try] = [(one, strand, ideas[0]) for one, strand in strands if one is not None]
    if not tries:
        raise NoSolutionError(
            f"No figure of the idiom {idiom.name!r} can stand under this tune with the chords"
            " fixed; take one back.",
            rule="ostinato",
        )
    if idiom.engine == "ostinato":
        tries = _by_cost(tries)
    return tries + [(tries[0][0], tries[0][1], idea) for idea in ideas[1:]]


def name_idea(idea: Idea, strand: Strand | None) -> tuple[str, str]:
    """What an alternative is called and the sentence about it."""
    if strand is None:
        return idea.name, idea.sentence
    if idea.name == "plain reference":
        return strand.name, strand.sentence
    return f"{strand.name}, {idea.name}", f"{strand.sentence}; {idea.sentence}"


def _by_cost(
    tries: list[Try],
) -> list[Try]:
    return sorted(tries, key=lambda t: find_best(t[0].total_nodes(), t[0].total_steps())[1])


def lay_strands(chain: Chain, idiom: Idiom) -> list[tuple[Chain | None, Strand]]:
    """Every pedal or figure of an idiom with the chain it is laid into.

    None for the chain where nothing can stand on the strand; empty for other idioms.
    """
    return [
        _stranded(chain, strand, idiom) for strand in _strands(idiom, chain.melody, chain.spans)
    ]


def _strands(idiom: Idiom, melody: Melody, spans: Sequence[Span]) -> tuple[Strand, ...]:
    if idiom.engine == "pedal":
        return plan_pedals(melody, spans)
    if idiom.engine == "ostinato":
        return plan_figures(
            idiom.table["figures"],
            len(spans),
            final_spans(melody, spans)[-1],
            scale_of(melody.key),
            is_minor=melody.key.is_minor,
        )
    return ()


def _stranded(chain: Chain, strand: Strand, idiom: Idiom) -> tuple[Chain | None, Strand]:
    """The chain with a strand laid in, None where nothing can stand on it."""
    laid = replace(chain, nodes=dict(chain.nodes), allowed=chain.allowed.copy())
    laid.nodes["key_distance"] = laid.nodes["key_distance"].copy()
    if idiom.engine == "pedal":
        hold_pedal(laid, strand)
    else:
        hold_figure(laid, strand)
    return (laid if laid.allowed.any(axis=1).all() else None), strand


class _Totals(NamedTuple):
    """A chain's weighted costs, kept from one idea to the next, and the plain way through."""

    nodes: FloatArray
    steps: list[FloatArray]
    plain: tuple[int, ...]


def _total(chain: Chain) -> _Totals:
    nodes, steps = chain.total_nodes(), chain.total_steps()
    path, _, _ = find_way(chain, nodes, steps)
    return _Totals(nodes, steps, tuple(path))


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
    heard = (importance(chain) * openness(chain))[:, None]
    if id(chain) not in totals:
        totals[id(chain)] = _total(chain)
    plain = totals[id(chain)]
    wished = chain.weights["idea"] * wish * openness(chain)[:, None]
    name, sentence = name_idea(idea, strand)
    variety = _FIRST_VARIETY if earlier else 0.0
    strength = 1.0
    tonic = chain.vocabulary.key.tonic.pitch_class
    same = [
        (chain.vocabulary.roots[None, :] + tonic) % 12 == one.roots[:, None]
        for one in earlier
        if len(one.roots) == len(chain.spans)
    ]
    lean = np.ones(len(same))
    first = [one.path for one in earlier[:1] if one.chain is chain and one.strand == strand]
    shares = [share_followed(chain, wish, moves, way) for way in (plain.plain, *first)]
    usual = max((share for share in shares if share is not None), default=None)
    answer = None
    repeats = not is_hymn_like(chain.melody)
    for _ in range(_TRIES):
        taken = sum((w * s for w, s in zip(lean, same, strict=True)), np.zeros_like(wished))
        nodes = plain.nodes + strength * wished + variety * heard * taken
        steps = plain.steps
        if moves is not None:
            steps = [table + strength * chain.weights["idea"] * moves for table in steps]
        path, where, value = find_way(chain, nodes, steps)
        if not np.isfinite(value):
            return None
        if repeats:
            # What repeats in the tune takes its model's harmony of this very way.
            repeated = echo(chain, path)
            if repeated is not None:
                path, where, value = find_way(chain, nodes + repeated, steps)
        found = Found(chain, tuple(path), name, sentence, strand, where)
        follows = share_followed(chain, wish, moves, path)
        is_true = usual is None or follows is None or follows > min(usual + _MORE, 0.99)
        if is_true:
            answer = found
        else:
            strength *= 1.7
        if not same:
            if is_true:
                break
            continue
        apart = [difference(found, one) for one in earlier if len(one.roots) == len(chain.spans)]
        if min(apart) >= LEAST_DIFFERENCE and sum(apart) / len(apart) >= WANTED_DIFFERENCE:
            if is_true:
                break
        else:
            lean *= [1.6 if gap < WANTED_DIFFERENCE else 1.1 for gap in apart]
    return answer


def _no_way(chain: Chain) -> NoSolutionError:
    place = int(np.argmin(chain.allowed.any(axis=1)))
    bar, beat = chain.melody.theme.meters.locate(chain.spans[place].onset)
    where = f"bar {bar} beat {float(beat):g}"
    return NoSolutionError(
        f"No chord of the idiom {chain.vocabulary.idiom.name!r} fits the tune in {where}; split the"
        " stretch there or choose another idiom.",
        rule="melody_fit", where=where,
    )  # fmt: skip


def to_harmonisation(found: Found, *, join_same: bool = True) -> Harmonisation:
    """Spell a way through the chain as chords in their keys; equal neighbours are joined."""
    chain, vocabulary = found.chain, found.chain.vocabulary
    key = vocabulary.key
    entries = [vocabulary.entries[choice] for choice in found.path]
    tonic = key.tonic.pitch_class
    if chain.regions is not None and found.regions is not None:
        regions = [chain.regions.keys[region] for region in found.regions]
    else:
        regions = read_regions(
            [(e.root + tonic) % 12 for e in entries],
            [[(e.root + t + tonic) % 12 for t in e.tones] for e in entries],
            key,
        )
    slots: list[Slot] = []
    terms: list[dict[str, float]] = []
    alike = same_chord(vocabulary)
    for place, (span, entry, region) in enumerate(zip(chain.spans, entries, regions, strict=True)):
        costs = _terms_at(found, place)
        pedal = None
        note = found.strand.notes[place] if found.strand is not None else FREE
        if vocabulary.idiom.engine == "pedal" and note != FREE:
            pedal = _pedal_name(note, key)
        before = found.path[place - 1] if place else -1
        if (
            place and join_same and alike[before, found.path[place]]
            and entries[place - 1].bass == entry.bass and slots[-1].key == region
            and slots[-1].pedal == pedal
        ):  # fmt: skip
            slots[-1] = replace(slots[-1], duration=slots[-1].duration + span.duration)
            for name, value in costs.items():
                terms[-1][name] += value
            continue
        tune = tuple(
            dict.fromkeys(one.note.pitch.name for one in chain.heard[place] if one.note.pitch)
        )
        figures = str(vocabulary.idiom.table.get("figures_as", "numerals"))
        chord = spell_entry(_moved(entry, key, region), region, tune, figures)
        bar, beat = chain.melody.theme.meters.locate(span.onset)
        above = found.strand is not None and found.strand.is_above
        slots.append(Slot(bar, beat, span.onset, span.duration, region, chord, pedal=pedal,
                          pedal_above=above and pedal is not None))  # fmt: skip
        terms.append(costs)
    slots[-1] = _name_close(slots[-1])
    return Harmonisation(
        chain.melody.theme,
        Progression(tuple(slots), chain.melody.theme.meters),
        vocabulary.idiom.name,
        found.name,
        found.sentence,
        tuple(terms),
        spans=chain.spans,
        own_chords=vocabulary.idiom.own_chords,
    )


def _name_close(slot: Slot) -> Slot:
    """Call a major tonic that closes in minor I, not the dominant of a chord that never comes."""
    chord, key = slot.chord, slot.key
    if chord is None or key is None or chord.figure != "V/iv" or chord.root != key.tonic:
        return slot
    return replace(slot, chord=replace(chord, figure="I"))


def _moved(entry: Entry, key: Key, region: Key) -> Entry:
    shift = (key.tonic.pitch_class - region.tonic.pitch_class) % 12
    return replace(entry, root=(entry.root + shift) % 12, bass=(entry.bass + shift) % 12)


def _pedal_name(note: int, key: Key) -> PitchName:
    return name_near((key.tonic.pitch_class + note) % 12, key)


def _terms_at(found: Found, place: int) -> dict[str, float]:
    """The weighted costs of one span on a way, without what the idea adds."""
    chain, path = found.chain, found.path
    costs = {
        name: chain.weights[name] * float(table[place, path[place]])
        for name, table in chain.nodes.items()
    }
    for name, rows in chain.steps.items():
        step = float(rows[place - 1][path[place - 1], path[place]]) if place else 0.0
        costs[name] = costs.get(name, 0.0) + chain.weights[name] * step
    if chain.regions is not None and found.regions is not None:
        leaning = chain.regions.cost_at(path, found.regions, place)
        costs["key_distance"] += chain.weights["key_distance"] * leaning
    return costs
