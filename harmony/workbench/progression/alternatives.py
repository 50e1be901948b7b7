"""The alternatives side by side: a small engraved picture of each, all of the same bars."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from harmony.chords.progression import Slot
from harmony.pitch.meter import Meter, MeterMap
from harmony.pitch.spelling import Pitch
from harmony.scoring.clef import ClefChange
from harmony.scoring.direction import KeyChange
from harmony.scoring.event import Event
from harmony.scoring.part import Part, Staff
from harmony.scoring.score import Score
from harmony.workbench.progression.work import Work
from harmony.writing.engraving import engrave

MOST_CHORDS = 4  # in a picture, unless one bar alone has more
MOST_BARS = 2
MIDDLE_C = 60  # from here up notes stand on the upper staff
UNITS = 640  # verovio's width of a picture
MARGIN = 15
_KEPT = 60

Window = tuple[int, int]


def draw_alternatives(work: Work) -> list[str]:
    """Give a picture of the same bars of each alternative, as SVG, A first."""
    window = find_window(work)
    return [draw_bars(work, one.pitches, window) for one in work.alternatives]


def name_alternatives(work: Work) -> str:
    """Say which bars the small pictures show."""
    if len(work.alternatives) == 1:
        return "The best so far" if work.is_cut_short else "The only voicing"
    first, last = find_window(work)
    bars = f"bar {first}" if first == last else f"bars {first} and {last}"
    return f"Alternatives, as they differ in {bars}"


def find_window(work: Work) -> Window:
    """Give the first and the last of the bars in which most alternatives are unlike A."""
    slots = work.problem.progression.slots
    chords: dict[int, list[int]] = {}
    for number, slot in enumerate(slots):
        chords.setdefault(slot.bar, []).append(number)
    first = work.alternatives[0].pitches
    best, found = (-1, -1), (slots[0].bar, slots[0].bar)
    for bar, inside in chords.items():
        window, numbers = (bar, bar), list(inside)
        for later in range(bar + 1, bar + MOST_BARS):
            more = chords.get(later, [])
            if not more or len(numbers) + len(more) > MOST_CHORDS:
                break
            window, numbers = (bar, later), [*numbers, *more]
        unlike = [sum(one.pitches[n] != first[n] for n in numbers) for one in work.alternatives]
        score = sum(count > 0 for count in unlike), sum(unlike)
        if score > best:
            best, found = score, window
    return found


def draw_bars(work: Work, pitches: Sequence[tuple[Pitch, ...]], window: Window) -> str:
    """Engrave some bars small, on two staves whatever the players, as SVG."""
    progression = work.problem.progression
    numbers = [n for n, slot in enumerate(progression.slots) if window[0] <= slot.bar <= window[1]]
    meter = progression.meters.meter_at(max(window[0], 1))
    slots = tuple(progression.slots[n] for n in numbers)
    return _draw(slots, tuple(pitches[n] for n in numbers), meter)


@lru_cache(maxsize=_KEPT)
def _draw(slots: tuple[Slot, ...], pitches: tuple[tuple[Pitch, ...], ...], meter: Meter) -> str:
    start = slots[0].onset
    staves = tuple(
        Staff(
            tuple(
                Event(
                    slot.onset - start,
                    slot.duration,
                    tuple(p for p in reversed(chord) if (p.midi >= MIDDLE_C) is is_upper),
                )
                for slot, chord in zip(slots, pitches, strict=True)
            ),
            (ClefChange(Fraction(0), "treble" if is_upper else "bass"),),
        )
        for is_upper in (True, False)
    )
    key = slots[0].key
    score = Score(
        (Part("", staves),),
        MeterMap.steady(meter),
        keys=() if key is None else (KeyChange(Fraction(0), key),),
    )
    return engrave(
        score,
        concert=True,
        pageWidth=UNITS,
        breaks="none",
        pageMarginLeft=0,
        pageMarginRight=0,
        pageMarginTop=MARGIN,
        pageMarginBottom=MARGIN,
    ).svg
