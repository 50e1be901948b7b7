"""Low intervals and crowding, judged on sounding pitch: findings, never bans.

The arranging schools give for each interval a lowest note below which it grows
thick. That is common practice, not measurement, and depends on what is played:
short, soft and smooth-toned chords bear more (data/low_interval_shifts.csv).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.acoustics.band import critical_bandwidth_hz
from harmony.acoustics.spectrum import DYNAMICS
from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch, spell_midi
from harmony.tables import read_rows
from harmony.units import midi_to_hz

LIMIT_TABLE = "low_intervals.csv"
SHIFT_TABLE = "low_interval_shifts.csv"
_NUMBERS = (
    "unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth",
)  # fmt: skip
_KINDS = {"P": "perfect", "M": "major", "m": "minor", "A": "augmented", "d": "diminished"}
_FULL_STEPS = ("pp", "p", "mf", "f", "ff")
_NEAREST_STEP = {"ppp": "pp", "mp": "mf", "fff": "ff"}


@dataclass(frozen=True, slots=True)
class LowInterval:
    """Two notes that lie lower than their interval is usually written.

    ``lowest`` is the lowest lower note for what is played, ``semitones_below``
    how far the lower note lies below it.
    """

    lower: Pitch
    upper: Pitch
    lowest: Pitch
    semitones_below: int
    message: str

    def to_json(self) -> dict[str, Any]:
        """Give the finding as ``harmony spacing --json`` prints it."""
        return {
            "lower": str(self.lower),
            "upper": str(self.upper),
            "interval": Interval.between(self.lower, self.upper).name,
            "lowest": str(self.lowest),
            "semitones_below": self.semitones_below,
            "message": self.message,
            "source": "common practice",
        }


def find_low_intervals(
    pitches: Sequence[Pitch],
    *,
    seconds: float | None = None,
    dynamic: str = "mf",
    brightness: float | None = None,
) -> tuple[LowInterval, ...]:
    """Find the intervals that lie lower than usual, the lowest first.

    Parameters
    ----------
    pitches
        All that sound together, as sounding, in any order.
    seconds
        How long they sound; the table as it stands when left out.
    dynamic
        A dynamic mark, ppp to fff.
    brightness
        The share of a low tone's energy above its third partial, 0 to 1 (see
        :func:`brightness_of`); the table as it stands when left out.
    """
    shift = limit_shift(seconds=seconds, dynamic=dynamic, brightness=brightness)
    ordered = sorted(pitches, key=lambda pitch: pitch.midi)
    found = []
    for lower, upper in combinations(ordered, 2):
        limit = _limits().get(upper.midi - lower.midi)
        if limit is None:
            continue
        below = limit.midi + shift - lower.midi
        if below > 0:
            lowest = _raise(limit, shift)
            found.append(
                LowInterval(lower, upper, lowest, below, _tell(lower, upper, lowest, below))
            )
    return tuple(found)


def limit_shift(*, seconds: float | None, dynamic: str, brightness: float | None) -> int:
    """Give by how many semitones what is played moves every limit (down below 0)."""
    if dynamic not in DYNAMICS:
        raise HarmonyError(
            f"{dynamic!r} is not a dynamic mark; accepted are {', '.join(DYNAMICS)}."
        )
    step = _NEAREST_STEP.get(dynamic, dynamic)
    shift = _shifts()["dynamic"][_FULL_STEPS.index(step)][1]
    for condition, value in (("seconds", seconds), ("timbre", brightness)):
        if value is not None:
            shift += next(move for upto, move in _shifts()[condition] if value <= upto)
    return shift


def low_interval_depth(voicings: ArrayLike, *, shift: int = 0) -> NDArray[np.float64]:
    """Give how many semitones all low intervals lie below their limits, added up.

    Parameters
    ----------
    voicings
        MIDI numbers as sounding, shape (N, n) or (n,).
    shift
        Semitones added to every limit (see :func:`limit_shift`).

    Returns
    -------
    numpy.ndarray
        Shape (N,), semitones; 0 where nothing is crowded.
    """
    rows = np.sort(np.atleast_2d(np.asarray(voicings, dtype=np.int64)), axis=1)
    limits = _limit_table()
    low, high = np.triu_indices(rows.shape[1], 1)
    apart = np.minimum(rows[:, high] - rows[:, low], len(limits) - 1)
    below: NDArray[np.float64] = np.maximum(limits[apart] + shift - rows[:, low], 0.0).sum(axis=1)
    return below


def count_crowded(midi: Sequence[int]) -> int:
    """Count neighbouring notes nearer than a critical band (Zwicker and Terhardt 1980)."""
    hz = np.array([midi_to_hz(note) for note in sorted(midi)])
    middle = (hz[:-1] + hz[1:]) / 2.0
    return int((np.diff(hz) < critical_bandwidth_hz(middle)).sum())


def brightness_of(amplitudes: ArrayLike) -> float:
    """Give the share of a tone's energy above its third partial, 0 to 1."""
    energy = np.asarray(amplitudes, dtype=np.float64) ** 2
    total = float(energy.sum())
    return float(energy[3:].sum()) / total if total else 0.0


def say_interval(lower: Pitch, upper: Pitch) -> str:
    """Name an interval in words: ``major third``, ``minor tenth``."""
    interval = Interval.between(lower, upper)
    name = interval.name.lstrip("-")
    steps = abs(interval.steps)
    number = _NUMBERS[steps] if steps < len(_NUMBERS) else f"{steps + 1}th"
    times = ("", "doubly ", "triply ")[min(name.count(name[0]), 3) - 1]
    return f"{times}{_KINDS[name[0]]} {number}"


def _tell(lower: Pitch, upper: Pitch, lowest: Pitch, below: int) -> str:
    words = say_interval(lower, upper)
    article = "An" if words[0] in "aeiou" else "A"
    plural = "" if below == 1 else "s"
    return (
        f"{article} {words} on {lower} lies {below} semitone{plural} below {lowest},"
        " under which it usually grows thick."
    )


def _raise(limit: Pitch, semitones: int) -> Pitch:
    if semitones == 0:
        return limit
    return spell_midi(limit.midi + semitones)


@cache
def _limits() -> dict[int, Pitch]:
    def read(row: Mapping[str, str]) -> tuple[int, Pitch]:
        return int(row["semitones"]), Pitch.from_text(row["lowest"])

    return dict(read_rows(LIMIT_TABLE, read, needs=("interval", "semitones", "lowest")))


@cache
def _limit_table() -> NDArray[np.float64]:
    """Give the limits as MIDI numbers by semitones; far below hearing where there is none."""
    table = np.full(max(_limits()) + 2, -1000.0)
    for semitones, limit in _limits().items():
        table[semitones] = limit.midi
    return table


@cache
def _shifts() -> dict[str, tuple[tuple[float, int], ...]]:
    def read(row: Mapping[str, str]) -> tuple[str, float, int]:
        named = row["condition"] == "dynamic"
        upto = _FULL_STEPS.index(row["upto"]) if named else float(row["upto"])
        return row["condition"], upto, int(row["semitones"])

    rows = read_rows(SHIFT_TABLE, read, needs=("condition", "upto", "semitones"))
    found: dict[str, list[tuple[float, int]]] = {}
    for condition, upto, semitones in rows:
        found.setdefault(condition, []).append((upto, semitones))
    return {condition: tuple(steps) for condition, steps in found.items()}
