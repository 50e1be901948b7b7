"""Other givens: a bass to be harmonised, and a counter-melody written to a tune."""

from __future__ import annotations

import itertools
from dataclasses import replace
from fractions import Fraction

import numpy as np

from harmony.errors import HarmonyError
from harmony.harmonising import costs
from harmony.harmonising.alternatives import Found, to_harmonisation
from harmony.harmonising.chain import Chain, find_best
from harmony.harmonising.contexts import Place, Setting
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.idiom import load_idiom
from harmony.harmonising.melody import analyse, in_key
from harmony.harmonising.spans import Span
from harmony.harmonising.syntax import load_syntax
from harmony.harmonising.vocabulary import build_vocabulary, harmonic_key
from harmony.pitch.key import Key
from harmony.pitch.line import Line
from harmony.pitch.note import Note
from harmony.pitch.spelling import Pitch
from harmony.pitch.theme import Theme

_WEAK_STEP = 10  # the learnt kind of step into a weak beat, nothing held
_LOWEST, _HIGHEST = 53, 79  # a counter-melody's register: F3 to G5


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
    syntax = load_syntax(is_minor=melody.key.is_minor)
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
    silent = Place((), is_held=False, length=1, strength=0, to_end=9, from_start=3, final=12,
                   in_first_phrase=False, in_last_phrase=False)  # fmt: skip
    usual = syntax.place_scores(Setting((silent,), melody.key.is_minor))[0].astype(float)
    step = syntax.steps[_WEAK_STEP].astype(float)
    count = len(spans)
    nodes = {
        "likelihood": np.tile(usual.max() - usual, (count, 1)),
        "cadence": np.zeros((count, len(vocabulary))),
    }
    nodes["cadence"][[0, -1]] = costs.close_costs(vocabulary, is_last=True)
    heard: tuple[tuple[()], ...] = ((),) * count
    chain = Chain(
        melody, vocabulary, spans, heard, (count - 1,), nodes,
        {"syntax": [step.max() - step] * (count - 1)}, allowed,
        {**costs.usual_weights(idiom), "likelihood": 0.5, "syntax": 1.0, "cadence": 1.0},
        np.zeros((count, 12)),
    )  # fmt: skip
    path, _ = find_best(chain.total_nodes(), chain.total_steps())
    found = Found(chain, tuple(path), "on a given bass", "the likeliest chords on this bass")
    return to_harmonisation(found, join_same=False)


def write_counter_melody(one: Harmonisation) -> Theme:
    """Write a line under the tune: chord notes, moving where the tune rests.

    It takes a note to each chord, and two where the tune holds one note through it;
    it moves by step where it can, against the tune's direction, never in
    consecutive fifths or octaves with it, and reaches its own highest note away
    from the tune's. The line is the cheapest by an exact search over chord notes.
    """
    theme = one.theme
    tune = theme.line.sounding
    places: list[tuple[Fraction, Fraction, list[Pitch], Note | None]] = []
    for slot in one.progression:
        if slot.chord is None:
            continue
        inside = [n for n in tune if n.onset < slot.onset + slot.duration and n.end > slot.onset]
        parts = 2 if len(inside) <= 1 and slot.duration >= 2 else 1
        length = slot.duration / parts
        options = [
            name.at_midi(midi)
            for name in slot.chord.names
            for midi in range(_LOWEST, _HIGHEST + 1)
            if midi % 12 == name.pitch_class
        ]
        for part in range(parts):
            start = slot.onset + part * length
            above = next((n for n in tune if n.onset <= start < n.end), None)
            fitting = [
                p
                for p in options
                if above is None or above.pitch is None or p.midi < above.pitch.midi
            ]
            places.append((start, length, fitting or options, above))
    best: list[tuple[float, int]] = [(0.0, -1)] * len(places[0][2])
    back = [best]
    for (_, _, before, tune_before), (_, _, after, tune_after) in itertools.pairwise(places):
        best = [
            min(
                (cost + _line_cost(p, q, tune_before, tune_after), number)
                for number, (p, (cost, _)) in enumerate(zip(before, best, strict=True))
            )
            for q in after
        ]
        back.append(best)
    choice = min(range(len(best)), key=lambda n: best[n])
    chosen = []
    for row in reversed(back):
        chosen.append(choice)
        choice = row[choice][1]
    chosen.reverse()
    notes = [
        Note(start, length, options[number])
        for (start, length, options, _), number in zip(places, chosen, strict=True)
    ]
    return replace(
        theme, line=Line(tuple(notes)), title="Counter-melody",
        parent=(theme.source or theme.title, "counter-melody"),
    )  # fmt: skip


def _line_cost(p: Pitch, q: Pitch, before: Note | None, after: Note | None) -> float:
    move = q.midi - p.midi
    cost = {0: 1.2, 1: 0.0, 2: 0.0, 3: 0.5, 4: 0.6, 5: 1.0}.get(abs(move), 1.5 + 0.2 * abs(move))
    if before is None or after is None or before.pitch is None or after.pitch is None:
        return cost
    tune_move = after.pitch.midi - before.pitch.midi
    one, two = before.pitch.midi - p.midi, after.pitch.midi - q.midi
    if move and tune_move and one % 12 == two % 12 and one % 12 in (0, 7):
        cost += 8.0
    if two < 3:
        cost += 1.0
    return cost + 0.4 * (move * tune_move > 0)
