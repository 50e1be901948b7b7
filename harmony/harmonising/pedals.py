"""Pedals worth trying under, inside and above a melody's chords, each said in a sentence."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from harmony.harmonising.melody import Melody
from harmony.harmonising.setting import final_spans
from harmony.harmonising.spans import Span, is_hymn_like
from harmony.harmonising.spelling import name_near
from harmony.harmonising.strands import ABOVE, BELOW, FREE, INNER, HeldLine, Strand
from harmony.harmonising.vocabulary import scale_of

Planner = Callable[[Melody, Sequence[Span]], "Strand | None"]

_PLACED = {BELOW: "in the bass", INNER: "inside the chords", ABOVE: "above the chords"}


def plan_pedals(melody: Melody, spans: Sequence[Span]) -> tuple[Strand, ...]:
    """Every pedal of the idiom ``pedal``, the plainest first."""
    planners = (
        hold_tonic, move_pedal, hold_drone, hold_inside, hold_on_top, hold_dominant,
        prepare_close, hold_fourth, hold_fifth_on_top,
    )  # fmt: skip
    return tuple(s for plan in planners if (s := plan(melody, spans)) is not None)


def hold_tonic(melody: Melody, spans: Sequence[Span]) -> Strand:
    """The tonic in the bass throughout."""
    return _strand("tonic pedal", melody, spans, HeldLine((0,) * len(spans)))


def hold_drone(melody: Melody, spans: Sequence[Span]) -> Strand | None:
    """A double pedal: tonic and fifth in the bass throughout; None without a fifth."""
    if 7 not in scale_of(melody.key):
        return None
    count = len(spans)
    lines = (HeldLine((0,) * count), HeldLine((7,) * count))
    return _strand("double pedal", melody, spans, *lines)


def hold_inside(melody: Melody, spans: Sequence[Span]) -> Strand:
    """The fifth held in an inner part throughout; the tonic where there is no fifth."""
    note = 7 if 7 in scale_of(melody.key) else 0
    return _strand("inner pedal", melody, spans, HeldLine((note,) * len(spans), INNER))


def hold_tonic_inside(melody: Melody, spans: Sequence[Span]) -> Strand | None:
    """The tonic held in an inner part, from the first chord to the last; None under hymns."""
    if is_hymn_like(melody):
        return None
    return _strand("inner pedal", melody, spans, HeldLine((0,) * len(spans), INNER))


def hold_on_top(melody: Melody, spans: Sequence[Span]) -> Strand:
    """The tonic above the chords throughout."""
    return _strand("pedal on top", melody, spans, HeldLine((0,) * len(spans), ABOVE))


def hold_fifth_on_top(melody: Melody, spans: Sequence[Span]) -> Strand | None:
    """The fifth above the chords throughout; None without a fifth."""
    if 7 not in scale_of(melody.key):
        return None
    return _strand("dominant on top", melody, spans, HeldLine((7,) * len(spans), ABOVE))


def move_pedal(melody: Melody, spans: Sequence[Span]) -> Strand:
    """The tonic to the middle phrase, a third below or above it, the tonic for the close."""
    line = _leave_tonic(melody, spans, _second_note(melody))
    return _strand("moving pedal", melody, spans, line)


def hold_dominant(melody: Melody, spans: Sequence[Span]) -> Strand | None:
    """The fifth in the bass, giving way to the tonic with the tune's last note."""
    if 7 not in scale_of(melody.key):
        return None
    close = max(1, final_spans(melody, spans)[-1])
    notes = (7,) * close + (0,) * (len(spans) - close)
    return _strand("dominant pedal", melody, spans, HeldLine(notes))


def hold_fourth(melody: Melody, spans: Sequence[Span]) -> Strand | None:
    """The tonic, the fourth degree from the middle, the tonic for the close."""
    if 5 not in scale_of(melody.key):
        return None
    return _strand("subdominant pedal", melody, spans, _leave_tonic(melody, spans, 5))


