"""What one doubling adds to a sonority."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd

import numpy as np

from harmony.acoustics.api import spacing
from harmony.acoustics.spacing import Spacing
from harmony.acoustics.spectrum import PARTIALS, Spectrum
from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval, transpose
from harmony.pitch.spelling import Pitch


@dataclass(frozen=True, slots=True)
class Doubling:
    """A sonority before and after a note of it was doubled.

    ``strengthened`` are the partials of the doubled note, up to the sixteenth,
    that the added note falls on. The changes are after minus before.
    """

    added: Pitch
    before: Spacing
    after: Spacing
    strengthened: tuple[int, ...]

    @property
    def roughness_change(self) -> float:
        """Change of roughness, in the measure of :class:`Spacing`."""
        return self.after.roughness - self.before.roughness

    @property
    def moves_fundamental(self) -> bool:
        """True where the ear is led to another fundamental."""
        return self.after.fundamental.midi != self.before.fundamental.midi


def add_doubling(
    pitches: Sequence[Pitch],
    doubled: Pitch,
    at: Interval,
    *,
    spectra: Sequence[Spectrum] | None = None,
    added_spectrum: Spectrum | None = None,
) -> Doubling:
    """Double a note of a sonority at an interval (an octave, a twelfth...).

    Parameters
    ----------
    pitches
        The sonority as sounding, each note once.
    doubled
        Which of its notes is doubled.
    at
        Up or down from there to the added note; not the unison, which makes a
        note louder and nothing else.
    spectra, added_spectrum
        The spectra of the notes, in their order, and of the added one; both or
        neither.

    Raises
    ------
    HarmonyError
        If the doubled note is not there, the added one is, or only one kind of
        spectrum is given.
    """
    heights = [pitch.midi for pitch in pitches]
    if doubled.midi not in heights:
        raise HarmonyError(f"{doubled} is not in the sonority; one of its notes is accepted.")
    added = transpose(doubled, at)
    if added.midi in heights:
        raise HarmonyError(f"{added} sounds already; a doubling that adds a note is accepted.")
    if (spectra is None) is not (added_spectrum is None):
        raise HarmonyError("Spectra are given for the notes and the added one, or for none.")
    if spectra is None or added_spectrum is None:
        before, after = spacing(pitches), spacing([*pitches, added])
    else:
        with_added = [*zip(pitches, spectra, strict=True), (added, added_spectrum)]
        before = _measure(with_added[:-1])
        after = _measure(with_added)
    return Doubling(added, before, after, _shared_partials(at.semitones))


def _measure(notes: Sequence[tuple[Pitch, Spectrum]]) -> Spacing:
    ordered = sorted(notes, key=lambda note: note[0].midi)
    return spacing([pitch for pitch, _ in ordered], spectra=[one for _, one in ordered])


def _shared_partials(semitones: int) -> tuple[int, ...]:
    """Give the partials of a tone that one so many semitones away falls on, within 20 cents."""
    numbers = np.arange(1, PARTIALS + 1)
    own = 12.0 * np.log2(numbers)
    other = semitones + own
    near = np.abs(own[:, None] - other[None, :]) <= 0.2
    shared = numbers[near.any(axis=1)].tolist()
    step = gcd(*shared) if shared else 0
    # beyond the added tone's own sixteen partials the pattern goes on
    return tuple(range(step, PARTIALS + 1, step)) if step and shared[0] == step else tuple(shared)
