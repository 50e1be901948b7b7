"""What an alternative is, in a few words: what is unlike the others about it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from harmony.voicings.realisation import Realisation

# How many semitones, on average, make a difference worth a word.
HEIGHT, WIDTH, STRIDE, LEADS = 1.0, 1.5, 0.75, 0.5
# Where two names are alike, smaller differences are told too.
CLOSER_LOOKS = (1.0, 0.5, 0.25)


def name_alternatives(realisations: Sequence[Realisation]) -> tuple[str, ...]:
    """Give each realisation a few words against the mean of all: `higher, open, Tenor leads`.

    Height is the mean pitch, width the mean span of the upper voices, and a voice
    leads that moves more than it does in the others.  Where nothing stands out, the
    name says which term it keeps better than the others; names that would still be
    alike are told apart by the first chord that is not.
    """
    profiles = [_Profile.of(one) for one in realisations]
    names: list[str] = []
    for look in CLOSER_LOOKS:
        names = []
        for one, profile in zip(realisations, profiles, strict=True):
            voices = [voice.name for voice in one.ensemble.voices]
            words = profile.words_against(profiles, voices, look)
            names.append(", ".join(words) or _better_term(one, realisations))
        if len(set(names)) == len(names):
            break
    for number, name in enumerate(names):
        if name in names[:number]:
            twin = realisations[names.index(name)]
            names[number] = f"{name}, other at {_first_difference(realisations[number], twin)}"
    return tuple(names)


def _first_difference(one: Realisation, other: Realisation) -> str:
    pairs = zip(one.progression.slots, one.pitches, other.pitches, strict=True)
    return next((slot.place for slot, a, b in pairs if a != b), "no chord")


def _better_term(one: Realisation, all_of_them: Sequence[Realisation]) -> str:
    margins = {
        term: cost - float(np.mean([other.term_costs[term] for other in all_of_them]))
        for term, cost in one.term_costs.items()
    }
    least = min(one.costs, key=lambda cost: margins[cost.name])
    if margins[least.name] >= 0:
        return "near the others"
    return least.better or f"better in {least.name.replace('_', ' ')}"


class _Profile:
    """Height, width and motion of a realisation, in semitones."""

    def __init__(self, height: float, width: float, motion: np.ndarray) -> None:
        self.height = height
        self.width = width
        self.motion = motion

    @classmethod
    def of(cls, realisation: Realisation) -> _Profile:
        chords = [[pitch.midi for pitch in chord] for chord in realisation.pitches if chord]
        midi = np.array(chords, dtype=np.float64)
        upper = midi[:, :-1] if midi.shape[1] > 1 else midi
        moves = np.abs(np.diff(midi, axis=0)) if len(midi) > 1 else np.zeros_like(midi)
        motion = moves.mean(axis=0)
        return cls(
            float(midi.mean()), float((upper.max(axis=1) - upper.min(axis=1)).mean()), motion
        )

    def words_against(
        self, others: Sequence[_Profile], voices: Sequence[str], look: float
    ) -> list[str]:
        """The words for what differs from the mean by more than `look` times the usual."""
        words = []
        height = self.height - float(np.mean([o.height for o in others]))
        if abs(height) >= HEIGHT * look:
            words.append("higher" if height > 0 else "lower")
        width = self.width - float(np.mean([o.width for o in others]))
        if abs(width) >= WIDTH * look:
            words.append("open" if width > 0 else "close")
        stride = float(self.motion.mean()) - float(np.mean([o.motion.mean() for o in others]))
        if abs(stride) >= STRIDE * look:
            words.append("livelier" if stride > 0 else "calmer")
        inner = self.motion[:-1] - np.mean([o.motion[:-1] for o in others], axis=0)
        if len(inner) and inner.max() >= LEADS * look:
            words.append(f"{voices[int(inner.argmax())]} leads")
        return words
