"""A chord of a progression as its players sound it, measured against the series."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from harmony.acoustics.api import spacing
from harmony.acoustics.batch import measure_roughness
from harmony.acoustics.notes import drop_doubles
from harmony.acoustics.spacing import Spacing
from harmony.acoustics.spectrum import Spectrum, tone_amplitudes
from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.instruments.timbre import voice_spectrum
from harmony.pitch.spelling import Pitch
from harmony.units import midi_to_hz
from harmony.voicings.realisation import Realisation

DYNAMIC = "mf"


@dataclass(frozen=True, slots=True)
class Heard:
    """What sounds at one chord.

    ``pitches`` are lowest first and each once, ``spectra`` one for each of them;
    ``shared`` are the notes that several voices have, with the names of these.
    ``found`` is the sonority against the series.
    """

    number: int
    slot: Slot
    pitches: tuple[Pitch, ...]
    spectra: tuple[Spectrum, ...]
    shared: tuple[tuple[Pitch, tuple[str, ...]], ...]
    found: Spacing


def hear_chord(
    realisation: Realisation, number: int, *, fundamental: str = "", seconds: float | None = None
) -> Heard:
    """Measure one chord with its players' spectra, each of them mezzo forte.

    Parameters
    ----------
    realisation
        The progression as voiced.
    number
        Which of its chords, from 0.
    fundamental
        A fundamental to measure against, such as ``C1``; empty for the one that
        explains the notes best.
    seconds
        How long the chord lasts, for the findings about low intervals.

    Raises
    ------
    HarmonyError
        For a silent place, one note alone, more than 32, or a fundamental that
        is not on or below the lowest note.
    """
    slot = realisation.progression.slots[number]
    voiced = realisation.pitches[number]
    if not voiced or slot.chord is None:
        raise HarmonyError(f"Nothing sounds at {slot.place}; a chord is needed.")
    by_midi: dict[int, list[int]] = {}
    for voice, pitch in enumerate(voiced):
        by_midi.setdefault(pitch.midi, []).append(voice)
    voices = realisation.ensemble.voices
    pitches = drop_doubles(voiced)
    spectra = tuple(voice_spectrum(voices[by_midi[p.midi][0]], DYNAMIC) for p in pitches)
    shared = tuple(
        (pitch, tuple(voices[voice].name for voice in by_midi[pitch.midi]))
        for pitch in pitches
        if len(by_midi[pitch.midi]) > 1
    )
    found = spacing(
        pitches,
        fundamental=fundamental.strip() or None,
        root=slot.chord.root,
        spectra=spectra,
        seconds=seconds,
        dynamic=DYNAMIC,
    )
    return Heard(number, slot, pitches, spectra, shared, found)


def pack_close(midi: Sequence[int]) -> tuple[int, ...]:
    """Lay notes (lowest first) as close above their bass as they go without a unison."""
    bass = midi[0]
    copies: Counter[int] = Counter()
    packed = []
    for note in midi:
        above = (note - bass) % 12
        packed.append(bass + above + 12 * copies[above])
        copies[above] += 1
    return tuple(sorted(packed))


def measure_packed(heard: Heard) -> float:
    """Give the roughness of the same notes packed close above the bass, by the same players.

    In the model of ``heard.found.roughness``: what the spacing is to be set beside.
    """
    midi = pack_close([pitch.midi for pitch in heard.pitches])
    levels = tone_amplitudes(heard.spectra, [midi_to_hz(note) for note in midi])
    return float(measure_roughness(midi, levels).hutchinson_knopoff[0])
