"""Other givens: a bass, an inner tune, a tune with its bass."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np

from harmony.errors import HarmonyError
from harmony.harmonising import costs
from harmony.harmonising.alternatives import find_alternatives
from harmony.harmonising.api import check_count, harmonise, read_melody, read_weights, share_out
from harmony.harmonising.chain import Chain, find_best
from harmony.harmonising.change import has_change
from harmony.harmonising.fixing import Fixed, read_fixed
from harmony.harmonising.found import Found, to_harmonisation
from harmony.harmonising.harmonisation import Harmonisation, Harmonisations
from harmony.harmonising.idiom import Idiom, load_idiom
from harmony.harmonising.keyless import is_no_key, leave_out_keys, weigh_without_key
from harmony.harmonising.lines import BASS, BOTH, INNER, MELODY, Given
from harmony.harmonising.melody import Melody, analyse, in_key
from harmony.harmonising.spans import Span, plan_spans
from harmony.harmonising.standing import (
    BY_USE,
    close_both_ends,
    spans_on_bass,
    stand_on,
    weigh_by_use,
)
from harmony.harmonising.vocabulary import build_vocabulary, harmonic_key
from harmony.pitch.key import Key
from harmony.pitch.theme import Theme


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
            where = bass.meters.say_place(note.onset)
            raise HarmonyError(
                f"No chord of common practice in {melody.key} stands on the bass {note.pitch.name}"
                f" in {where}; another key or idiom is accepted.",
                where=where,
            )
    count = len(spans)
    likelihood, syntax = weigh_by_use(vocabulary, count)
    nodes = {"likelihood": likelihood, "cadence": close_both_ends(vocabulary, count)}
    heard: tuple[tuple[()], ...] = ((),) * count
    chain = Chain(
        melody, vocabulary, spans, heard, (count - 1,), nodes,
        {"syntax": syntax}, allowed, {**costs.usual_weights(idiom), **BY_USE},
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
    return harmonise_as(tune, Given(INNER), idioms=(idiom,), count=count, key=key, fixed=fixed)


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
    given = Given(BOTH, bass)
    return harmonise_as(tune, given, idioms=(idiom,), count=count, key=key, fixed=fixed)


def harmonise_as(
    theme: Theme,
    given: Given,
    *,
    idioms: Sequence[str] = ("common-practice",),
    count: int = 5,
    key: Key | str | None = None,
    phrase_ends: Iterable[Fraction | int | float] | None = None,
    fixed: Iterable[str | Fixed] = (),
    weights: Mapping[str, float] | None = None,
    notices: Sequence[str] = (),
) -> Harmonisations:
    """Harmonise a theme as the voice it is: its key found or set, or none.

    Raises
    ------
    HarmonyError
        In one sentence, with the place, where something cannot be used.
    """
    is_keyless = is_no_key(key)
    asked = weigh_without_key(idioms, weights) if is_keyless else weights
    melody = read_melody(theme, key=None if is_keyless else key, phrase_ends=phrase_ends)
    found = harmonise_given(
        melody, given, idioms=idioms, count=count, fixed=fixed, weights=read_weights(asked)
    )
    found = replace(found, notices=tuple(notices))
    return leave_out_keys(found) if is_keyless else found


def harmonise_given(
    melody: Melody,
    given: Given,
    *,
    idioms: Sequence[str] = ("common-practice",),
    count: int = 5,
    fixed: Iterable[str | Fixed] = (),
    spans: Sequence[Span] | None = None,
    pace: str = "usual",
    weights: Mapping[str, float] | None = None,
) -> Harmonisations:
    """Harmonise a tune as the voice it is, as :func:`harmony.harmonise` does a melody.

    Over or under a given bass a chord may change with each bass note that begins on a
    beat. Several idioms share the alternatives.

    Raises
    ------
    HarmonyError
        In one sentence, with the place, where something cannot be used.
    """
    if given.kind == MELODY:
        return harmonise(
            melody, idioms=idioms, count=count, fixed=fixed, spans=spans, pace=pace, weights=weights
        )
    check_count(count)
    chosen = [_check_idiom(name, given) for name in dict.fromkeys(idioms)]
    held = read_fixed(fixed, melody)
    planned = plan_given_spans(melody, given, pace=pace) if spans is None else tuple(spans)
    found: list[Harmonisation] = []
    for idiom, share in zip(chosen, share_out(count, len(chosen)), strict=True):
        if share:
            ways = find_alternatives(
                melody, idiom, planned, share, held, weights=weights, adapt=stand_on(given)
            )
            found += [to_harmonisation(one) for one in ways]
    return Harmonisations(melody, planned, tuple(found), held, weights, given=given)


def plan_given_spans(melody: Melody, given: Given, *, pace: str = "usual") -> tuple[Span, ...]:
    """Plan where chords may change under, over or around what is given."""
    if pace == "usual" and given.kind in (BASS, BOTH):
        return spans_on_bass(melody, given.bass or melody.theme)
    return plan_spans(melody, pace=pace)


def _check_idiom(name: str, given: Given) -> Idiom:
    if has_change(name):
        raise HarmonyError(
            "The idiom changes at a bar under a melody only; name one idiom for another given."
        )
    idiom = load_idiom(name)
    if idiom.hangs_from_tune and given.kind == INNER:
        raise HarmonyError(
            f"The idiom {idiom.name!r} hangs its chords from the tune, so the tune lies on top;"
            " another idiom is accepted for an inner tune."
        )
    if (idiom.hangs_from_tune or idiom.has_strands) and given.kind in (BASS, BOTH):
        raise HarmonyError(
            f"The idiom {idiom.name!r} makes its own bass; common-practice, modal, romantic,"
            " third-relations, extended or own are accepted with a bass that is given."
        )
    return idiom
