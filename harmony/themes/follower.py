"""The answering voice of a canon: the leader moved, turned, reversed, stretched."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from harmony.pitch import Interval, Key, Line, Note, Pitch, Theme, transpose
from harmony.themes.degrees import frame_key, key_or_none, pitch_to_place, place_to_pitch
from harmony.themes.rhythm import stretch_line
from harmony.themes.tracks import MIDI_PLACE, Ints, pitch_to_code
from harmony.themes.transform import HEAD_NOTES, reverse_line

Motion = Literal["direct", "contrary", "retrograde", "retrograde-contrary"]
#: ``plain`` is a diatonic answer in the bare notes of the key, as in old canons
#: whose accidentals were left to the singer; composers call both diatonic.
AnswerKind = Literal["real", "diatonic", "tonal", "plain"]
MOTIONS: tuple[Motion, ...] = ("direct", "contrary", "retrograde", "retrograde-contrary")
STRETCHES = (Fraction(1, 2), Fraction(1), Fraction(2))
STEPS = tuple(range(-14, 15))


@dataclass(frozen=True, slots=True)
class Cell:
    """One way to answer: motion, ``steps`` of the staff from the leader's first note to the
    follower's, ``delay`` in quarters, stretch of the durations, and kind of answer."""

    motion: Motion
    steps: int
    delay: Fraction
    stretch: Fraction = Fraction(1)
    answer: AnswerKind = "diatonic"


def shape_rhythm(line: Line, motion: Motion, stretch: Fraction) -> Line:
    """Give the leader's line in the follower's order and durations, pitches as they were.

    The result begins at time 0 with its first note (leading rests belong to the delay).
    """
    sounding = Line(line.sounding)
    ordered = reverse_line(sounding) if motion.startswith("retrograde") else sounding
    return stretch_line(ordered.moved(-ordered.start), stretch)


def answer_pitches(
    pitches: tuple[Pitch, ...], first: Pitch, motion: Motion, steps: int, kind: AnswerKind, key: Key
) -> tuple[Pitch, ...]:
    """Give the follower's pitches for the leader's, already in the follower's order.

    ``first`` is the leader's first pitch, from which ``steps`` are counted.
    """
    turned = motion.endswith("contrary")
    sign = -1 if turned else 1
    places = [pitch_to_place(pitch, key) for pitch in pitches]
    goal_step = first.staff_step + steps
    if kind == "real":
        goal = place_to_pitch(goal_step, sign * places[0][1], key)
        if turned:
            return tuple(transpose(goal, -Interval.between(pitches[0], p)) for p in pitches)
        by = Interval.between(pitches[0], goal)
        return tuple(transpose(pitch, by) for pitch in pitches)
    shift = goal_step - sign * places[0][0]
    kept = 0 if kind == "plain" else sign
    answered = [place_to_pitch(shift + sign * step, kept * alter, key) for step, alter in places]
    if kind == "tonal":
        answered = _mend_head(answered, pitches, key)
    return tuple(answered)


def _mend_head(answered: list[Pitch], pitches: tuple[Pitch, ...], key: Key) -> list[Pitch]:
    """Answer the dominant by the tonic while the head stands on the two of them."""
    mended = list(answered)
    for index, pitch in enumerate(pitches[:HEAD_NOTES]):
        degree = (pitch.name.step - key.tonic.step) % 7
        if degree == 4:
            step, alter = pitch_to_place(answered[index], key)
            mended[index] = place_to_pitch(step - 1, alter, key)
        elif degree != 0:
            break
    return mended


@dataclass(frozen=True, slots=True)
class AnswerCodes:
    """What :func:`answer_pitches` gives for every interval, as codes of :class:`Track`.

    The sweep over every interval needs only these; spelling is left for what is shown.
    """

    pitches: tuple[Pitch, ...]
    first: Pitch
    motion: Motion
    key: Key
    step: NDArray[np.int64]
    alter: NDArray[np.int64]
    octave: NDArray[np.int64]  # codes of C4 to B4 in the key

    @classmethod
    def of(cls, pitches: tuple[Pitch, ...], first: Pitch, motion: Motion, key: Key) -> AnswerCodes:
        """Prepare the pitches of a leader, in the follower's order."""
        places = np.array([pitch_to_place(pitch, key) for pitch in pitches], np.int64)
        octave = [pitch_to_code(place_to_pitch(28 + place, 0, key)) for place in range(7)]
        return cls(pitches, first, motion, key, places[:, 0], places[:, 1], np.array(octave))

    @classmethod
    def direct(cls, theme: Theme, key: Key) -> AnswerCodes:
        """Prepare the pitches of a theme to be answered in direct motion, grace notes apart."""
        pitches = tuple(note.pitch for note in theme.line.sounding if note.duration and note.pitch)
        return cls.of(pitches, pitches[0], "direct", key)

    def codes(self, steps: int, kind: AnswerKind) -> Ints:
        """Give the codes of the answer ``steps`` away, shape (notes,)."""
        return np.asarray(self.at_steps(np.array([steps]), kind)[0])

    def at_steps(self, steps: NDArray[np.int64], kind: AnswerKind) -> Ints:
        """Give the codes of the answers so many steps away, shape (steps, notes)."""
        if kind == "tonal":
            spelled = [
                answer_pitches(self.pitches, self.first, self.motion, int(away), kind, self.key)
                for away in steps
            ]
            rows = [[pitch_to_code(pitch) for pitch in answer] for answer in spelled]
            return np.array(rows, np.int16).reshape(len(steps), len(self.pitches))
        sign = -1 if self.motion.endswith("contrary") else 1
        shift = (self.first.staff_step - sign * self.step[0] + steps)[:, None]
        kept = 0 if kind == "plain" else sign
        answered = self._at(shift + sign * self.step, kept * self.alter)
        if kind == "real":
            exact = sign * self._at(self.step, self.alter)
            answered = exact + (answered[:, :1] - exact[0])
        return answered.astype(np.int16)

    def _at(self, step: NDArray[np.int64], alter: NDArray[np.int64]) -> NDArray[np.int64]:
        """Give the codes of places in the key; a semitone of alteration is seven fifths."""
        octaves = (step // 7 - 4) * 12 * MIDI_PLACE
        return np.asarray(self.octave[step % 7] + octaves + alter * (MIDI_PLACE + 7))


def answer_kinds(motion: Motion, steps: int) -> tuple[AnswerKind, ...]:
    """Give the kinds of answer worth trying; a tonal one answers at the fifth only."""
    if motion == "direct" and steps % 7 == 4:
        return ("real", "diatonic", "plain", "tonal")
    return ("real", "diatonic", "plain")


def usual_answer(theme: Theme) -> AnswerKind:
    """Give the kind of answer taken where none is asked for: real where there is no key."""
    return "real" if key_or_none(theme) is None else "diatonic"


@lru_cache(maxsize=64)
def follower_line(theme: Theme, cell: Cell) -> Line:
    """Give the follower as it sounds, in the leader's time."""
    shaped = shape_rhythm(theme.line, cell.motion, cell.stretch)
    leader_first = theme.line.sounding[0]
    assert leader_first.pitch is not None
    pitches = tuple(note.pitch for note in shaped if note.pitch is not None)
    answered = answer_pitches(
        pitches, leader_first.pitch, cell.motion, cell.steps, cell.answer, frame_key(theme)
    )
    start = leader_first.onset + cell.delay
    notes: list[Note] = [
        replace(note, onset=note.onset + start, pitch=pitch, tie=None)
        for note, pitch in zip(shaped, answered, strict=True)
    ]
    return Line(tuple(notes))
