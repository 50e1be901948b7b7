"""Other givens: a bass, an inner tune, a tune with its bass."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising import costs
from harmony.harmonising.alternatives import find_alternatives
from harmony.harmonising.chain import Chain, find_best, nearest_learnt
from harmony.harmonising.contexts import Place, Setting
from harmony.harmonising.fixing import Fixed, read_fixed
from harmony.harmonising.found import Found, to_harmonisation
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.harmonising.idiom import load_idiom
from harmony.harmonising.melody import Melody, analyse, in_key
from harmony.harmonising.spans import Span, plan_spans
from harmony.harmonising.syntax import load_syntax
from harmony.harmonising.vocabulary import Vocabulary, build_vocabulary, harmonic_key
from harmony.pitch.key import Key
from harmony.pitch.note import Note
from harmony.pitch.theme import Theme

FloatArray = NDArray[np.float64]

_WEAK_STEP = 10  # the learnt kind of step into a weak beat, nothing held
_DOUBLED_LEADING_TONE = 1.5
_TOO_FOREIGN = 5.5  # a chord that costs the tune more does not fit it at all


def harmonise_bass(bass: Theme, *, key: Key | str | None = None) -> Harmonisation:
    """Harmonise a given bass in common practice, a chord to each note.

    Of all chords that stand on each note the likeliest sequence is taken, by the
    steps learnt from the chorales; nothing is asked of an upper voice.

    Raises
    ------
    HarmonyError
        Where no learnt chord stands on a note.
    """
    given = Key.from_text(key) if isinstance(key, str) else key
    idiom = load_idiom("common-practice")
    melody = analyse(bass, key=given)
    melody = in_key(melody, harmonic_key(melody.key, idiom))
    vocabulary = build_vocabulary(idiom, melody.key)
    tonic = melody.key.tonic.pitch_class
    spans = tuple(Span(note.onset, note.duration) for note in melody.notes)
    allowed = np.zeros((len(spans), len(vocabulary)), bool)
    for place, note in enumerate(melody.notes):
        assert note.pitch is not None
        allowed[place] = vocabulary.basses == (note.pitch.pitch_class - tonic) % 12
        if not allowed[place].any():
            bar, beat = bass.meters.locate(note.onset)
            raise HarmonyError(
                f"No chord of common practice in {melody.key} stands on the bass {note.pitch.name}"
                f" in bar {bar} beat {float(beat):g}; another key or idiom is accepted.",
                where=f"bar {bar} beat {float(beat):g}",
            )
    usual, step = _usual_in_chorales(vocabulary)
    count = len(spans)
    nodes = {
        "likelihood": np.tile(usual, (count, 1)),
        "cadence": np.zeros((count, len(vocabulary))),
    }
    nodes["cadence"][[0, -1]] = costs.close_costs(vocabulary, is_last=True)
    heard: tuple[tuple[()], ...] = ((),) * count
    chain = Chain(
        melody, vocabulary, spans, heard, (count - 1,), nodes,
        {"syntax": [step] * (count - 1)}, allowed,
        {**costs.usual_weights(idiom), "likelihood": 0.5, "syntax": 1.0, "cadence": 1.0},
        np.zeros((count, 12)),
    )  # fmt: skip
    path, _ = find_best(chain.total_nodes(), chain.total_steps())
    found = Found(chain, tuple(path), "on a given bass", "the likeliest chords on this bass")
    return to_harmonisation(found, join_same=False)


def harmonise_inner(
    tune: Theme,
    *,
    idiom: str = "common-practice",
    count: int = 3,
    key: Key | str | None = None,
    fixed: Iterable[str | Fixed] = (),
) -> Harmonisations:
    """Harmonise a tune that will lie inside the texture, in the alto or the tenor.

    What is learnt of the chorales' sopranos says nothing about an inner part, so
    common practice weighs chords by how usual they and their steps are; the tune
    need only fit. No consecutives are sought between tune and bass beforehand (the
    voicing sees to them), and a leading tone in the tune is not doubled by the bass.
    Voice the answer with :func:`harmony.harmonising.carrying.voice_under_melody` and
    ``voice="Tenor"``.

    Raises
    ------
    HarmonyError
        In one sentence, with the place, where something cannot be used.
    """
    chosen = load_idiom(idiom)
    if chosen.engine in ("quartal", "parallel"):
        raise HarmonyError(
            f"The idiom {idiom!r} hangs its chords from the tune, so the tune lies on top; another"
            " idiom is accepted for an inner tune."
        )
    melody = _analyse(tune, key)
    held = read_fixed(fixed, melody)
    spans = plan_spans(melody)
    found = find_alternatives(melody, chosen, spans, count, held, adapt=hear_inside)
    return Harmonisations(
        melody, spans, tuple(to_harmonisation(one) for one in found), held
    )  # fmt: skip


def hear_inside(chain: Chain) -> Chain:
    """The chain of a tune that is an inner part."""
    nodes, steps = dict(chain.nodes), dict(chain.steps)
    weights = {**chain.weights, "outer_voices": 0.0}
    vocabulary = chain.vocabulary
    if vocabulary.idiom.engine == "learnt":
        usual, step = _usual_in_chorales(vocabulary)
        nodes["likelihood"] = np.tile(usual, (len(chain.spans), 1))
        steps["syntax"] = [step] * (len(chain.spans) - 1)
        weights |= {"likelihood": 0.5, "syntax": 1.0, "cadence": 1.0, "melody_fit": 1.6}
    nodes["melody_fit"] = nodes["melody_fit"].copy()
    for place, inside in enumerate(chain.heard):
        if any(one.pitch_class == 11 for one in inside):
            nodes["melody_fit"][place] += _DOUBLED_LEADING_TONE * (vocabulary.basses == 11)
    return replace(chain, nodes=nodes, steps=steps, weights=weights)


def harmonise_two(
    tune: Theme,
    bass: Theme,
    *,
    idiom: str = "common-practice",
    count: int = 3,
    key: Key | str | None = None,
    fixed: Iterable[str | Fixed] = (),
) -> Harmonisations:
    """Harmonise a tune whose bass is written already.

    A chord may change wherever a bass note begins on a beat, and stands on the bass
    note that sounds there; shorter bass notes between are passed over.

    Raises
    ------
    HarmonyError
        Where the bass rests under the tune, where no chord of the idiom stands on a bass
        note, or for an idiom that makes its own bass.
    """
    chosen = load_idiom(idiom)
    if chosen.engine in ("quartal", "parallel", "pedal", "ostinato"):
        raise HarmonyError(
            f"The idiom {idiom!r} makes its own bass; common-practice, modal, romantic,"
            " third-relations, extended or own are accepted under two given lines."
        )
    melody = _analyse(tune, key)
    held = read_fixed(fixed, melody)
    spans = _spans_on_bass(melody, bass)

    def stand_on_bass(chain: Chain) -> Chain:
        allowed = chain.allowed.copy()
        tonic = chain.vocabulary.key.tonic.pitch_class
        for place, span in enumerate(chain.spans):
            note = _bass_at(bass, span.onset)
            bar, beat = tune.meters.locate(span.onset)
            where = f"bar {bar} beat {float(beat):g}"
            if note is None or note.pitch is None:
                raise HarmonyError(
                    f"The bass rests in {where} under the tune; a bass note is needed there.",
                    where=where,
                )
            # What the close asks of the bass gives way to the bass that is written.
            stands = chain.vocabulary.basses == (note.pitch.pitch_class - tonic) % 12
            both = allowed[place] & stands
            fits = stands & (chain.nodes["melody_fit"][place] < _TOO_FOREIGN)
            allowed[place] = both if both.any() else fits
            if not allowed[place].any():
                raise NoSolutionError(
                    f"No chord of the idiom {idiom!r} stands on the bass {note.pitch.name} under"
                    f" the tune in {where}; change a note, the key or the idiom.",
                    rule="bass", where=where,
                )  # fmt: skip
        return replace(chain, allowed=allowed)

    found = find_alternatives(melody, chosen, spans, count, held, adapt=stand_on_bass)
    return Harmonisations(melody, spans, tuple(to_harmonisation(one) for one in found), held)


def _analyse(tune: Theme, key: Key | str | None) -> Melody:
    return analyse(tune, key=Key.from_text(key) if isinstance(key, str) else key)


def _bass_at(bass: Theme, time: Fraction) -> Note | None:
    return next((n for n in bass.line.sounding if n.onset <= time < n.end), None)


def _spans_on_bass(melody: Melody, bass: Theme) -> tuple[Span, ...]:
    """A stretch for each bass note that begins on a beat, the tune's first note to its end."""
    meters = melody.theme.meters
    start, end = melody.notes[0].onset, melody.end
    cuts = {start}
    for note in bass.line.sounding:
        if start < note.onset < end and meters.locate(note.onset)[1].denominator == 1:
            cuts.add(note.onset)
        if start < note.end < end and _bass_at(bass, note.end) is None:
            cuts.add(note.end)
    ordered = [*sorted(cuts), end]
    return tuple(Span(a, b - a) for a, b in itertools.pairwise(ordered))


def _usual_in_chorales(vocabulary: Vocabulary) -> tuple[FloatArray, FloatArray]:
    """How unusual each chord is whatever the tune, (n,), and each step, (n, n), in nats."""
    is_minor = vocabulary.key.is_minor
    syntax = load_syntax(is_minor=is_minor)
    silent = Place((), is_held=False, length=1, strength=0, to_end=9, from_start=3, final=12,
                   in_first_phrase=False, in_last_phrase=False)  # fmt: skip
    usual = syntax.place_scores(Setting((silent,), is_minor))[0].astype(float)
    step = syntax.steps[_WEAK_STEP].astype(float)
    proxy = nearest_learnt(vocabulary, syntax.chords)
    return (usual.max() - usual)[proxy], (step.max() - step)[np.ix_(proxy, proxy)]
