"""A chain made to stand on what is given: on a bass, around an inner tune, between two lines."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising import costs
from harmony.harmonising.chain import TOO_FOREIGN, Chain
from harmony.harmonising.contexts import Place, Setting
from harmony.harmonising.fitting import foreign_costs
from harmony.harmonising.likelihood import nearest_learnt
from harmony.harmonising.lines import BASS, BOTH, INNER, Given
from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span
from harmony.harmonising.syntax import load_syntax
from harmony.harmonising.vocabulary import Vocabulary
from harmony.pitch.note import Note
from harmony.pitch.theme import Theme

FloatArray = NDArray[np.float64]

#: Weights where chords and steps are weighed by how usual they are, whatever the tune.
BY_USE = {"likelihood": 0.5, "syntax": 1.0, "cadence": 1.0}
_WEAK_STEP = 10  # the learnt kind of step into a weak beat, nothing held
_DOUBLED_LEADING_TONE = 1.5


def stand_on(given: Given) -> Callable[[Chain], Chain] | None:
    """What changes the chain of a tune into that of what is given; None for a melody."""
    if given.kind == BASS:
        return bear_chords
    if given.kind == INNER:
        return hear_inside
    if given.kind == BOTH and given.bass is not None:
        bass = given.bass
        return lambda chain: lay_between(chain, bass)
    return None


def bear_chords(chain: Chain) -> Chain:
    """The chain of a tune that is the bass: each chord stands on the note at its beginning.

    Nothing is asked of an upper voice. In common practice chords and their steps are
    weighed by how usual they are in the chorales whatever the tune.
    """
    nodes, steps = dict(chain.nodes), dict(chain.steps)
    weights = {**chain.weights, "outer_voices": 0.0, "bass_line": 0.0}
    vocabulary, count = chain.vocabulary, len(chain.spans)
    nodes["melody_fit"] = costs.foreign_notes(vocabulary, foreign_costs(chain.heard))
    if vocabulary.idiom.engine == "learnt":
        nodes["likelihood"], steps["syntax"] = weigh_by_use(vocabulary, count)
        nodes["cadence"] = close_both_ends(vocabulary, count)
        steps["cadence"] = [np.zeros((len(vocabulary), len(vocabulary)))] * (count - 1)
        weights |= BY_USE
    allowed = chain.allowed.copy()
    for place, span in enumerate(chain.spans):
        note = bass_at(chain.melody.theme, span.onset)
        if note is not None:
            _stand(chain, allowed, place, note, np.ones(len(vocabulary), bool))
    return replace(chain, nodes=nodes, steps=steps, weights=weights, allowed=allowed, regions=None)


def hear_inside(chain: Chain) -> Chain:
    """The chain of a tune that is an inner part."""
    nodes, steps = dict(chain.nodes), dict(chain.steps)
    weights = {**chain.weights, "outer_voices": 0.0}
    vocabulary = chain.vocabulary
    if vocabulary.idiom.engine == "learnt":
        nodes["likelihood"], steps["syntax"] = weigh_by_use(vocabulary, len(chain.spans))
        weights |= {**BY_USE, "melody_fit": 1.6}
    nodes["melody_fit"] = nodes["melody_fit"].copy()
    for place, inside in enumerate(chain.heard):
        if any(one.pitch_class == 11 for one in inside):
            nodes["melody_fit"][place] += _DOUBLED_LEADING_TONE * (vocabulary.basses == 11)
    return replace(chain, nodes=nodes, steps=steps, weights=weights)


def lay_between(chain: Chain, bass: Theme) -> Chain:
    """The chain of a tune whose bass is written: each chord stands on the note that sounds.

    Raises
    ------
    HarmonyError
        Where the bass rests under the tune, or no chord of the idiom stands on it.
    """
    allowed = chain.allowed.copy()
    for place, span in enumerate(chain.spans):
        note = bass_at(bass, span.onset)
        if note is None or note.pitch is None:
            where = chain.melody.theme.meters.say_place(span.onset)
            raise HarmonyError(
                f"The bass rests in {where} under the tune; a bass note is needed there.",
                where=where,
            )
        _stand(chain, allowed, place, note, chain.nodes["melody_fit"][place] < TOO_FOREIGN)
    return replace(chain, allowed=allowed)


def _stand(
    chain: Chain, allowed: NDArray[np.bool_], place: int, note: Note, fits: NDArray[np.bool_]
) -> None:
    """Allow in a span only chords on a bass note; what the close asks gives way to it."""
    assert note.pitch is not None
    tonic = chain.vocabulary.key.tonic.pitch_class
    stands = chain.vocabulary.basses == (note.pitch.pitch_class - tonic) % 12
    both = allowed[place] & stands
    allowed[place] = both if both.any() else stands & fits
    if not allowed[place].any():
        where = chain.melody.theme.meters.say_place(chain.spans[place].onset)
        under = "" if fits.all() else " under the tune"
        raise NoSolutionError(
            f"No chord of the idiom {chain.vocabulary.idiom.name!r} stands on the bass"
            f" {note.pitch.name}{under} in {where}; change a note, the key or the idiom.",
            rule="bass", where=where,
        )  # fmt: skip


def bass_at(bass: Theme, time: Fraction) -> Note | None:
    """The note of a bass that sounds at a time."""
    return next((n for n in bass.line.sounding if n.onset <= time < n.end), None)


def spans_on_bass(melody: Melody, bass: Theme) -> tuple[Span, ...]:
    """A stretch for each bass note that begins on a beat, the tune's first note to its end."""
    meters = melody.theme.meters
    start, end = melody.notes[0].onset, melody.end
    cuts = {start}
    for note in bass.line.sounding:
        if start < note.onset < end and meters.locate(note.onset)[1].denominator == 1:
            cuts.add(note.onset)
        if start < note.end < end and bass_at(bass, note.end) is None:
            cuts.add(note.end)
    ordered = [*sorted(cuts), end]
    return tuple(Span(a, b - a) for a, b in itertools.pairwise(ordered))


def close_both_ends(vocabulary: Vocabulary, count: int) -> FloatArray:
    """What chords over a given bass cost where it begins and where it ends, (spans, chords)."""
    cadence = np.zeros((count, len(vocabulary)))
    cadence[[0, -1]] = costs.close_costs(vocabulary, is_last=True)
    return cadence


def weigh_by_use(vocabulary: Vocabulary, count: int) -> tuple[FloatArray, list[FloatArray]]:
    """How unusual each chord is in the chorales whatever the tune, and each step, in nats.

    Shapes are (spans, chords), and (chords, chords) for each span after the first.
    """
    is_minor = vocabulary.key.is_minor
    syntax = load_syntax(is_minor=is_minor)
    silent = Place((), is_held=False, length=1, strength=0, to_end=9, from_start=3, final=12,
                   in_first_phrase=False, in_last_phrase=False)  # fmt: skip
    usual = syntax.place_scores(Setting((silent,), is_minor))[0].astype(float)
    step = syntax.steps[_WEAK_STEP].astype(float)
    proxy = nearest_learnt(vocabulary, syntax.chords)
    chords, move = (usual.max() - usual)[proxy], (step.max() - step)[np.ix_(proxy, proxy)]
    return np.tile(chords, (count, 1)), [move] * (count - 1)
