"""Ensembles: voices in score order, each with its player and register."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from harmony.errors import HarmonyError
from harmony.instruments.instrument import FAMILIES, Player
from harmony.pitch.spelling import Pitch


@dataclass(frozen=True, slots=True)
class Voice:
    """One line of an ensemble: name, player, and the sounding register it may use."""

    name: str
    player: Player
    low: Pitch
    high: Pitch

    def __post_init__(self) -> None:
        if self.low.midi > self.high.midi:
            raise HarmonyError(
                f"The register of {self.name} is upside down: {self.low} lies above {self.high}."
            )


@dataclass(frozen=True, slots=True)
class Ensemble:
    """Voices, top first. ``groups`` are (name, indices of voices) that belong together.

    ``gaps`` is the widest distance in semitones between neighbouring voices, top
    pair first (one fewer than the voices); 0 means no limit. ``preset`` names the
    costs used unless others are chosen. ``staves`` lays the voices out on paper:
    (name, indices of its voices), one staff each; empty means a staff a voice.
    ``spans`` are what one hand must reach: (name, indices of its voices, widest
    distance in semitones from its lowest to its highest note). ``source`` says
    where registers and distances are from.
    """

    name: str
    voices: tuple[Voice, ...]
    groups: tuple[tuple[str, tuple[int, ...]], ...] = ()
    gaps: tuple[int, ...] = ()
    preset: str = "chorale"
    staves: tuple[tuple[str, tuple[int, ...]], ...] = ()
    spans: tuple[tuple[str, tuple[int, ...], int], ...] = ()
    source: str = ""

    def __post_init__(self) -> None:
        if not self.voices:
            raise HarmonyError(f"The ensemble {self.name} has no voices.")
        names = [voice.name for voice in self.voices]
        if len(set(names)) != len(names):
            raise HarmonyError(f"Two voices of {self.name} have the same name.")
        if self.gaps and len(self.gaps) != len(self.voices) - 1:
            raise HarmonyError(f"{self.name} needs one gap fewer than it has voices.")
        named = [*self.groups, *self.staves, *((name, inside) for name, inside, _ in self.spans)]
        for name, inside in named:
            if not inside or not set(inside) <= set(range(len(self.voices))):
                raise HarmonyError(f"{name!r} of {self.name} names a voice that is not there.")
        if self.staves and sorted(i for _, inside in self.staves for i in inside) != list(
            range(len(self.voices))
        ):
            raise HarmonyError(f"The staves of {self.name} must hold each voice once.")

    def __len__(self) -> int:
        return len(self.voices)

    @property
    def score_order(self) -> tuple[int, ...]:
        """The places of the voices in the order of a score, top staff first.

        One ensemble keeps its own order. Several joined stand one after the
        other, woodwind above brass above keyboard and harp above voices above
        strings, whatever the pitch.
        """
        if not self.groups:
            return tuple(range(len(self.voices)))
        grouped = sorted((inside for _, inside in self.groups), key=self._score_rank)
        ordered = list(dict.fromkeys(index for inside in grouped for index in inside))
        return (*ordered, *(i for i in range(len(self.voices)) if i not in ordered))

    def _score_rank(self, inside: tuple[int, ...]) -> int:
        # the commonest family decides, so a horn keeps a woodwind quintet together
        ranks = [FAMILIES.index(self.voices[i].player.instrument.family) for i in inside]
        return max(ranks, key=lambda rank: (ranks.count(rank), -rank))

    def voice_index(self, name: str) -> int:
        """Give the place of a voice by its name (case does not matter)."""
        wanted = name.strip().casefold()
        for index, voice in enumerate(self.voices):
            if voice.name.casefold() == wanted:
                return index
        names = ", ".join(voice.name for voice in self.voices)
        raise HarmonyError(f"{self.name} has no voice called {name.strip()!r}; it has {names}.")

    def with_registers(self, registers: Mapping[str, tuple[Pitch, Pitch]]) -> Ensemble:
        """Give the ensemble with the registers of some voices changed."""
        voices = list(self.voices)
        for name, (low, high) in registers.items():
            index = self.voice_index(name)
            voices[index] = replace(voices[index], low=low, high=high)
        return replace(self, voices=tuple(voices))
