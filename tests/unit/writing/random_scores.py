"""Random scores: irregular rhythms, several staves and voices, transposing parts."""

from __future__ import annotations

from fractions import Fraction

from hypothesis import assume
from hypothesis import strategies as st

from harmony.pitch import Interval, Key, Meter, MeterMap, Pitch, PitchName, transpose
from harmony.scoring import (
    ClefChange,
    Direction,
    Event,
    Grace,
    KeyChange,
    Lyric,
    Part,
    Score,
    Staff,
    Tempo,
)

METERS = ("4/4", "3/4", "6/8", "2/2", "5/8", "9/8", "3+2/8", "3/8", "7/4")
#: Sounding minus written of common instruments: clarinets, horn, piccolo, bass, alto saxophone.
TRANSPOSITIONS = ("P1", "-M2", "-m3", "-P5", "P8", "-P8", "-M6", "-M9", "m3")
TRIPLETS = [(Fraction(1, 3),) * 3, (Fraction(2, 3), Fraction(1, 3)), (Fraction(2, 3),) * 3]
PLAIN = [Fraction(n, 4) for n in (1, 2, 3, 4, 6, 7, 8, 10, 12, 16, 20)] + [Fraction(1, 8)]


def may_be_respelled(score: Score, part: Part, pitch: Pitch) -> bool:
    """Say whether a note may come back from its part with another letter.

    It may where a player would have to read three sharps or flats for it, or for the
    note on the next line of its chord, off whose line it then moves.
    """
    if needs_three_signs(score, part, pitch):
        return True
    return any(
        abs(other.staff_step - pitch.staff_step) == 1 and needs_three_signs(score, part, other)
        for staff in part.staves
        for event in staff.events
        if pitch in event.pitches
        for other in event.pitches
    )


def needs_three_signs(score: Score, part: Part, pitch: Pitch) -> bool:
    """Say whether a player would have to read three sharps or flats for a note.

    That is so in parts whose signature is respelled, twelve fifths off.
    """
    written = pitch.name.fifths - transpose(PitchName("C"), part.transposition).fifths
    turned = (written - 12, written + 12) if score.keys else ()
    return any(abs(PitchName.from_fifths(fifths).alter) > 2 for fifths in turned)


def pitches(voice: int) -> st.SearchStrategy[Pitch]:
    """Draw spelled pitches; voices keep apart, so that a tie has one reading."""
    return st.builds(
        Pitch, st.sampled_from("CDEFGAB"), st.sampled_from((0, 0, 0, 1, -1)),
        st.integers(4, 6) if voice == 1 else st.integers(2, 3),
    )  # fmt: skip


@st.composite
def voices(draw: st.DrawFn, voice: int, length: Fraction, *, has_extras: bool) -> list[Event]:
    """Draw events that fill about ``length`` quarters, with a gap now and then."""
    events: list[Event] = []
    place = Fraction(0)
    while place < length:
        on_beat = place.denominator == 1
        cells = [(value,) for value in PLAIN] + (TRIPLETS if on_beat else [])
        for duration in draw(st.sampled_from(cells)):
            found = draw(
                st.lists(
                    pitches(voice), max_size=3, unique_by=(lambda p: p.staff_step, lambda p: p.midi)
                )
            )
            kind = draw(st.integers(0, 9))
            if kind == 9 and has_extras and found:
                events.append(
                    Event(place, Fraction(0), (found[0],), voice, grace=Grace(slashed=False))
                )
            if kind != 8:
                marks = draw(
                    st.sampled_from(
                        ((), (), ("staccato",), ("accent", "fermata"), ("up-bow",), ("trill-mark",))
                    )
                )
                events.append(
                    Event(
                        place,
                        duration,
                        tuple(sorted(found, key=lambda p: p.midi)),
                        voice,
                        marks=marks if has_extras and found else (),
                        lyrics=(Lyric("la"),) if has_extras and found and kind == 0 else (),
                        id=f"e{voice}-{len(events)}",
                    )
                )
            place += duration
    return events


@st.composite
def scores(draw: st.DrawFn, *, has_extras: bool = True) -> Score:
    meter = Meter.from_text(draw(st.sampled_from(METERS)))
    pickup = draw(st.sampled_from((Fraction(0), Fraction(0), Fraction(1, 2), Fraction(1))))
    pickup = pickup if pickup < meter.bar_quarters else Fraction(0)
    meters = MeterMap(
        ((1, meter),) + (((3, Meter((3,), 4)),) if draw(st.booleans()) else ()), pickup
    )
    length = Fraction(draw(st.integers(3, 14)))
    parts = []
    for number in range(draw(st.integers(1, 3))):
        staves = []
        for _ in range(draw(st.integers(1, 2))):
            events = draw(voices(1, length, has_extras=has_extras))
            if draw(st.booleans()):
                events = events + draw(voices(2, length, has_extras=has_extras))
            events.sort(key=lambda event: event.onset)
            clefs = [ClefChange(Fraction(0), draw(st.sampled_from(("treble", "bass", "alto"))))]
            # A clef or a word after the last note stands in no bar.
            end = max((event.onset + event.duration for event in events), default=Fraction(0))
            change = Fraction(draw(st.integers(1, 3)))
            if has_extras and change < end and draw(st.booleans()):
                clefs.append(ClefChange(change, "tenor"))
            directions: tuple[Direction, ...] = ()
            if has_extras and end > 1 and draw(st.booleans()):
                directions = (
                    Direction(Fraction(0), "dynamic", "mf", "below"),
                    Direction(Fraction(1), "words", "dolce & legato"),
                )
                # Nobody writes a wedge over silence, and verovio leaves it out with a warning.
                start, end = Fraction(1, 2), Fraction(2)
                if any(
                    e.pitches and e.onset < end and e.onset + e.duration > start for e in events
                ):
                    directions += (Direction(start, "wedge", "crescendo", "below", end),)
            staves.append(Staff(tuple(events), tuple(clefs), directions))
        interval = Interval.from_text(draw(st.sampled_from(TRANSPOSITIONS)))
        parts.append(Part(f"Part {number + 1}", tuple(staves), transposition=interval))
    # Without an event there is but a pickup, whose bar says no meter to read back.
    assume(any(staff.events for part in parts for staff in part.staves))
    # A tie over a change of key keeps its letter only where neither key is respelled.
    wide, mild = ("C", "Bb", "F#", "c#", "Gb", "B", "eb", "D dorian"), ("C", "Bb", "A", "f", "e")
    keys = []
    if draw(st.booleans()):
        keys.append(KeyChange(Fraction(0), Key.from_text(draw(st.sampled_from(wide)))))
    elif draw(st.booleans()):
        first, second = draw(st.permutations(mild))[:2]
        keys.append(KeyChange(Fraction(0), Key.from_text(first)))
        keys.append(KeyChange(meters.bar_start(2), Key.from_text(second)))
    return Score(
        tuple(parts),
        meters,
        (Tempo(Fraction(0), 96.0, "Andante"),),
        keys=tuple(keys),
        title="<Draw>",
    )
