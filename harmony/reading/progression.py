"""The progression of a score: as it is named there, or as its notes suggest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from harmony.chords.chord import Chord
from harmony.chords.naming import chord_symbol
from harmony.chords.progression import Progression, Slot
from harmony.errors import HarmonyError
from harmony.reading.chords import ChordProposal, propose_chords
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
    return read_progression(score)[0]


def read_progression(score: Score) -> tuple[Progression, tuple[ChordProposal, ...]]:
    """Give the chords of a score, and the proposals that its notes made for them.

    There are no proposals where the score names its chords. See
    :func:`score_to_progression`.
    """
    if score.harmonies:
        named = [
            (harmony.onset, harmony.chord, harmony.symbol or chord_symbol(harmony.chord))
            for harmony in score.harmonies
        ]
        return _to_progression(score, named), ()
    proposals = _joined(score)
    if not proposals:
        raise HarmonyError(
            "The score names no chords and has no notes to read them from; a score with either is"
            " accepted."
        )
    found = [(one.onset, one.first, chord_symbol(one.first)) for one in proposals]
    return _to_progression(score, found), proposals


def _joined(score: Score) -> tuple[ChordProposal, ...]:
    """Read the notes; a chord lasts while the next beats say the same."""
    found: list[ChordProposal] = []
    for proposal in propose_chords(score):
        chord = proposal.first
        last = found[-1].first if found else None
        if last is None or (last.root, last.quality, last.bass) != (
            chord.root,
            chord.quality,
            chord.bass,
        ):
            found.append(proposal)
    return tuple(found)


def _to_progression(
    score: Score, found: Sequence[tuple[Fraction, Chord | None, str]]
) -> Progression:
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
