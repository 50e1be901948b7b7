"""Choosing a voicing by ear: spread like the series, least or most rough, on a fundamental.

Every admissible voicing is tried where there are not too many; the answer says
how many were tried and whether that was all of them. All are of the same chord
names, strictly rising, with every name present.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.batch import measure_roughness
from harmony.acoustics.fundamental import best_sum, support_table
from harmony.acoustics.notes import HIGHEST_HEARD, LOWEST_HEARD
from harmony.acoustics.profile import series_profile
from harmony.acoustics.rubbing import rub_matrix
from harmony.acoustics.spectrum import plain_amplitudes
from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch, PitchName, spell_midi

Rows = NDArray[np.int64]
Values = NDArray[np.float64]
#: Takes voicings of shape (N, n), lowest note first, and gives shape (N,); less is better.
Objective = Callable[[Rows], Values]

_MOST_ENUMERATED = 100_000
_MOST_MEASURED = 20_000
_MEASURED_OF_MANY = 3_000
_PARTIALS = 11


@dataclass(frozen=True, slots=True)
class Wish:
    """What a voicing must keep to, whatever it is chosen for.

    ``classes`` are the chord's names as semitones above C; ``registers`` one
    (lowest, highest) pair of MIDI numbers a voice, lowest voice first. ``bass``
    and ``top`` are MIDI numbers of the outer notes where they are given.
    ``widest`` is the widest distance between neighbours above the lowest two.
    """

    classes: frozenset[int]
    registers: tuple[tuple[int, int], ...]
    bass: int | None = None
    top: int | None = None
    widest: int = 24

    def __post_init__(self) -> None:
        if not self.classes or not self.registers:
            raise HarmonyError("A chord and its players are needed to choose a voicing.")
        if len(self.registers) < len(self.classes):
            raise HarmonyError(
                f"{len(self.registers)} voices cannot hold a chord of {len(self.classes)} names;"
                " as many voices as names, or more, are accepted."
            )
        for outer, word in ((self.bass, "lowest"), (self.top, "highest")):
            if outer is None:
                continue
            if not LOWEST_HEARD <= outer <= HIGHEST_HEARD:
                raise HarmonyError(f"The {word} note is beyond hearing; C0 to B9 are accepted.")
            if outer % 12 not in self.classes:
                raise HarmonyError(
                    f"The {word} note, {spell_midi(outer)}, is not in the chord; one of its own"
                    " notes is accepted."
                )
        if self.bass is not None and self.top is not None and self.bass >= self.top:
            raise HarmonyError("The lowest note must lie below the highest.")

    @classmethod
    def within(
        cls, classes: Sequence[int] | frozenset[int], voices: int, bass: int, top: int
    ) -> Wish:
        """Wish for ``voices`` notes between two outer notes, whoever plays them."""
        return cls(frozenset(classes), ((bass, top),) * voices, bass, top)


@dataclass(frozen=True, slots=True, eq=False)
class Among:
    """Voicings to choose from, where it is known already which are possible.

    ``rows`` are MIDI numbers, shape (N, n), lowest voice first; ``classes`` the
    chord's names as semitones above C. ``is_all`` says that there are no others.
    """

    rows: Rows
    classes: frozenset[int]
    is_all: bool = True

    def __post_init__(self) -> None:
        if self.rows.ndim != 2 or not len(self.rows):
            raise HarmonyError(
                "No voicing of this chord is left to choose from; other outer notes or wider"
                " registers are accepted."
            )


Field = Wish | Among


@dataclass(frozen=True, slots=True)
class Chosen:
    """A voicing, lowest note first, as MIDI numbers, and what it was chosen by.

    ``value`` is the measure's, ``tried`` how many voicings were compared.
    ``is_proven`` is False where there were too many to try all.
    """

    midi: tuple[int, ...]
    value: float
    tried: int
    is_proven: bool

    def spell(self, names: Iterable[PitchName]) -> tuple[Pitch, ...]:
        """Give the voicing as pitches, spelled as the chord's names are."""
        by_class = {name.pitch_class: name for name in names}
        return tuple(
            by_class[note % 12].at_midi(note) if note % 12 in by_class else spell_midi(note)
            for note in self.midi
        )


def spread_like_series(wish: Field, root: int | None = None) -> Chosen:
    """Spread a chord like the harmonic series.

    The voicing with the smallest :func:`~harmony.acoustics.profile.series_profile`
    (0 to 1); ``root`` is its theoretical root as semitones above C, or None.
    """

    def far_from_series(rows: Rows) -> Values:
        return series_profile(rows, root=root, pitch_classes=wish.classes)

    return choose(wish, far_from_series)


def sit_on_fundamental(wish: Field, fundamental: int) -> Chosen:
    """Choose the voicing that a given fundamental (MIDI) explains best.

    The value is what is lacking to the full support of
    :mod:`harmony.acoustics.fundamental`, 0 to 1.

    Raises
    ------
    HarmonyError
        If the fundamental lies above every lowest note that could be chosen.
    """
    highest_bass = _highest_bass(wish)
    if fundamental > highest_bass:
        raise HarmonyError(
            f"The fundamental {spell_midi(fundamental)} lies above the chord, whose lowest note is"
            f" at most {spell_midi(highest_bass)}; that note or a lower one is accepted."
        )
    table = np.concatenate((np.zeros(128), support_table()))

    def unexplained(rows: Rows) -> Values:
        lacking: Values = 1.0 - table[rows - fundamental + 128].sum(axis=1) / best_sum(
            rows.shape[1]
        )
        return lacking

    return choose(wish, unexplained)


