"""The tune at the harmonising desk: taken out of a score, read, corrected by the composer."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from harmony.errors import HarmonyError
from harmony.harmonising.keyless import NO_KEY
from harmony.harmonising.lines import BOTH, MELODY, Given
from harmony.harmonising.melody import Melody, analyse
from harmony.harmonising.phrases import MelodicSequence, Parallel, copy_bars
from harmony.harmonising.register import LIES_IN, PLAYED_BY, fit_to_voice
from harmony.pitch.key import Key
from harmony.reading.opening import read_bytes
from harmony.reading.theme import score_to_theme, tell_what_is_left
from harmony.scoring import Score
from harmony.workbench.harmonising.state import Question, Repeat
from harmony.workbench.scores import open_score, open_source, when_changed

SEQUENCE, OPENING = "sequence", "opening"
_AGAIN = re.compile(r"\s*(\d+)\s*(?:[-\u2013]\s*(\d+))?\s*(?:in|at|=|:|,)\s*(\d+(?:[\s,]+\d+)*)\s*")


def open_given(question: Question) -> Given:
    """Give which voice the tune is, the bass under it opened where both are given.

    Raises
    ------
    HarmonyError
        If the score has no other part, or the bass cannot be opened.
    """
    if question.given != BOTH:
        return Given(question.given)
    own, bass = question.part or "1", question.bass
    if bass and not bass.isdigit():
        return Given(BOTH, open_source(bass, "", question.bars))
    count = len(open_score(question.source).parts)
    bass = bass or str(count)
    if bass == own:
        raise HarmonyError(
            f"{question.source!r} has no other part for the bass; choose a score with two parts, or"
            " another theme under Its bass."
            if count == 1
            else f"Part {bass} is the tune itself; choose another part for its bass."
        )
    return Given(BOTH, open_source(question.source, bass, question.bars))


def say_losses(question: Question) -> str:
    """Say what of the score is left out because a tune is one line; empty where nothing is."""
    return " ".join(tell_what_is_left(open_score(question.source), part=question.part or None))


def read_typed(text: str) -> Score:
    """Read a tune typed in ABC; the number that files begin with may be left out.

    Raises
    ------
    HarmonyError
        If it is empty, has no notes, or cannot be read.
    """
    if not text.strip():
        raise HarmonyError(
            "The box is empty; write a melody in ABC, such as M:4/4, K:D, D2 FA d4, a line each."
        )
    lines = [line.strip() for line in text.strip().splitlines() if line.strip()]
    if not any(line.startswith("X:") for line in lines):
        lines.insert(0, "X:1")
    for mark, word, such_as in (("M:", "meter", "M:3/4"), ("K:", "key", "K:D")):
        if not any(line.startswith(mark) for line in lines):
            raise HarmonyError(
                f"The melody has no {word}; write a line such as {such_as} before its notes."
            )
    score = read_bytes("\n".join(lines).encode("utf-8", "replace") + b"\n", name="The melody")
    score_to_theme(score)  # says so where there is no note
    return score


def read_tune(question: Question) -> Melody:
    """Read the tune: key, phrases and repetitions, each as found or as the composer has it."""
    # What else is asked does not change how the tune is read.
    bare = Question(
        question.source,
        key=question.key,
        part=question.part,
        bars=question.bars,
        phrase_ends=question.phrase_ends,
        repeats=question.repeats,
        given=question.given if question.given in LIES_IN else MELODY,
    )
    return _read_tune(bare, when_changed(question.source))


@lru_cache(maxsize=16)
def _read_tune(question: Question, changed: float) -> Melody:  # noqa: ARG001
    theme = open_source(question.source, question.part, question.bars)
    if question.given in LIES_IN:
        theme = fit_to_voice(theme, PLAYED_BY, LIES_IN[question.given])
    is_set = question.key not in ("", NO_KEY)
    key = Key.from_text(question.key) if is_set else None
    melody = analyse(theme, key=key, phrase_ends=question.phrase_ends)
    if question.repeats is None:
        return melody
    sequences, parallels = [], []
    for one in question.repeats:
        if one.kind == OPENING:
            parallels += [Parallel(one.starts[0], again, one.length) for again in one.starts[1:]]
        else:
            sequences.append(_repeat_to_sequence(one, melody))
    return replace(melody, sequences=tuple(sequences), parallels=tuple(parallels))


def _repeat_to_sequence(one: Repeat, melody: Melody) -> MelodicSequence:
    meters = melody.theme.meters
    bars = [meters.locate(start)[0] for start in one.starts]
    size = meters.locate(one.starts[0] + one.length)[0] - bars[0]
    return copy_bars(melody.notes, meters, bars, max(1, size))


def list_repeats(melody: Melody) -> tuple[Repeat, ...]:
    """Give the repetitions that bind the chords of a melody as it is read."""
    sequences = [Repeat(SEQUENCE, one.starts, one.length) for one in melody.sequences]
    openings = [Repeat(OPENING, (one.first, one.again), one.length) for one in melody.parallels]
    return (*sequences, *openings)


def find_repeats(question: Question) -> tuple[Repeat, ...]:
    """Give the repetitions as they are found, whatever the composer made of them."""
    return list_repeats(read_tune(replace(question, repeats=None)))


def read_repeat(text: str, melody: Melody) -> Repeat:
    """Read a repetition the composer names: ``1-2 in 5 7``, bars and where they come again.

    The same notes again take the same chords; moved ones are a sequence.

    Raises
    ------
    HarmonyError
        If the text names no bars of the tune, or what comes there is no copy.
    """
    match = _AGAIN.fullmatch(text)
    if match is None:
        raise HarmonyError(
            f"{text!r} names no bars that come again; write 1-2 in 5 where bars 1 and 2 do in 5."
        )
    meters = melody.theme.meters
    first, last = int(match[1]), int(match[2] or match[1])
    bars = [first, *(int(number) for number in re.split(r"[\s,]+", match[3]))]
    known = meters.bars_through(melody.end)
    size = last - first + 1
    for bar in bars:
        if size < 1 or bar not in known or bar + size - 1 not in known:
            raise HarmonyError(
                f"{text!r} leaves the tune; it has bars {known.start} to {known.stop - 1}."
            )
    starts = tuple(meters.bar_start(bar) for bar in bars)
    length = meters.bar_start(first + size) - starts[0]
    if all(
        _sounds(melody, start, length) == _sounds(melody, starts[0], length) for start in starts
    ):
        return Repeat(OPENING, starts, length)
    copy_bars(melody.notes, meters, bars, size)
    return Repeat(SEQUENCE, starts, length)


def _sounds(melody: Melody, start: Fraction, length: Fraction) -> list[tuple[Fraction, object]]:
    return [
        (note.onset - start, note.pitch)
        for note in melody.notes
        if start <= note.onset < start + length
    ]
