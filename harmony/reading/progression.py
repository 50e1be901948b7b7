"""The progression of a score: as it is named there, or as its notes suggest."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from harmony.chords.chord import Chord
from harmony.chords.naming import chord_symbol, figure_in_key
from harmony.chords.progression import Progression, Slot
from harmony.errors import HarmonyError
from harmony.pitch.key import Key
from harmony.reading.chords import propose_chords
from harmony.scoring.score import Score


def score_to_progression(score: Score) -> Progression:
    """Give the chords of a score as a progression.

    Chord names written in the score count; where there are none the chords are
    read from the notes, beat by beat, and equal neighbours joined.

    Raises
    ------
    HarmonyError
        If the score names no chord and has no notes.
    """
    if score.harmonies:
        found = [
            (harmony.onset, harmony.chord, harmony.symbol or chord_symbol(harmony.chord))
            for harmony in score.harmonies
        ]
    else:
        found = _joined(score)
    if not found:
        raise HarmonyError("The score names no chords and has no notes to read them from.")
    return _to_progression(score, found)


def _joined(score: Score) -> list[tuple[Fraction, Chord | None, str]]:
    """Read the notes; a chord lasts while the next beats say the same."""
    found: list[tuple[Fraction, Chord | None, str]] = []
    for proposal in propose_chords(score):
        chord = proposal.first
        last = found[-1][1] if found else None
        if last is None or (last.root, last.quality, last.bass) != (
            chord.root,
            chord.quality,
            chord.bass,
        ):
            found.append((proposal.onset, chord, chord_symbol(chord)))
    return found


def _to_progression(score: Score, found: list[tuple[Fraction, Chord | None, str]]) -> Progression:
    end = max(score.all_bars[-1].end, score.end)
    onsets = [onset for onset, _, _ in found] + [end]
    slots = []
    for index, (onset, chord, figure) in enumerate(found):
        if onsets[index + 1] <= onset:
            continue
        bar, beat = score.meters.locate(onset)
        named = None if chord is None else replace(chord, figure=figure)
        slots.append(Slot(bar, beat, onset, onsets[index + 1] - onset, score.key_at(onset), named))
    return Progression(tuple(slots), score.meters, " ".join(slot.figure for slot in slots))


def numerals_of(progression: Progression, key: Key | None = None) -> tuple[str, ...]:
    """Give each chord as a Roman numeral in its own key (or in ``key``)."""
    return tuple(
        "N.C." if slot.chord is None
        else figure_in_key(slot.chord, key or slot.key) if (key or slot.key)
        else slot.figure
        for slot in progression
    )  # fmt: skip
