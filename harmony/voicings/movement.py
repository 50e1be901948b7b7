"""Movement between the chords, asked for in some voices: passing notes, neighbours, suspensions.

A step in which an asked voice can move so is free, every other costs one unit of
`stillness`; so the search, exact as before, looks for chords between which the
voice can move.  The notes themselves are then written into its line.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.chords.progression import Progression
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble
from harmony.pitch.interval import MAJOR_SEMITONES
from harmony.pitch.key import Key
from harmony.pitch.line import Line
from harmony.pitch.note import Note
from harmony.pitch.spelling import LETTERS, Pitch
from harmony.voicings.candidates import Voicings
from harmony.voicings.costs import TERM_NAMES, Amounts, Cost, Item
from harmony.voicings.costs.leaps import place_pitches
from harmony.voicings.costs.perfects import PERFECT_CLASSES
from harmony.voicings.measures import Measures
from harmony.voicings.melody import GivenLine
from harmony.voicings.presets import Preset
from harmony.voicings.steps import Steps

KINDS = ("passing", "neighbour", "suspension")
TERM = "stillness"
USUAL_WEIGHT = 2.0
THIRDS = (3, 4)
STEPS_DOWN = (-1, -2)


@dataclass(frozen=True, slots=True)
class MovingVoice:
    """A voice (counted from the top) that is asked to move, and how it may."""

    voice: int
    kinds: tuple[str, ...]


def read_movement(
    movement: Mapping[str, Sequence[str] | str] | None, ensemble: Ensemble
) -> tuple[MovingVoice, ...]:
    """Read a mapping of voices to kinds of movement (`passing`, `neighbour`, `suspension`).

    Raises HarmonyError for an unknown voice or kind.
    """
    found = []
    for name, kinds in (movement or {}).items():
        asked = (kinds,) if isinstance(kinds, str) else tuple(kinds)
        for kind in asked:
            if kind not in KINDS:
                raise HarmonyError(
                    f"{kind!r} is no movement between chords; ask for passing, neighbour or"
                    " suspension.",
                    where=name,
                )
        voice = ensemble.voice_index(name)
        if asked:
            found.append(MovingVoice(voice, asked))
    return tuple(found)


def find_movement(
    steps: Steps, row: int, kinds: Sequence[str], others: Iterable[int] | None = None
) -> dict[str, NDArray[np.bool_]]:
    """Where a voice (counted from the lowest) can move so, by kind, each of shape (r, c).

    A passing note fills a third by step and makes no consecutive perfects with the
    other voices (or with those of ``others`` alone); a neighbour leaves and regains a
    note that stays; a suspension keeps a note that the next chord has not and then
    falls a step.
    """
    move = steps.moves[row]
    found = {}
    for kind in kinds:
        if kind == "neighbour":
            found[kind] = move == 0
        elif kind == "suspension":
            held = np.isin(steps.before.pitches[:, row] % 12, steps.after.sonority.pitch_classes)
            found[kind] = np.isin(move, STEPS_DOWN) & ~held[:, None]
        else:
            found[kind] = _can_pass(steps, row, range(steps.voices) if others is None else others)
    return found


def can_move(
    steps: Steps, one: MovingVoice, others: Iterable[int] | None = None
) -> NDArray[np.bool_]:
    """Where a voice can move in one of the ways asked, shape (r, c); see `find_movement`."""
    row = steps.voices - 1 - one.voice
    masks = list(find_movement(steps, row, one.kinds, others).values())
    moves: NDArray[np.bool_] = np.logical_or.reduce(masks)
    return moves


def _can_pass(steps: Steps, row: int, others: Iterable[int]) -> NDArray[np.bool_]:
    new = steps.after.pitches[:, row]
    fills, between = _fill_thirds(steps, row)
    for other in others:
        if other == row:
            continue
        there = steps.before.pitches[:, other][:, None]
        classes = np.abs(there - between) % 12
        arrives = np.abs(steps.after.pitches[:, other] - new) % 12
        same = (classes == arrives) & np.isin(arrives, PERFECT_CLASSES)
        fills &= ~(same & steps.has_moved[other])
    return np.asarray(fills)


def _fill_thirds(steps: Steps, row: int) -> tuple[NDArray[np.bool_], NDArray[np.int16]]:
    """Where a voice moves by a third, and the note between, both shape (r, c).

    Few pitches make all steps of one voice, so each pair of them is asked once.
    """
    columns = steps.before.pitches[:, row], steps.after.pitches[:, row]
    (old, first, here), (new, then, there) = (
        np.unique(column, return_index=True, return_inverse=True) for column in columns
    )
    ours = place_pitches(steps.before, columns[0])[first]
    theirs = place_pitches(steps.after, columns[1])[then]
    move = new - old[:, None]
    fills = np.isin(np.abs(move), THIRDS) & (np.abs(theirs - ours[:, None]) == 2)
    between = (old[:, None] + np.sign(move)).astype(np.int16)
    for i, j in np.argwhere(fills).tolist():
        between[i, j] = passing_pitch(
            int(old[i]), int(new[j]), int(ours[i] + theirs[j]) // 2, steps.after.sonority.key
        )
    whole = np.ix_(here, there)
    return fills[whole], between[whole]


def passing_pitch(old: int, new: int, place: int, key: Key | None) -> int:
    """The note on a staff place between two others, as the key has it, else a whole step away."""
    low, high = sorted((old, new))
    midi = 12 * (place // 7) + MAJOR_SEMITONES[place % 7]
    if key is not None:
        midi += _alter_in(key, place)
    return midi if low < midi < high else low + (high - low) // 2


@dataclass(frozen=True, slots=True)
class MovingMeasures:
    """The measures of a preset, and under `stillness` where asked voices cannot move."""

    base: Measures
    moving: tuple[MovingVoice, ...]

    @property
    def costs(self) -> tuple[Cost, ...]:
        """The terms of the preset."""
        return self.base.costs

    @property
    def has_floor(self) -> bool:
        """As the preset has it."""
        return self.base.has_floor

    @property
    def is_plain_in_motion(self) -> bool:
        """As the preset has it."""
        return self.base.is_plain_in_motion

    def measure_voicings(self, voicings: Voicings) -> Amounts:
        """Amounts of every term for every voicing, shape (T, n)."""
        return self.base.measure_voicings(voicings)

    def measure_steps(self, steps: Steps) -> Amounts:
        """Amounts of every term for every step, shape (T, r, c)."""
        table = self.base.measure_steps(steps)
        place = TERM_NAMES.index(TERM)
        table[place] = 0
        for one in self.moving:
            table[place] += ~can_move(steps, one)
        return table

    def explain(self, here: Voicings, steps: Steps | None) -> tuple[list[Item], ...]:
        """Items of every term for the only voicing, and the only step to it."""
        found = list(self.base.explain(here, steps))
        found[TERM_NAMES.index(TERM)] = [
            Item((steps.voices - 1 - one.voice,), 1, "{0} finds no way to move between the chords")
            for one in self.moving
            if steps is not None and not can_move(steps, one)[0, 0]
        ]
        return tuple(found)

    def ordinary(self, *, with_step: bool) -> tuple[int, ...]:
        """As the preset has it."""
        return self.base.ordinary(with_step=with_step)


def ask_for_movement(preset: Preset, moving: tuple[MovingVoice, ...]) -> Preset:
    """A preset that looks for chords between which these voices can move."""
    weight = preset.weights[TERM] or USUAL_WEIGHT
    return replace(
        preset,
        measures=MovingMeasures(preset.measures, moving),
        weights={**preset.weights, TERM: weight},
    )


def write_lines(
    progression: Progression,
    pitches: Sequence[tuple[Pitch, ...]],
    chosen: Sequence[Voicings | None],
    moving: Sequence[MovingVoice],
) -> tuple[GivenLine, ...]:
    """The lines of the moving voices, with the notes between the chords written in."""
    return tuple(_write_line(progression, pitches, chosen, one) for one in moving)


def _write_line(
    progression: Progression,
    pitches: Sequence[tuple[Pitch, ...]],
    chosen: Sequence[Voicings | None],
    one: MovingVoice,
) -> GivenLine:
    notes: list[Note] = []
    suspended: Pitch | None = None
    for number, slot in enumerate(progression.slots):
        own = pitches[number][one.voice] if pitches[number] else None
        onset, left = slot.onset, slot.duration
        if suspended is not None and own is not None:
            notes[-1] = replace(notes[-1], duration=notes[-1].duration + left / 2)
            onset, left = onset + left / 2, left / 2
        suspended = None
        kind = _kind_after(chosen, number, one)
        if own is None or kind is None:
            notes.append(Note(onset, left, own))
            continue
        following = pitches[number + 1][one.voice]
        if kind == "suspension":
            suspended = own
            notes.append(Note(onset, left, own))
            continue
        notes.append(Note(onset, left / 2, own))
        between = _between(own, following, slot.key)
        notes.append(Note(onset + left / 2, Fraction(left, 2), between))
    ruling = tuple(chord[one.voice] if chord else None for chord in pitches)
    return GivenLine(one.voice, Line(tuple(notes)), ruling)


def _kind_after(chosen: Sequence[Voicings | None], number: int, one: MovingVoice) -> str | None:
    here = chosen[number]
    there = chosen[number + 1] if number + 1 < len(chosen) else None
    if here is None or there is None:
        return None
    steps = Steps(here, there)
    found = find_movement(steps, steps.voices - 1 - one.voice, one.kinds)
    return next((kind for kind, mask in found.items() if mask[0, 0]), None)


def _between(own: Pitch, following: Pitch, key: Key | None) -> Pitch:
    """The passing note between two notes a third apart, or the neighbour below a note."""
    if own == following:
        place = own.staff_step - 1
        alter = 0 if key is None else _alter_in(key, place)
        return Pitch(LETTERS[place % 7], alter, place // 7)
    place = (own.staff_step + following.staff_step) // 2
    # Staff places of voicings count from C-1, those of pitches from C0.
    midi = passing_pitch(own.midi, following.midi, place + 7, key)
    natural = Pitch(LETTERS[place % 7], 0, place // 7)
    return replace(natural, alter=midi - natural.midi)


def _alter_in(key: Key, place: int) -> int:
    return next(name.alter for name in key.scale if name.step == place % 7)