def _leave_tonic(melody: Melody, spans: Sequence[Span], note: int) -> HeldLine:
    """The tonic to the middle phrase, another note from there, the tonic for the close."""
    count, half = len(spans), _middle(melody, spans)
    close = max(half, count - max(1, count // 4))
    return HeldLine((0,) * half + (note,) * (close - half) + (0,) * (count - close))


def prepare_close(melody: Melody, spans: Sequence[Span]) -> Strand | None:
    """The fifth in the bass before the close, under free chords till then.

    None where the tune is too short for it, or moves as hymns do.
    """
    close = final_spans(melody, spans)[-1]
    start = _before_close(melody, spans)
    if start < 2 or 7 not in scale_of(melody.key) or is_hymn_like(melody):
        return None
    notes = (FREE,) * start + (7,) * (close - start) + (FREE,) * (len(spans) - close)
    return _strand("pedal before the close", melody, spans, HeldLine(notes))


def frame_tune(melody: Melody, spans: Sequence[Span]) -> Strand | None:
    """The tonic under the opening and the fifth before the close, free chords between.

    None where the tune is too short for it, or moves as hymns do.
    """
    count = len(spans)
    close = final_spans(melody, spans)[-1]
    start, length = _before_close(melody, spans), max(2, count // 4)
    if start < length + 2 or 7 not in scale_of(melody.key) or is_hymn_like(melody):
        return None
    notes = (
        (0,) * length + (FREE,) * (start - length) + (7,) * (close - start)
        + (FREE,) * (count - close)
    )  # fmt: skip
    return _strand("pedals at both ends", melody, spans, HeldLine(notes))


def _before_close(melody: Melody, spans: Sequence[Span]) -> int:
    """Where a held fifth may come in before the close: two bars before it, or earlier.

    A sixth of the tune before it at least, and then the first span in which no note
    of the tune clashes with the fifth.
    """
    meters = melody.theme.meters
    close = spans[final_spans(melody, spans)[-1]].onset
    bar = meters.bar_length(meters.locate(close)[0])
    wanted = close - max(2 * bar, (melody.end - spans[0].onset) / 6)
    fifth = (melody.key.tonic.pitch_class + 7) % 12
    for place, span in enumerate(spans):
        inside = [n.pitch for n in melody.notes if n.onset < span.end and n.end > span.onset]
        gaps = {(pitch.pitch_class - fifth) % 12 for pitch in inside if pitch is not None}
        if span.onset >= wanted and not gaps & {1, 6, 11}:
            return place
    return len(spans)


def _middle(melody: Melody, spans: Sequence[Span]) -> int:
    """The span the middle phrase begins with, else the one in the middle."""
    count = len(spans)
    if len(melody.phrases) > 1:
        start = melody.phrases[len(melody.phrases) // 2].start
        found = next((i for i, span in enumerate(spans) if span.onset >= start), 0)
        if 0 < found < count - 1:
            return found
    return max(1, count // 2)


def _second_note(melody: Melody) -> int:
    """A third below the tonic, where a consonant triad stands on it; else a third above."""
    scale = scale_of(melody.key)
    sixth, third = scale[5], scale[2]
    return sixth if (sixth + 7) % 12 in scale else third


def _strand(name: str, melody: Melody, spans: Sequence[Span], *lines: HeldLine) -> Strand:
    return Strand(name, tell_pedal(melody, spans, lines), lines)


def tell_pedal(
    melody: Melody, spans: Sequence[Span], lines: Sequence[HeldLine], *, is_whole: bool = True
) -> str:
    """Say what is held, where, and from which bar to which.

    Lines with the same stretches are told together: "D and A are held in the bass".
    ``is_whole`` says that the spans are those of the whole tune.
    """
    meters = melody.theme.meters
    told: dict[tuple[str, tuple[tuple[int, int], ...]], list[list[str]]] = {}
    for line in lines:
        found = list(line.stretches())
        where = tuple((first, last) for _, first, last in found)
        tonic = melody.key.tonic.pitch_class
        names = [str(name_near((tonic + note) % 12, melody.key)) for note, _, _ in found]
        told.setdefault((line.place, where), []).append(names)
    sentences = []
    for (place, where), rows in told.items():
        together = [" and ".join(row) for row in zip(*rows, strict=True)]
        bars = [
            (meters.locate(spans[first].onset)[0], meters.locate(spans[last].onset)[0])
            for first, last in where
        ]
        words = ", ".join(
            f"{name} {name_bars(*pair)}" for name, pair in zip(together, bars, strict=True)
        )
        verb = "are" if len(rows) > 1 else "is"
        if is_whole and where == ((0, len(spans) - 1),):
            words = f"{together[0]} {verb} held {_PLACED[place]} from beginning to end"
        elif len(where) == 1:
            words = f"{together[0]} {verb} held {_PLACED[place]} {name_bars(*bars[0])}"
        else:
            words = f"held {_PLACED[place]}: {words}"
        sentences.append(words)
    return ", and ".join(sentences)


def name_bars(first: int, last: int) -> str:
    """Say in which bars, from the first to the last; bar 0 is the pickup.

    >>> name_bars(0, 1), name_bars(3, 3), name_bars(5, 6)
    ('from the pickup to bar 1', 'in bar 3', 'in bars 5 and 6')
    """
    if first == last:
        return f"in bar {first}" if first else "in the pickup"
    if not first:
        return f"from the pickup to bar {last}"
    joint = "and" if last == first + 1 else "to"
    return f"in bars {first} {joint} {last}"
