"""What is searched in turn for alternatives: the strands of an idiom, then its ideas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from harmony.errors import NoSolutionError
from harmony.harmonising.binding import Only
from harmony.harmonising.chain import Chain, find_best
from harmony.harmonising.grounds import hold_figure, order_figures, plan_figures
from harmony.harmonising.ideas import ANOTHER, Idea, all_ideas
from harmony.harmonising.idiom import Idiom
from harmony.harmonising.pedals import plan_pedals
from harmony.harmonising.spans import is_hymn_like
from harmony.harmonising.strands import Strand, hold_pedal
from harmony.harmonising.vocabulary import FIFTHS, FREE, scale_of

Try = tuple[Chain, Strand | None, Idea]


def list_tries(chain: Chain, idiom: Idiom, count: int) -> list[Try]:
    """What is searched in turn: every strand of the idiom, then ideas, on their chains.

    Raises
    ------
    NoSolutionError
        Where no strand of the idiom can be laid.
    """
    ideas = all_ideas(idiom.name, is_hymn_like=is_hymn_like(chain.melody))
    whole = chain
    if idiom.engine == "quartal":
        chain = _keep_stacks(whole, are_fifths=False)
    strands = [lay_strand(chain, one) for one in _strands(idiom, chain)]
    tries: list[Try] = [(one, strand, ideas[0]) for one, strand in strands if one is not None]
    if not strands:
        for idea in ideas:
            if idea.plan is None:
                turned = isinstance(idea.course, Only) and idea.course.shapes == (FIFTHS,)
                own = _keep_stacks(whole, are_fifths=True) if turned else chain
                tries.append((own, None, idea))
                continue
            strand = idea.plan(chain.melody, chain.spans)
            if strand is not None and (laid := lay_strand(chain, strand)[0]) is not None:
                tries.append((laid, strand, ideas[0]))
        return tries[:count] + [(chain, None, ANOTHER)] * (count - len(tries))
    if not tries:
        raise NoSolutionError(
            f"No figure of the idiom {idiom.name!r} can stand under this tune with the chords"
            " fixed; take one back.",
            rule="ostinato",
        )
    first = tries[0]
    rest: list[Try] = []
    if idiom.engine == "ostinato":
        tries, rest = _order_figures(tries)
        first = (tries or rest)[0]
    return [*tries, *((first[0], first[1], idea) for idea in ideas[1:]), *rest]


def _keep_stacks(chain: Chain, *, are_fifths: bool) -> Chain:
    """The chain with stacks of fifths alone, or with none; a chord fixed by the composer stays."""
    shapes = chain.vocabulary.shapes
    kept = chain.allowed & (((shapes == FIFTHS) == are_fifths) | (shapes == FREE))
    left = kept.any(axis=1)[:, None]
    return replace(chain, allowed=np.where(left, kept, chain.allowed))


def name_idea(idea: Idea, strand: Strand | None) -> tuple[str, str]:
    """What an alternative is called and the sentence about it."""
    if strand is None:
        return idea.name, idea.sentence
    if idea.name == "plain reference":
        return strand.name, strand.sentence
    return f"{strand.name}, {idea.name}", f"{strand.sentence}; {idea.sentence}"


def _order_figures(tries: Sequence[Try]) -> tuple[list[Try], list[Try]]:
    """Figures in their order, and those to fall back on; none under which no way leads."""
    ranked: list[tuple[float, Strand]] = []
    by_name: dict[str, Try] = {}
    for one in tries:
        chain, strand, _ = one
        assert strand is not None
        cost = find_best(chain.total_nodes(), chain.total_steps())[1]
        if np.isfinite(cost):
            ranked.append((cost, strand))
            by_name[strand.name] = one
    good, rest = order_figures(ranked)
    return [by_name[one.name] for one in good], [by_name[one.name] for one in rest]


def find_strand(chain: Chain, idiom: Idiom, name: str) -> tuple[Chain, Strand] | None:
    """Lay the pedal or figure of a name again: an idiom's own, or one that an idea holds.

    None where there is none of that name, or nothing can stand on it.
    """
    plans = [idea.plan for idea in all_ideas(idiom.name) if idea.plan is not None]
    held = [plan(chain.melody, chain.spans) for plan in plans]
    for strand in (*_strands(idiom, chain), *held):
        if strand is not None and strand.name == name:
            laid, _ = lay_strand(chain, strand)
            return None if laid is None else (laid, strand)
    return None


def _strands(idiom: Idiom, chain: Chain) -> tuple[Strand, ...]:
    melody, spans = chain.melody, chain.spans
    if idiom.engine == "pedal":
        return plan_pedals(melody, spans)
    if idiom.engine == "ostinato":
        figures = idiom.table["figures"]
        return plan_figures(figures, melody, spans, chain.finals[-1], scale_of(melody.key))
    return ()


def lay_strand(chain: Chain, strand: Strand) -> tuple[Chain | None, Strand]:
    """The chain with a strand laid in, None where nothing can stand on it."""
    laid = replace(
        chain, nodes=dict(chain.nodes), steps=dict(chain.steps), allowed=chain.allowed.copy()
    )
    laid.nodes["key_distance"] = laid.nodes["key_distance"].copy()
    if strand.is_figure:
        hold_figure(laid, strand)
    else:
        hold_pedal(laid, strand)
    return (laid if laid.allowed.any(axis=1).all() else None), strand
