"""The sweep over canons judges as a reader would who goes through two voices note by note."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from harmony.pitch import Interval, Line, MeterMap, Note, Pitch
from harmony.themes.counterpoint import JUDGES
from harmony.themes.faults import find_faults_between

METERS = MeterMap.steady("4/4")
CONSONANT = {"P1", "m3", "M3", "P5", "m6", "M6"}
MILD = {"A4", "d5", "m7", "M2"}


@st.composite
def lines(draw, *, low: int) -> Line:
    """A line of steps and small leaps, with rests, from a quaver on."""
    onset = Fraction(draw(st.integers(0, 3)), 2)
    step, notes = low + draw(st.integers(0, 6)), []
    for _ in range(draw(st.integers(3, 8))):
        length = Fraction(draw(st.sampled_from([1, 1, 2, 3])), 2)
        if draw(st.integers(0, 7)):
            step += draw(st.sampled_from([-2, -1, -1, 0, 1, 1, 3]))
            notes.append(Note(onset, length, Pitch("CDEFGAB"[step % 7], 0, step // 7)))
        onset += length
    notes = notes or [Note(Fraction(0), Fraction(1), Pitch("C", 0, 4))]
    return Line(tuple(notes))


def at(line: Line, time: Fraction):
    return next(((i, n) for i, n in enumerate(line) if n.onset <= time < n.end), None)


def moves(line: Line, index: int) -> tuple[int | None, int | None]:
    """Steps into a note and out of it; None across a rest or an end."""
    notes = line.notes
    before = notes[index - 1] if index and notes[index - 1].end == notes[index].onset else None
    after = (
        notes[index + 1]
        if index + 1 < len(notes) and notes[index].end == notes[index + 1].onset
        else None
    )
    own = notes[index].pitch.staff_step
    return (
        own - before.pitch.staff_step if before else None,
        after.pitch.staff_step - own if after else None,
    )


def simple(one: Pitch, two: Pitch) -> str:
    low, high = sorted((one, two), key=lambda pitch: (pitch.midi, pitch.staff_step))
    name = Interval.between(low, high).name.lstrip("-")
    number = int(name.lstrip("PMmAd"))
    return f"{name.rstrip('0123456789')}{(number - 1) % 7 + 1}"


def is_weak(line: Line, index: int, time: Fraction) -> bool:
    weight = METERS.weight(time)
    notes = line.notes
    earlier = 0
    if index and notes[index - 1].end == notes[index].onset:
        earlier = METERS.weight(time - (notes[index].onset - notes[index - 1].onset))
    return weight <= 1 or weight < earlier


def read_slowly(one: Line, two: Line, judge: str) -> set[tuple[Fraction, str]]:
    """Every fault between two lines, read quaver by quaver."""
    found, kept = set(), None  # kept: the pitches that sounded just before
    end = max(one.end, two.end)
    for tick in range(int(end * 2)):
        time = Fraction(tick, 2)
        upper, lower = at(one, time), at(two, time)
        if upper is None or lower is None:
            kept = None
            continue
        (i, a), (j, b) = upper, lower
        strikes = (a.onset == time, b.onset == time)
        between = simple(a.pitch, b.pitch)
        consonant = between in CONSONANT or (between == "P4" and judge != "strict")
        if any(strikes):
            (in_a, out_a), (in_b, out_b) = moves(one, i), moves(two, j)
            leaves_a, leaves_b = out_a in (1, -1), out_b in (1, -1)
            falls_a, falls_b = (out_a == -1, out_b == -1) if judge == "strict" else (
                leaves_a, leaves_b,
            )  # fmt: skip
            step_a, step_b = in_a in (1, -1), in_b in (1, -1)
            passing_a = step_a and leaves_a and is_weak(one, i, time)
            passing_b = step_b and leaves_b and is_weak(two, j, time)
            prepared = kept is None or not kept[2]
            if strikes == (True, False):
                right = passing_a or (falls_b and step_a) or (prepared and falls_b)
            elif strikes == (False, True):
                right = passing_b or (falls_a and step_b) or (prepared and falls_a)
            else:
                right = judge != "strict" and passing_a and passing_b
            if judge != "strict" and between in MILD and prepared and (leaves_a or leaves_b):
                right = True
            if not consonant and not right:
                found.add((time, "dissonance"))
            if all(strikes) and kept is not None and in_a and in_b:
                rise_a, rise_b = a.pitch.midi - kept[0].midi, b.pitch.midi - kept[1].midi
                if rise_a * rise_b > 0 and between in ("P5", "P1"):
                    was = simple(kept[0], kept[1])
                    leap = abs(in_a if a.pitch.midi >= b.pitch.midi else in_b) > 1
                    merged = a.pitch == b.pitch and kept[0] == kept[1]
                    if was == between and merged and judge != "strict":
                        pass  # not two voices any more
                    elif was == between:
                        name = "fifths" if between == "P5" else "octaves"
                        found.add((time, f"consecutive {name}"))
                    elif judge == "strict" and leap:
                        found.add((time, "direct fifth or octave"))
        kept = (a.pitch, b.pitch, not consonant)
    return found


@settings(max_examples=300)
@given(lines(low=31), lines(low=26), st.sampled_from(JUDGES))
def test_every_fault_is_found_and_no_other(one: Line, two: Line, judge) -> None:
    told = {(f.offset, f.kind) for f in find_faults_between(METERS, one, two, judge)}
    assert told == read_slowly(one, two, judge)


def test_the_reading_itself_finds_faults() -> None:
    up = Line(tuple(Note(Fraction(i), Fraction(1), Pitch("CDEF"[i], 0, 4)) for i in range(4)))
    fifths = Line(tuple(Note(Fraction(i), Fraction(1), Pitch("GABC"[i], 0, 4 + (i == 3)))
                        for i in range(4)))  # fmt: skip
    assert (Fraction(1), "consecutive fifths") in read_slowly(fifths, up, "strict")
    assert np.all([fault[0] > 0 for fault in read_slowly(fifths, up, "strict")])
