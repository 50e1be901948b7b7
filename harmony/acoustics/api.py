"""``harmony.spacing``: from notes to what the ear makes of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from harmony.acoustics.crowding import brightness_of, find_low_intervals
from harmony.acoustics.fundamental import find_fundamentals, support_of
from harmony.acoustics.measure import measure_voicings
from harmony.acoustics.notes import Notes, read_fundamental, read_notes
from harmony.acoustics.rubbing import find_rough_pairs
from harmony.acoustics.series import place_in_series
from harmony.acoustics.spacing import Spacing
from harmony.acoustics.spectrum import Spectrum, plain_amplitudes, tone_amplitudes
from harmony.acoustics.tertian import theoretical_root
from harmony.errors import HarmonyError
from harmony.pitch.spelling import Pitch, PitchName, spell_midi
from harmony.units import CONCERT_A_HZ, midi_to_hz

#: Partials of the plain tone, as Hutchinson and Knopoff's later users take them.
_PLAIN_PARTIALS = 11
#: An octave to either side of today's pitch, beyond all that was ever in use.
_A4_HZ = (220.0, 880.0)
_LONGEST_SECONDS = 3600.0


def spacing(
    notes: Notes,
    *,
    fundamental: str | int | Pitch | None = None,
    root: PitchName | str | None = None,
    spectra: Sequence[Spectrum] | None = None,
    seconds: float | None = None,
    dynamic: str = "mf",
    a4_hz: float = CONCERT_A_HZ,
) -> Spacing:
    """Set a sonority against the harmonic series.

    Parameters
    ----------
    notes
        ``"C2 G2 E3 C4"``, or a series of names, pitches or MIDI numbers, as
        sounding; 2 to 32 of them, each once.
    fundamental
        A fundamental to measure against, on or below the lowest note; else the
        one that explains the notes best (:mod:`harmony.acoustics.fundamental`).
    root
        The theoretical root where it is known; else read from the names.
    spectra
        A spectrum for each note, lowest first; else a plain tone (amplitude 1/n).
    seconds, dynamic
        How long (up to an hour) and how loud, for the findings about low intervals.
    a4_hz
        The frequency of A4, 220 to 880 hertz.

    Returns
    -------
    Spacing
        ``.to_json()`` gives it as plain data; deviations are in cents, the note
        minus the partial.

    Raises
    ------
    HarmonyError
        For fewer than 2 or more than 32 notes, a note beyond hearing or given
        twice, a fundamental above the chord, as many spectra as there are not
        notes, or a length or frequency beyond these bounds.

    >>> found = spacing("C2 G2 E3 C4 G4 E5")
    >>> str(found.fundamental), [one.partial for one in found.placed]
    ('C1', [2, 3, 5, 8, 12, 20])
    """
    _check_conditions(seconds, a4_hz)
    pitches = read_notes(notes)
    midi = [pitch.midi for pitch in pitches]
    fundamentals = find_fundamentals(midi)
    # A chord from C0 has one fundamental alone, which is then its own runner-up.
    best, second = fundamentals[0], fundamentals[-1]
    names = [pitch.name for pitch in pitches]
    if fundamental is None:
        base = _spell_like(best.midi, names)
        support, other = best.support, second
    else:
        base = read_fundamental(fundamental, pitches)
        support = support_of(midi, base.midi)
        other = second if base.midi == best.midi else best
    levels = _levels(pitches, spectra, a4_hz)
    measures = measure_voicings(midi, levels, a4_hz=a4_hz)
    return Spacing(
        placed=place_in_series(pitches, base),
        fundamental=base,
        fundamental_hz=midi_to_hz(base.midi, a4_hz=a4_hz),
        support=support,
        runner_up=_spell_like(other.midi, names),
        runner_up_support=other.support,
        root=_read_root(root, names),
        roughness=float(measures.roughness.hutchinson_knopoff[0]),
        harmonicity=2.0 ** -float(measures.log_periodicity[0]),
        rough_pairs=find_rough_pairs(pitches, levels, a4_hz=a4_hz),
        low_intervals=find_low_intervals(
            pitches,
            seconds=seconds,
            dynamic=dynamic,
            brightness=None if spectra is None else brightness_of(levels[0]),
        ),
        measures=measures,
    )


def _check_conditions(seconds: float | None, a4_hz: float) -> None:
    if seconds is not None and not 0 < seconds <= _LONGEST_SECONDS:
        raise HarmonyError(
            f"A chord does not last {seconds:g} seconds; more than 0 and up to"
            f" {_LONGEST_SECONDS:g} are accepted."
        )
    if not _A4_HZ[0] <= a4_hz <= _A4_HZ[1]:
        raise HarmonyError(
            f"A4 does not stand at {a4_hz:g} Hz; {_A4_HZ[0]:g} to {_A4_HZ[1]:g} Hz is accepted."
        )


def _levels(
    pitches: Sequence[Pitch], spectra: Sequence[Spectrum] | None, a4_hz: float
) -> NDArray[np.float64]:
    if spectra is None:
        return np.tile(plain_amplitudes(_PLAIN_PARTIALS), (len(pitches), 1))
    if len(spectra) != len(pitches):
        raise HarmonyError(
            f"{len(spectra)} spectra cannot serve {len(pitches)} notes; one a note is accepted."
        )
    return tone_amplitudes(spectra, [midi_to_hz(pitch.midi, a4_hz=a4_hz) for pitch in pitches])


def _read_root(root: PitchName | str | None, names: Sequence[PitchName]) -> PitchName:
    if root is None:
        return theoretical_root(names)
    return PitchName.from_text(root) if isinstance(root, str) else root


def _spell_like(midi: int, names: Sequence[PitchName]) -> Pitch:
    """Spell a note as the chord does, else as near to its names as may be."""
    for name in names:
        if name.pitch_class == midi % 12:
            return name.at_midi(midi)
    middle = sum(name.fifths for name in names) / len(names)
    plain = spell_midi(midi).name.fifths
    fifths = min((plain - 12, plain, plain + 12), key=lambda place: abs(place - middle))
    return PitchName.from_fifths(fifths).at_midi(midi)
