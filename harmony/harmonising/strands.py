"""Strands with a start and an end: pedals, and basses that repeat."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from harmony.harmonising.chain import Chain
from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span

_CLASH = 0.35


@dataclass(frozen=True, slots=True)
class Strand:
    """A note held or a bass figure over the spans: one pitch class a span above the tonic.

    FREE (-1) where it is silent. ``is_above`` holds it over the chords.
    """

    name: str
    sentence: str
    notes: tuple[int, ...]
    is_above: bool = False


FREE = -1


def plan_pedals(melody: Melody, spans: Sequence[Span]) -> tuple[Strand, ...]:
    """Pedals worth trying: on the tonic, from dominant to tonic, moving at a phrase, above."""
    count = len(spans)
    turn = count
    if len(melody.phrases) > 1:
        start = melody.phrases[len(melody.phrases) // 2].start
        turn = next((i for i, span in enumerate(spans) if span.onset >= start), count // 2)
    half = min(turn, max(1, count - 1)) if turn < count else max(1, count // 2)
    close = max(half, count - max(1, count // 4))
    minor = melody.key.is_minor
    sixth = 8 if minor and melody.key.mode != "dorian" else 9
    fourth = 5
    return (
        Strand("tonic pedal", "the tonic is held in the bass from beginning to end", (0,) * count),
        Strand(
            "moving pedal",
            "the tonic is held to the middle, then the sixth degree, and the tonic again at the"
            " close",
            (0,) * half + (sixth,) * (close - half) + (0,) * (count - close),
        ),
        Strand(
            "dominant pedal",
            "the dominant is held in the bass and gives way to the tonic at the close",
            (7,) * close + (0,) * (count - close),
        ),
        Strand("pedal on top", "the tonic is held above the chords", (0,) * count, is_above=True),
        Strand(
            "subdominant pedal",
            "the tonic, then the fourth degree is held, and the tonic again at the close",
            (0,) * half + (fourth,) * (close - half) + (0,) * (count - close),
        ),
        Strand(
            "dominant on top", "the dominant is held above the chords", (7,) * count, is_above=True
        ),
        Strand(
            "pedal before the close",
            "the chords move freely; from the last quarter the dominant is held under them, and"
            " the tonic takes the last",
            (FREE,) * close + (7,) * (count - 1 - close) + (0,) * min(1, count),
        )
        if count - close > 2
        else Strand(
            "tonic to the middle",
            "the tonic is held to the middle and then let go",
            (0,) * half + (FREE,) * (count - half),
        ),
    )


def hold_pedal(chain: Chain, strand: Strand) -> None:
    """Judge chords above a pedal: it belongs to them where it comes in and leaves.

    Inside, each semitone between it and a chord note costs a little.
    """
    members = chain.vocabulary.members
    count = len(chain.spans)
    for place, note in enumerate(strand.notes):
        if note == FREE:
            continue
        enters = place == 0 or strand.notes[place - 1] != note
        leaves = place == count - 1 or strand.notes[place + 1] != note
        belongs = members[:, note]
        if (enters or leaves) and (chain.allowed[place] & belongs).any():
            chain.allowed[place] &= belongs
        clash = members[:, (note + 1) % 12].astype(float) + members[:, (note - 1) % 12]
        chain.nodes["key_distance"][place] = chain.nodes["key_distance"][place] + _CLASH * clash


def plan_figures(
    figures: Mapping[str, Sequence[int]],
    count: int,
    final: int,
    scale: Sequence[int],
    *,
    is_minor: bool,
) -> tuple[Strand, ...]:
    """Bass figures laid under ``count`` spans, again and again.

    From the span ``final`` on, where the tune's last note begins, the tonic stands.
    """
    strands = []
    for name, notes in figures.items():
        diatonic = all(note in scale for note in notes)
        if not diatonic and not (is_minor and "chromatic" in name):
            continue
        laid = [notes[place % len(notes)] for place in range(final)] + [0] * (count - final)
        sentence = (
            f"the bass repeats the {name}, {_times(final, len(notes))}, and stops on the tonic"
        )
        strands.append(Strand(name, sentence, tuple(laid)))
    return tuple(strands)


def _times(places: int, length: int) -> str:
    """How often a figure of some length goes into some places, in words."""
    whole, rest = divmod(places, length)
    words = ("", "once", "twice", "three times", "four times", "five times", "six times")
    often = words[whole] if whole < len(words) else f"{whole} times"
    if not rest:
        return often
    return f"{often} and a part of it" if whole else "a part of it"


def hold_figure(chain: Chain, strand: Strand) -> None:
    """Allow in each span only chords that stand on the figure's note."""
    basses = chain.vocabulary.basses
    for place, note in enumerate(strand.notes):
        chain.allowed[place] &= np.asarray(basses == note)
