"""How an ensemble sounds: the spectra and registers of its voices, for the acoustics."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from harmony.acoustics.api import spacing
from harmony.acoustics.notes import drop_doubles
from harmony.acoustics.spacing import Spacing
from harmony.acoustics.spectrum import Spectrum, spectrum
from harmony.acoustics.steering import Wish
from harmony.errors import HarmonyError
from harmony.instruments.ensemble import Ensemble, Voice
from harmony.pitch.spelling import Pitch


@dataclass(frozen=True, slots=True)
class Comparison:
    """One sonority as two ensembles play it."""

    first_name: str
    second_name: str
    first: Spacing
    second: Spacing

    @property
    def roughness_ratio(self) -> float:
        """The second's roughness in parts of the first's; infinite against a smooth first."""
        if self.first.roughness == 0.0:
            return 1.0 if self.second.roughness == 0.0 else float("inf")
        return self.second.roughness / self.first.roughness


def voice_spectrum(voice: Voice, dynamic: str = "mf") -> Spectrum:
    """Give the spectrum of a voice's instrument at a dynamic mark."""
    return spectrum(voice.player.instrument.spectrum, dynamic)


def spectra_of(
    pitches: Sequence[Pitch], players: Ensemble, dynamic: str = "mf"
) -> tuple[Spectrum, ...]:
    """Give a spectrum a note: that of the voice in whose register it lies best.

    A note within several registers goes to the one whose middle is nearest; a
    note in none goes to the nearest register.
    """
    chosen = (min(players.voices, key=lambda v: _distance(v, pitch)) for pitch in pitches)
    return tuple(voice_spectrum(voice, dynamic) for voice in chosen)


def hear(pitches: Sequence[Pitch], players: Ensemble, dynamic: str = "mf") -> Spacing:
    """Set a sonority against the series as an ensemble sounds at a dynamic mark."""
    notes = drop_doubles(pitches)
    return spacing(notes, spectra=spectra_of(notes, players, dynamic), dynamic=dynamic)


def compare_ensembles(
    pitches: Sequence[Pitch], first: Ensemble, second: Ensemble, dynamic: str = "mf"
) -> Comparison:
    """Compare the same sonority played by two ensembles."""
    return Comparison(
        first.name, second.name, hear(pitches, first, dynamic), hear(pitches, second, dynamic)
    )


def wish_for(
    players: Ensemble, classes: frozenset[int], *, bass: Pitch | None, top: Pitch | None
) -> Wish:
    """Wish for a voicing of a chord by an ensemble, between outer notes where given.

    Raises
    ------
    HarmonyError
        If an outer note is out of its player's register, or the chord has more
        names than there are voices.
    """
    lowest, highest = players.voices[-1], players.voices[0]
    for pitch, voice in ((bass, lowest), (top, highest)):
        if pitch is not None and not voice.low.midi <= pitch.midi <= voice.high.midi:
            raise HarmonyError(
                f"{pitch} is out of the register of {voice.name}, {voice.low} to {voice.high}."
            )
    return Wish(
        classes=classes,
        registers=tuple((v.low.midi, v.high.midi) for v in reversed(players.voices)),
        bass=None if bass is None else bass.midi,
        top=None if top is None else top.midi,
    )


def _distance(voice: Voice, pitch: Pitch) -> tuple[int, int]:
    outside = max(voice.low.midi - pitch.midi, pitch.midi - voice.high.midi, 0)
    return outside, abs(voice.low.midi + voice.high.midi - 2 * pitch.midi)
