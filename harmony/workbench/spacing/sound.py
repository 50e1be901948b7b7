"""What can be heard of a sonority: as voiced in two tunings, and the series it is set against."""

from __future__ import annotations

from typing import Any

from harmony.acoustics.series import harmonic_series
from harmony.pitch.tuning import pure_hz, tempered_hz
from harmony.workbench.spacing.hearing import Heard

PARTIALS_OF_A_TONE = 12
PARTIALS_OF_THE_SERIES = 16
SECONDS = 3.0
SERIES_STEP_SECONDS = 0.28  # from one partial of the series to the next
MOST_HZ = 12_000.0  # higher tones are left out, for the ear's sake

#: Name and label of what can be heard.
SOUNDS = (
    ("tempered", "Hear it in equal temperament"),
    ("pure", "Hear it tuned pure"),
    ("series", "Hear the series to partial 16"),
)


def sounds_of(heard: Heard) -> dict[str, list[dict[str, Any]]]:
    """Give the tones of each sound of :data:`SOUNDS`.

    A tone has ``hz``, ``partials`` (strengths, the strongest 1), ``start`` and
    ``seconds``, and ``loudness`` (1 for a note of the chord).
    """
    tempered = [tempered_hz(pitch) for pitch in heard.pitches]
    pure = pure_hz(heard.pitches, heard.found.root)
    return {
        "tempered": _chord(heard, tempered),
        "pure": _chord(heard, pure),
        "series": _series(heard),
    }


def _chord(heard: Heard, frequencies: list[float] | tuple[float, ...]) -> list[dict[str, Any]]:
    tones = []
    for hz, spectrum in zip(frequencies, heard.spectra, strict=True):
        strengths = spectrum.amplitudes(hz, PARTIALS_OF_A_TONE)
        tones.append(
            {
                "hz": round(hz, 4),
                "partials": [round(float(one), 3) for one in strengths],
                "start": 0.0,
                "seconds": SECONDS,
                "loudness": 1.0,
            }
        )
    return tones


def _series(heard: Heard) -> list[dict[str, Any]]:
    """Give the partials as simple tones that enter from the first up and stay."""
    series = harmonic_series(heard.found.fundamental, PARTIALS_OF_THE_SERIES)
    entries = [(n * SERIES_STEP_SECONDS, one) for n, one in enumerate(series)]
    end = entries[-1][0] + SECONDS
    return [
        {
            "hz": round(one.frequency_hz, 4),
            "partials": [1.0],
            "start": round(start, 3),
            "seconds": round(end - start, 3),
            "loudness": round(one.number**-0.5, 3),
        }
        for start, one in entries
        if one.frequency_hz <= MOST_HZ
    ]
