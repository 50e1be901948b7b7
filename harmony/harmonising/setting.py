"""A melody and its harmonic rhythm set out as the learnt syntax describes places."""

from __future__ import annotations

from collections.abc import Sequence

from harmony.harmonising.contexts import REST, Place, Setting
from harmony.harmonising.fitting import Sounding
from harmony.harmonising.melody import Melody
from harmony.harmonising.spans import Span


def strength_at(melody: Melody, span: Span) -> int:
    """2 where a span begins on a downbeat, 1 on a half bar, else 0."""
    return {4: 2, 3: 1}.get(melody.theme.meters.weight(span.onset), 0)


def phrase_of(melody: Melody, span: Span) -> int:
    """The number of the phrase a span belongs to: the last to have begun before its end."""
    number = 0
    for index, phrase in enumerate(melody.phrases):
        if phrase.start < span.end and (index == 0 or phrase.start <= span.onset):
            number = index
    return number


def final_spans(melody: Melody, spans: Sequence[Span]) -> tuple[int, ...]:
    """For each phrase the index of the span in which its last note begins."""
    return tuple(
        max((i for i, span in enumerate(spans) if span.onset <= melody.notes[p.last].onset),
            default=0)
        for p in melody.phrases
    )  # fmt: skip


def describe(melody: Melody, spans: Sequence[Span], heard: Sequence[Sequence[Sounding]]) -> Setting:
    """Describe every span for the learnt syntax (see contexts.Place)."""
    finals = final_spans(melody, spans)
    tonic = melody.key.tonic.pitch_class
    starts: dict[int, int] = {}
    places = []
    for index, (span, inside) in enumerate(zip(spans, heard, strict=True)):
        number = phrase_of(melody, span)
        starts.setdefault(number, index)
        last = melody.notes[melody.phrases[number].last].pitch
        final = REST if last is None else (last.pitch_class - tonic) % 12
        length = max(1, round(inside[0].note.duration / span.duration)) if inside else 1
        places.append(
            Place(
                tuple(one.pitch_class for one in inside),
                bool(inside) and inside[0].note.onset < span.onset,
                length,
                strength_at(melody, span),
                min(finals[number] - index, 9),
                index - starts[number],
                final,
                number == 0,
                number == len(melody.phrases) - 1,
            )
        )
    return Setting(tuple(places), melody.key.is_minor)
