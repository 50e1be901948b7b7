"""Critical bands: how near two frequencies must be to disturb each other in the ear."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

#: Factor (Hz) and power of Hutchinson and Knopoff's bandwidth.
HUTCHINSON_KNOPOFF_WIDTH = (1.72, 0.65)


def hz_to_bark(frequency_hz: ArrayLike) -> Array:
    """Give the critical-band rate in Bark (Zwicker and Terhardt 1980).

    ``13 atan(0.76 f) + 3.5 atan((f / 7.5)^2)`` with f in kHz; good to about 0.2
    Bark from 20 Hz to 16 kHz.
    """
    khz = np.asarray(frequency_hz, dtype=np.float64) / 1000.0
    bark: Array = 13.0 * np.arctan(0.76 * khz) + 3.5 * np.arctan((khz / 7.5) ** 2)
    return bark


def critical_bandwidth_hz(frequency_hz: ArrayLike) -> Array:
    """Give the width of the critical band about a frequency (Zwicker and Terhardt 1980).

    ``25 + 75 (1 + 1.4 f^2)^0.69`` in Hz with f in kHz; good to about 10 percent.
    """
    khz = np.asarray(frequency_hz, dtype=np.float64) / 1000.0
    width: Array = 25.0 + 75.0 * (1.0 + 1.4 * khz**2) ** 0.69
    return width


def equivalent_rectangular_bandwidth_hz(frequency_hz: ArrayLike) -> Array:
    """Give the ear's filter width about a frequency (Glasberg and Moore 1990).

    ``24.7 (4.37 f + 1)`` in Hz with f in kHz (the formula is given from memory);
    for moderate levels, 100 Hz to 10 kHz.
    """
    khz = np.asarray(frequency_hz, dtype=np.float64) / 1000.0
    width: Array = 24.7 * (4.37 * khz + 1.0)
    return width


def hutchinson_knopoff_bandwidth_hz(mean_hz: ArrayLike) -> Array:
    """Give the critical bandwidth Hutchinson and Knopoff (1978) use: 1.72 f^0.65 Hz.

    ``mean_hz`` is the mean of the two frequencies compared.
    """
    factor, power = HUTCHINSON_KNOPOFF_WIDTH
    width: Array = factor * np.asarray(mean_hz, dtype=np.float64) ** power
    return width
