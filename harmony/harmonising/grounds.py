"""Basses that repeat a figure: how they are laid under a tune, moved, or put inside the chords."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from harmony.harmonising.chain import Chain
from harmony.harmonising.melody import Melody
from harmony.harmonising.pedals import name_bars
from harmony.harmonising.setting import strength_at
from harmony.harmonising.spans import Span, plan_spans, split
from harmony.harmonising.strands import INNER, HeldLine, Strand

_FEWEST_NOTES = 12  # of a bass that repeats
_FIFTH, _FOURTH = 7, 5
_OFTEN = 3  # so often a figure is to be heard whole
_ALIKE = 0.7  # two figures that agree at so many places are one idea
_FREE_BASS = {"bass_line": 0.6}  # weights once the figure has left the bass
_PART = "a part of it"
_NUMBERS = ("", "once", "twice", "three times", "four times", "five times", "six times")
_ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")


@dataclass(frozen=True, slots=True)
class Ground:
    """A figure and the stretch it has to itself.

    ``lead`` spans come before the first downbeat, where it begins; with the span ``final``
    the tune's last note begins, and the figure is over.
    """

    name: str
    notes: tuple[int, ...]
    lead: int
    final: int

    @property
    def whole(self) -> int:
        """How often it comes whole.

        A figure that ends on the tonic may take the close itself for its last note.
        """
        whole, left = divmod(self.final - self.lead, len(self.notes))
        return whole + (left == len(self.notes) - 1 and self.notes[-1] == 0)

    @property
    def rest(self) -> int:
        """How many notes are left for the way from its last whole statement to the close."""
        return max(0, self.final - self.lead - self.whole * len(self.notes))

    @property
    def waits(self) -> bool:
        """True where the fifth fills that way: there is too little of it for the figure."""
        return bool(self.whole) and 0 < 2 * self.rest <= len(self.notes)

    def lay(self, count: int, *, moved: int = -1, by: int = 0) -> tuple[int, ...]:
        """One note a span; the statement ``moved`` lies so many semitones higher."""
        line = [self.notes[-1]] * self.lead
        for place in range(self.final - self.lead):
            number, at = divmod(place, len(self.notes))
            breaks_off = number >= self.whole and place == self.final - self.lead - 1
            if number >= self.whole and (self.waits or breaks_off):
                line.append(_FIFTH)
            else:
                line.append((self.notes[at] + by * (number == moved)) % 12)
        return (*line, *[0] * (count - self.final))

    def tell_often(self) -> str:
        """How often it comes, in words."""
        often = _NUMBERS[self.whole] if self.whole < len(_NUMBERS) else f"{self.whole} times"
        if not self.rest or self.waits:
            return often
        return f"{often} and {_PART}" if self.whole else "in part"


def plan_ground(melody: Melody) -> tuple[Span, ...]:
    """The harmonic rhythm a bass figure repeats in: even, and short enough to come again.

    A figure of four notes is to be heard three times at least, so where there are too
    few bars they are halved at a beat, bars of three after their second.
    """
    spans = plan_spans(melody, pace="even")
    meters = melody.theme.meters
    while len(spans) < _FEWEST_NOTES:
        before = spans
        for span in before:
            meter = meters.meter_at(max(1, meters.locate(span.onset)[0]))
            beats = [sum(meter.beats_quarters[:n], Fraction(0)) for n in range(1, meter.count)]
            inside = [beat for beat in beats if beat < span.duration]
            if inside:
                middle = min(inside, key=lambda beat: (abs(2 * beat - span.duration), -beat))
                spans = split(spans, span.onset + middle)
        if spans == before:
            break
    return spans


def plan_figures(
    figures: Mapping[str, Sequence[int]],
    melody: Melody,
    spans: Sequence[Span],
    final: int,
    scale: Sequence[int],
) -> tuple[Strand, ...]:
    """Bass figures laid under the spans again and again, from the first downbeat.

    From the span ``final`` on, where the tune's last note begins, the tonic stands. After
    them come figures whose middle statement is moved, and figures inside the chords.
    """
    lead = next((n for n, span in enumerate(spans) if strength_at(melody, span) == 2), 0)
    is_minor = melody.key.is_minor
    grounds = [
        Ground(name, tuple(notes), lead, final)
        for name, notes in figures.items()
        if all(note in scale for note in notes) or (is_minor and "chromatic" in name)
    ]
    often = [ground for ground in grounds if ground.whole >= _OFTEN]
    plain = [_in_bass(one, melody, spans) for one in grounds if one.final > one.lead]
    moved = [_moved(one, melody, spans, by) for one in often for by in (_FOURTH, _FIFTH)]
    return (*plain, *moved, *(_inside(one, melody, spans) for one in often))


def _in_bass(ground: Ground, melody: Melody, spans: Sequence[Span]) -> Strand:
    sentence = f"the bass repeats the {ground.name}, {ground.tell_often()}"
    line = HeldLine(ground.lay(len(spans)))
    return _strand(ground, ground.name, f"{sentence}{_tell_close(ground, melody, spans)}", line)


def _moved(ground: Ground, melody: Melody, spans: Sequence[Span], by: int) -> Strand:
    number = ground.whole // 2
    first = ground.lead + number * len(ground.notes)
    last = min(first + len(ground.notes), ground.final) - 1
    step = "a fourth" if by == _FOURTH else "a fifth"
    which = _ORDINALS[number] if number < len(_ORDINALS) else f"{number + 1}th"
    sentence = (
        f"the bass repeats the {ground.name}, {ground.tell_often()}, the {which} time {step} higher"
        f" {_bars(melody, spans, first, last)}{_tell_close(ground, melody, spans)}"
    )
    line = HeldLine(ground.lay(len(spans), moved=number, by=by))
    return _strand(ground, f"{ground.name}, moved {step}", sentence, line)


def _inside(ground: Ground, melody: Melody, spans: Sequence[Span]) -> Strand:
    sentence = f"a voice inside the chords repeats the {ground.name}, {ground.tell_often()}"
    line = HeldLine(ground.lay(len(spans)), INNER)
    close = _tell_close(ground, melody, spans)
    return _strand(ground, f"{ground.name}, inside", f"{sentence}{close}", line)


def _tell_close(ground: Ground, melody: Melody, spans: Sequence[Span]) -> str:
    if not ground.rest:
        return ", and stops on the tonic"
    if not ground.waits:
        return ", and closes over the fifth on the tonic"
    bars = _bars(melody, spans, ground.final - ground.rest, ground.final - 1)
    return f", then holds the fifth {bars} and stops on the tonic"


def _bars(melody: Melody, spans: Sequence[Span], first: int, last: int) -> str:
    meters = melody.theme.meters
    return name_bars(*(meters.locate(spans[place].onset)[0] for place in (first, last)))


def _strand(ground: Ground, name: str, sentence: str, line: HeldLine) -> Strand:
    return Strand(name, sentence, (line,), is_figure=True, whole=ground.whole)


def order_figures(
    ranked: Sequence[tuple[float, Strand]],
) -> tuple[list[Strand], list[Strand]]:
    """Figures in the order they are tried, by what they cost: good ones, and the rest.

    Good are those heard whole twice or more, three times before twice; of several much
    alike the cheapest. After two in the bass comes one moved, then one inside.
    """
    by_cost = [strand for _, strand in sorted(ranked, key=lambda pair: pair[0])]
    by_cost.sort(key=lambda strand: (-min(strand.whole, _OFTEN), _PART in strand.sentence))
    kinds: dict[str, list[Strand]] = {"": [], "moved": [], "inside": []}
    rest: list[Strand] = []
    for strand in by_cost:
        kind = next((word for word in ("moved", "inside") if f", {word}" in strand.name), "")
        alike = any(_agree(strand, other) > _ALIKE for other in kinds[kind])
        if strand.whole < 2 or alike or (kind and kinds[kind]):
            rest.append(strand)
        else:
            kinds[kind].append(strand)
    plain = kinds[""]
    good = [*plain[:2], *kinds["moved"], *kinds["inside"], *plain[2:]]
    return good, [strand for strand in rest if "," not in strand.name]


def _agree(one: Strand, other: Strand) -> float:
    pairs = [*zip(one.lines[0].notes, other.lines[0].notes, strict=True)]
    return sum(a == b for a, b in pairs) / len(pairs)


def hold_figure(chain: Chain, strand: Strand) -> None:
    """Allow in each span only chords that stand on the figure's note.

    A figure inside the chords is a note of each, and not its bass; it leaves the bass free
    to be a line.
    """
    vocabulary, line = chain.vocabulary, strand.lines[0]
    for place, note in enumerate(line.notes):
        low = np.asarray(vocabulary.basses == note)
        if line.place != INNER:
            chain.allowed[place] &= low
        elif place < chain.finals[-1]:
            chain.allowed[place] &= vocabulary.members[:, note] & ~low
    if line.place == INNER:
        chain.weights = {**chain.weights, **_FREE_BASS}
