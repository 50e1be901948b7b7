"""Steering a chord by ear: another voicing of it, and a sentence that says what it gains.

Only voicings that the desk's own rules and the players' registers allow are chosen
from, so that what comes out can be pinned.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.acoustics.batch import measure_roughness
from harmony.acoustics.fundamental import support_of
from harmony.acoustics.notes import read_fundamental
from harmony.acoustics.profile import series_profile
from harmony.acoustics.spectrum import tone_amplitudes
from harmony.acoustics.steering import (
    Among,
    Chosen,
    choose_least_rough,
    choose_most_rough,
    sit_on_fundamental,
    spread_like_series,
)
from harmony.errors import HarmonyError
from harmony.instruments.timbre import voice_spectrum
from harmony.pitch.spelling import Pitch
from harmony.units import midi_to_hz
from harmony.voicings.problem import Problem
from harmony.voicings.realisation import Realisation
from harmony.workbench.spacing.hearing import DYNAMIC
from harmony.workbench.spacing.words import (
    count_words,
    list_pitches,
    write_figure,
    write_share,
)
from harmony.workbench.words import write_pitch


@dataclass(frozen=True, slots=True)
class Steered:
    """A voicing to pin, top voice first, and what there is to say about it."""

    pitches: tuple[Pitch, ...]
    sentence: str


@dataclass(frozen=True, slots=True)
class Standpoint:
    """The chord to steer, as it is voiced now. ``voice`` is the chosen one, 0 the top."""

    problem: Problem
    realisation: Realisation
    number: int
    voice: int | None = None

    def __post_init__(self) -> None:
        if not self.now:
            place = self.realisation.progression.slots[self.number].place
            raise HarmonyError(f"Nothing sounds at {place}; a chord is needed.")

    @property
    def now(self) -> tuple[Pitch, ...]:
        """The present notes, top voice first."""
        return self.realisation.pitches[self.number]

    @property
    def rising(self) -> tuple[Pitch, ...]:
        """The present notes, lowest voice first."""
        return self.now[::-1]

    @property
    def rows(self) -> NDArray[np.int64]:
        """Every voicing of the chord that the desk allows, lowest voice first."""
        voicings = self.problem.layout.voicings[self.number]
        assert voicings is not None  # a chord that sounds has some
        return voicings.pitches.astype(np.int64)

    def among(self, keeps: NDArray[np.bool_]) -> Among:
        """Give the voicings to choose from: those marked, without unisons where there are such."""
        rows = self.rows[keeps]
        ordered = np.sort(rows, axis=1)
        apart = rows[(np.diff(ordered, axis=1) > 0).all(axis=1)]
        return Among(apart if len(apart) else rows, frozenset(p.midi % 12 for p in self.now))


def spread_from_here(stand: Standpoint) -> Steered:
    """Spread the chord like the series from the chosen voice up; what lies below stays."""
    here = 0 if stand.voice is None else len(stand.now) - 1 - stand.voice
    now = np.array([pitch.midi for pitch in stand.rising])
    keeps = (stand.rows[:, : here + 1] == now[: here + 1]).all(axis=1)
    slot = stand.realisation.progression.slots[stand.number]
    assert slot.chord is not None
    name = slot.chord.root
    root = None if name is None else name.pitch_class
    among = stand.among(keeps)
    chosen = spread_like_series(among, root)
    before = float(series_profile(now, root=root, pitch_classes=among.classes)[0])
    return _tell(
        stand,
        chosen,
        f"Spread like the series from {write_pitch(stand.rising[here])} up",
        f"off the series by {write_share(chosen.value)}, before {write_share(before)}",
        "nearest",
    )


def smooth_between(stand: Standpoint) -> Steered:
    """Choose the least rough voicing between the present outer notes."""
    return _by_roughness(stand, choose_least_rough, "least")


def roughen_between(stand: Standpoint) -> Steered:
    """Choose the most rough voicing between the present outer notes."""
    return _by_roughness(stand, choose_most_rough, "most")


def sit_on(stand: Standpoint, fundamental: str) -> Steered:
    """Choose the voicing that a given fundamental explains best.

    Raises
    ------
    HarmonyError
        For no fundamental, or one above every voicing of the chord.
    """
    if not fundamental.strip():
        raise HarmonyError(
            "No fundamental is given; write one such as C1, on or below the lowest note."
        )
    lowest = tuple(sorted(stand.now, key=lambda pitch: pitch.midi))
    base = read_fundamental(fundamental.strip(), lowest)
    chosen = sit_on_fundamental(stand.among(np.ones(len(stand.rows), dtype=np.bool_)), base.midi)
    before = support_of([pitch.midi for pitch in stand.now], base.midi)
    return _tell(
        stand,
        chosen,
        f"Laid over {write_pitch(base)}",
        f"{write_pitch(base)} explains {write_share(1.0 - chosen.value)}, before"
        f" {write_share(before)}",
        "most",
    )


def _by_roughness(stand: Standpoint, choose: Callable[..., Chosen], word: str) -> Steered:
    now = np.array([pitch.midi for pitch in stand.rising])
    ends = [int(now.argmin()), int(now.argmax())]
    keeps = (stand.rows[:, ends] == now[ends]).all(axis=1)
    levels = _levels(stand)
    chosen = choose(stand.among(keeps), levels)
    before = float(measure_roughness(now, levels).hutchinson_knopoff[0])
    low, high = stand.rising[ends[0]], stand.rising[ends[1]]
    return _tell(
        stand,
        chosen,
        f"{word.capitalize()} rough between {write_pitch(low)} and {write_pitch(high)}",
        f"roughness {write_figure(chosen.value)}, before {write_figure(before)}",
        word,
    )


def _levels(stand: Standpoint) -> NDArray[np.float64]:
    """Give the partials of each voice about where it lies now, lowest voice first."""
    spectra = [voice_spectrum(v, DYNAMIC) for v in reversed(stand.realisation.ensemble.voices)]
    return tone_amplitudes(spectra, [midi_to_hz(pitch.midi) for pitch in stand.rising])


def _tell(stand: Standpoint, chosen: Chosen, what: str, gain: str, word: str) -> Steered:
    slot = stand.realisation.progression.slots[stand.number]
    chord = slot.chord
    assert chord is not None
    if chord.fixed and chosen.tried == 1:
        notes = list_pitches(chord.fixed)
        raise HarmonyError(
            f"{slot.place.capitalize()} is written as these very notes, {notes}; a chord written by"
            " its name, such as C7 or V7, can be spread otherwise."
        )
    rising = chosen.spell([*chord.names, *(pitch.name for pitch in stand.now)])
    tried = count_words(chosen.tried, "voicing", "voicings")
    apart = " without a unison" if len(set(chosen.midi)) == len(chosen.midi) else ""
    if chosen.tried == 1:
        proof = f"it is the only voicing{apart} that these players and the rules allow"
    elif chosen.is_proven:
        proof = f"the {word} of all {tried}{apart} that these players and the rules allow"
    else:
        proof = f"the {word} of {tried} tried, not of all"
    if rising == stand.rising:
        end = "It is voiced so already; its notes are pinned now, and Undo lets them go."
    else:
        end = "The notes are pinned; Undo takes them back."
    return Steered(
        rising[::-1],
        f"{what}: {list_pitches(rising)}, {gain}; {proof}. {end}",
    )