def choose_least_rough(wish: Field, amplitudes: ArrayLike | None = None) -> Chosen:
    """Choose the voicing with the least Hutchinson-Knopoff roughness.

    ``amplitudes`` are of the partials, shape (p,) or (n, p), lowest voice first;
    eleven partials of amplitude 1/n when left out.
    """
    return _choose_by_roughness(wish, amplitudes, sign=1.0)


def choose_most_rough(wish: Field, amplitudes: ArrayLike | None = None) -> Chosen:
    """Choose the voicing with the most Hutchinson-Knopoff roughness (see the least)."""
    return _choose_by_roughness(wish, amplitudes, sign=-1.0)


def choose(wish: Field, objective: Objective) -> Chosen:
    """Choose the best voicing by any measure; of equals the lowest-lying wins."""
    rows, complete = list_voicings(wish, objective)
    values = objective(rows)
    best = int(np.round(values, 12).argmin())
    return Chosen(tuple(rows[best].tolist()), float(values[best]), len(rows), complete)


def list_voicings(wish: Field, objective: Objective) -> tuple[Rows, bool]:
    """Give the voicings that keep to a wish, and whether these are all of them.

    Those given as :class:`Among` are taken as they stand.

    Beyond 100,000 those are dropped whose lower notes are worst by the
    objective. Rows are in rising order, the lowest note first.

    Raises
    ------
    HarmonyError
        If no voicing keeps to the wish.
    """
    if isinstance(wish, Among):
        return wish.rows, wish.is_all
    complete = True
    rows = _first_notes(wish)
    for voice in range(1, len(wish.registers)):
        rows = _add_voice(rows, _notes_of(wish, voice), wish, voice)
        if len(rows) > _MOST_ENUMERATED:
            complete = False
            kept = np.sort(np.argsort(objective(rows), kind="stable")[:_MOST_ENUMERATED])
            rows = rows[kept]
    present = np.ones(len(rows), dtype=np.bool_)
    for one in wish.classes:
        present &= (rows % 12 == one).any(axis=1)
    rows = rows[present]
    if not len(rows):
        raise HarmonyError(
            "No voicing of this chord fits between these notes and these players' registers;"
            " wider outer notes or registers are accepted."
        )
    return rows, complete


def _choose_by_roughness(wish: Field, amplitudes: ArrayLike | None, *, sign: float) -> Chosen:
    levels = np.asarray(plain_amplitudes(_PARTIALS) if amplitudes is None else amplitudes)
    between = _pair_table(levels if levels.ndim == 1 else levels.mean(axis=0))

    def roughly(rows: Rows) -> Values:
        low, high = np.triu_indices(rows.shape[1], 1)
        estimate: Values = sign * between[rows[:, low], rows[:, high]].sum(axis=1)
        return estimate

    rows, complete = list_voicings(wish, roughly)
    if len(rows) > _MOST_MEASURED:
        complete = False
        rows = rows[np.sort(np.argsort(roughly(rows), kind="stable")[:_MEASURED_OF_MANY])]
    measured = measure_roughness(rows, levels).hutchinson_knopoff
    best = int((sign * np.round(measured, 9)).argmin())
    return Chosen(tuple(rows[best].tolist()), float(measured[best]), len(rows), complete)


def _highest_bass(wish: Field) -> int:
    if isinstance(wish, Among):
        return int(wish.rows.min(axis=1).max())
    return wish.registers[0][1] if wish.bass is None else wish.bass


def _pair_table(levels: Values) -> Values:
    """Give the roughness between any two notes of one tone, by MIDI numbers."""
    count = HIGHEST_HEARD + 1
    notes = list(range(LOWEST_HEARD, count))
    table = np.zeros((count, count))
    table[LOWEST_HEARD:, LOWEST_HEARD:] = rub_matrix(notes, np.tile(levels, (len(notes), 1)))
    return table


def _notes_of(wish: Wish, voice: int) -> Rows:
    low, high = wish.registers[voice]
    if voice == len(wish.registers) - 1 and wish.top is not None:
        low = high = wish.top
    if wish.top is not None:
        high = min(high, wish.top)
    return np.array([n for n in range(low, high + 1) if n % 12 in wish.classes], dtype=np.int64)


def _first_notes(wish: Wish) -> Rows:
    notes = _notes_of(wish, 0) if wish.bass is None else np.array([wish.bass], dtype=np.int64)
    return notes[:, None]


def _add_voice(rows: Rows, notes: Rows, wish: Wish, voice: int) -> Rows:
    """Put every note of the next voice above every voicing so far, where it may stand."""
    above = notes[None, :] - rows[:, -1:]
    allowed = above > 0
    if voice > 1:
        allowed &= above <= wish.widest
    voicing, note = np.nonzero(allowed)
    joined: Rows = np.concatenate((rows[voicing], notes[note][:, None]), axis=1)
    missing = len(wish.registers) - voice - 1
    if missing >= len(wish.classes):
        return joined
    # drop what can no longer reach every name of the chord
    names = np.zeros(len(joined), dtype=np.int64)
    for one in wish.classes:
        names += (joined % 12 == one).any(axis=1)
    return joined[len(wish.classes) - names <= missing]
