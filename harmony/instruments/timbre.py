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
    """Give a spectrum a note: that of the voice that would play it.

    While there are voices enough each note has one of its own, higher notes higher
    voices, so that the notes lie inside the registers where they can and near their
    middles. Of more notes than voices each goes to the nearest register.
    """
    if len(pitches) > len(players.voices):
        chosen = [min(players.voices, key=lambda v: _distance(v, pitch)) for pitch in pitches]
    else:
        chosen = _share_out(pitches, players)
    return tuple(voice_spectrum(voice, dynamic) for voice in chosen)


def _share_out(pitches: Sequence[Pitch], players: Ensemble) -> list[Voice]:
    """Give each note a voice of its own without crossing, as near to the registers as can be."""
    rising = sorted(range(len(pitches)), key=lambda place: pitches[place].midi)
    # The best way to give out the lowest 0, 1, 2... notes to the voices looked at so far.
    ways: list[tuple[tuple[int, int], tuple[Voice, ...]] | None] = [((0, 0), ())]
    ways += [None] * len(rising)
    for voice in sorted(players.voices, key=lambda v: v.low.midi + v.high.midi):
        for count in range(len(rising), 0, -1):
            before, now = ways[count - 1], ways[count]
            if before is None:
                continue
            outside, away = _distance(voice, pitches[rising[count - 1]])
            cost = before[0][0] + outside, before[0][1] + away
            if now is None or cost < now[0]:
                ways[count] = cost, (*before[1], voice)
    best = ways[-1]
    assert best is not None  # there are voices enough
    own = dict(zip(rising, best[1], strict=True))
    return [own[place] for place in range(len(pitches))]


def hear(pitches: Sequence[Pitch], players: Ensemble, dynamic: str = "mf") -> Spacing:
    """Set a sonority against the series as an ensemble sounds at a dynamic mark."""
    notes = drop_doubles(pitches)
    return spacing(notes, spectra=spectra_of(notes, players, dynamic), dynamic=dynamic)


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
