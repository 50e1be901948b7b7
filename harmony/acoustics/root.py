"""Root support: which note a chord's notes point to, octaves apart.

These models know pitch classes only. The fundamental of the sounding notes,
which knows octaves, is in :mod:`harmony.acoustics.fundamental`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def _by_interval(weights: dict[int, float]) -> Array:
    table = np.array([weights.get(semitones, 0.0) for semitones in range(12)])
    table.setflags(write=False)
    return table


#: Parncutt 1988: P1, P5, M3, m7, M2, and m3.
PARNCUTT_1988 = _by_interval({0: 1, 7: 1 / 2, 4: 1 / 3, 10: 1 / 4, 2: 1 / 5, 3: 1 / 10})
#: Parncutt's later weights (2006): P1, P5, M3, m7, M2.
PARNCUTT_2006 = _by_interval({0: 10, 7: 5, 4: 3, 10: 2, 2: 1})
#: Terhardt 1982: each of the same five intervals counts once (from memory).
TERHARDT = _by_interval({0: 1, 7: 1, 4: 1, 10: 1, 2: 1})


def root_weights(pitch_classes: Iterable[int], weights: Array = PARNCUTT_2006) -> Array:
    """Give how strongly each of the twelve notes is supported as a root.

    For a candidate root r, the sum over the chord's notes p of the weight of the
    interval from r up to p.

    Parameters
    ----------
    pitch_classes
        Semitones above C; each counts once, in any octave.
    weights
        Shape (12,), by semitones above the root.

    Returns
    -------
    numpy.ndarray
        Shape (12,), by semitones above C.
    """
    present = sorted({one % 12 for one in pitch_classes})
    roots = np.arange(12)
    supported: Array = weights[(np.array(present)[None, :] - roots[:, None]) % 12].sum(axis=1)
    return supported


def root_ambiguity(supported: Array) -> float:
    """Give Parncutt's root ambiguity: the root of (sum of weights / largest weight)."""
    return math.sqrt(float(supported.sum() / supported.max()))


def supported_roots(
    voicings: ArrayLike, weights: Array = PARNCUTT_2006
) -> tuple[NDArray[np.int64], Array]:
    """Give the best supported root of each voicing and its ambiguity.

    ``voicings`` holds MIDI numbers, shape (N, n) or (n,). Returns pitch classes
    and :func:`root_ambiguity`, both of shape (N,); of equal roots the one nearest
    above C comes first.
    """
    return roots_of_classes(sounding_classes(voicings), weights)


def sounding_classes(voicings: ArrayLike) -> Array:
    """Give 1 for every pitch class that sounds in a voicing, else 0: shape (N, 12)."""
    rows = np.atleast_2d(np.asarray(voicings, dtype=np.int64)) % 12
    present = np.zeros((len(rows), 12))
    present[np.arange(len(rows))[:, None], rows] = 1.0
    return present


def roots_of_classes(present: Array, weights: Array) -> tuple[NDArray[np.int64], Array]:
    """Give what :func:`supported_roots` gives, of what :func:`sounding_classes` gave."""
    classes = np.arange(12)
    by_root = weights[(classes[:, None] - classes[None, :]) % 12]  # [note, root]
    supported = present @ by_root
    ambiguity: Array = np.sqrt(supported.sum(axis=1) / supported.max(axis=1))
    return np.round(supported, 9).argmax(axis=1), ambiguity
