"""Which pairs of notes in a sonority are rough, and by how much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.band import hutchinson_knopoff_bandwidth_hz
from harmony.acoustics.roughness import plomp_levelt_curve
from harmony.pitch.spelling import Pitch
from harmony.units import CONCERT_A_HZ, midi_to_hz


@dataclass(frozen=True, slots=True)
class RoughPair:
    """Two notes and what rubs between them.

    ``amount`` is their share of the sonority's Hutchinson-Knopoff roughness
    before coincident partials are joined; ``share`` is its part of all pairs',
    0 to 1.
    """

    lower: Pitch
    upper: Pitch
    amount: float
    share: float


def find_rough_pairs(
    pitches: Sequence[Pitch], amplitudes: ArrayLike, *, a4_hz: float = CONCERT_A_HZ
) -> tuple[RoughPair, ...]:
    """Give every pair of notes with the roughness between them, the roughest first.

    Parameters
    ----------
    pitches
        Spelled pitches, n of them.
    amplitudes
        Linear amplitudes of their partials, shape (p,) or (n, p), in their order.
    a4_hz
        The frequency of A4 in hertz.
    """
    order = sorted(range(len(pitches)), key=lambda place: pitches[place].midi)
    ordered = [pitches[place] for place in order]
    between = rub_matrix([pitch.midi for pitch in ordered], _in_order(amplitudes, order), a4_hz)
    low, high = np.triu_indices(len(ordered), 1)
    amounts = between[low, high]
    total = float(amounts.sum())
    pairs = [
        RoughPair(ordered[i], ordered[j], float(amount), float(amount / total) if total else 0.0)
        for i, j, amount in zip(low.tolist(), high.tolist(), amounts.tolist(), strict=True)
    ]
    return tuple(sorted(pairs, key=lambda pair: -pair.amount))


def rub_matrix(
    midi: Sequence[int], amplitudes: NDArray[np.float64], a4_hz: float = CONCERT_A_HZ
) -> NDArray[np.float64]:
    """Give the roughness between notes i and j, divided by the energy of all; shape (n, n)."""
    count, partials = len(midi), amplitudes.shape[1]
    bases = np.array([midi_to_hz(note, a4_hz=a4_hz) for note in midi])
    hz = (bases[:, None] * np.arange(1, partials + 1)).ravel()
    levels = amplitudes.ravel()
    apart = np.abs(hz[:, None] - hz[None, :])
    bands = apart / hutchinson_knopoff_bandwidth_hz((hz[:, None] + hz[None, :]) / 2.0)
    rub = levels[:, None] * levels[None, :] * plomp_levelt_curve(bands)
    between = rub.reshape(count, partials, count, partials).sum(axis=(1, 3))
    energy = float((levels**2).sum())
    shares: NDArray[np.float64] = between / energy if energy else between * 0.0
    return shares


def _in_order(amplitudes: ArrayLike, order: Sequence[int]) -> NDArray[np.float64]:
    levels = np.asarray(amplitudes, dtype=np.float64)
    if levels.ndim == 1:
        return np.tile(levels, (len(order), 1))
    ordered: NDArray[np.float64] = levels[list(order)]
    return ordered
