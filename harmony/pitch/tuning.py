"""Tunings: equal temperament, and the pure intervals it stands for."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from harmony.errors import HarmonyError
from harmony.pitch.interval import Interval
from harmony.pitch.spelling import Pitch, PitchName
from harmony.tables import read_rows
from harmony.units import CONCERT_A_HZ, midi_to_hz, ratio_to_cents

JUST_TABLE = "just_intervals.csv"


@dataclass(frozen=True, slots=True)
class JustInterval:
    """A pure interval: its name in the trade, its ratio, and the spelled interval it tunes.

    ``interval`` is empty for commas and for ratios that are not used to tune
    a written interval.
    """

    name: str
    ratio: Fraction
    interval: str = ""

    def __post_init__(self) -> None:
        if self.ratio < 1:
            raise HarmonyError(f"The ratio of {self.name} must not be below 1.")

    @property
    def cents(self) -> float:
        """The size in cents: 1200 log2(ratio)."""
        return ratio_to_cents(float(self.ratio))


@cache
def just_intervals() -> tuple[JustInterval, ...]:
    """Give the pure intervals of data/just_intervals.csv."""

    def read(row: Mapping[str, str]) -> JustInterval:
        return JustInterval(row["name"], Fraction(row["ratio"]), row["interval"])

    return read_rows(JUST_TABLE, read, needs=("name", "ratio", "interval"))


def tempered_hz(pitch: Pitch, *, a4_hz: float = CONCERT_A_HZ) -> float:
    """Give a pitch's frequency in twelve-tone equal temperament, in hertz."""
    return midi_to_hz(pitch.midi, a4_hz=a4_hz)


def pure_hz(
    pitches: Sequence[Pitch], root: PitchName, *, a4_hz: float = CONCERT_A_HZ
) -> tuple[float, ...]:
    """Tune a chord purely above its root.

    Each note stands in the pure ratio of its spelled interval above the root
    (major third 5/4, minor seventh 9/5, ...); the root itself, sounding or not,
    stays where equal temperament has it, so that chords on one root agree. An
    interval without a pure ratio in the table keeps its tempered size.

    Parameters
    ----------
    pitches
        Spelled pitches in any order.
    root
        The root's name.
    a4_hz
        The frequency of A4 in hertz.

    Returns
    -------
    tuple of float
        Frequencies in hertz, in the order of ``pitches``.
    """
    tuned = []
    for pitch in pitches:
        above = Interval.between_names(root, pitch.name)
        ratio = _tuned_ratios().get(above.name)
        if ratio is None:
            tuned.append(tempered_hz(pitch, a4_hz=a4_hz))
            continue
        root_midi = pitch.midi - above.semitones
        tuned.append(midi_to_hz(root_midi, a4_hz=a4_hz) * float(ratio))
    return tuple(tuned)


@cache
def _tuned_ratios() -> dict[str, Fraction]:
    return {one.interval: one.ratio for one in just_intervals() if one.interval}
