"""A chord of a progression as its players sound it, measured against the series."""

from __future__ import annotations

from dataclasses import dataclass

from harmony.acoustics.api import spacing
from harmony.acoustics.notes import drop_doubles
from harmony.acoustics.spacing import Spacing
from harmony.acoustics.spectrum import Spectrum
from harmony.chords.progression import Slot
from harmony.errors import HarmonyError
from harmony.instruments.timbre import voice_spectrum
from harmony.pitch.spelling import Pitch
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
