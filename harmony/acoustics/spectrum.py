"""How strong each partial of a tone is, by family of instruments, dynamic and register.

A spectrum is an envelope fixed in frequency, as formants are: it rises to its
peak and falls above it by so many decibels an octave. So the same instrument has
other partials in another register. The figures (data/spectra.csv) are rounded and
meant to be replaced: a composer's own table, or measured levels of partials,
go into the same columns.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import ArrayLike, NDArray

from harmony.errors import HarmonyError
from harmony.tables import read_rows

SPECTRA_TABLE = "spectra.csv"
#: Dynamic marks and the row of the table that serves them.
DYNAMICS = {
    "ppp": "soft", "pp": "soft", "p": "soft", "mp": "medium", "mf": "medium",
    "f": "loud", "ff": "loud", "fff": "loud",
}  # fmt: skip
PARTIALS = 16

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Spectrum:
    """The partials of one family at one dynamic.

    ``peak_hz`` is the frequency of the strongest partials, 0 for the fundamental
    itself; ``rise_db_per_octave`` and ``fall_db_per_octave`` the slopes below and
    above it. ``even_db`` is added to even partials of fundamentals below
    ``even_below_hz``. ``partials_db``, where given, are levels of the partials
    from the first, instead of the envelope.
    """

    family: str
    dynamic: str
    peak_hz: float
    rise_db_per_octave: float
    fall_db_per_octave: float
    even_db: float = 0.0
    even_below_hz: float = 0.0
    partials_db: tuple[float, ...] = ()
    source: str = ""

    def __post_init__(self) -> None:
        if self.dynamic not in DYNAMICS.values():
            raise HarmonyError(
                f"The dynamic of {self.family}, {self.dynamic!r}, is not soft, medium or loud."
            )
        if min(self.peak_hz, self.rise_db_per_octave, self.fall_db_per_octave) < 0:
            raise HarmonyError(f"The figures of {self.family} must not be below 0.")

    def amplitudes(self, fundamental_hz: ArrayLike, partials: int = PARTIALS) -> Array:
        """Give the amplitudes of the partials of tones.

        Parameters
        ----------
        fundamental_hz
            Fundamentals in hertz, any shape S.
        partials
            How many partials.

        Returns
        -------
        numpy.ndarray
            Shape S + (partials,), linear; the strongest of each tone is 1.
        """
        base = np.asarray(fundamental_hz, dtype=np.float64)[..., None]
        numbers = np.arange(1, partials + 1)
        if self.partials_db:
            levels = np.full(partials, -np.inf)
            given = self.partials_db[:partials]
            levels[: len(given)] = given
            decibels = np.broadcast_to(levels, (*base.shape[:-1], partials))
        else:
            peak = self.peak_hz if self.peak_hz else base
            octaves = np.log2(base * numbers / peak)
            decibels = np.where(
                octaves < 0, self.rise_db_per_octave * octaves, -self.fall_db_per_octave * octaves
            )
            if self.even_db:
                dimmed = (numbers % 2 == 0) & (base < self.even_below_hz)
                decibels = np.where(dimmed, decibels + self.even_db, decibels)
        strongest = decibels.max(axis=-1, keepdims=True)
        levels_linear: Array = 10.0 ** ((decibels - strongest) / 20.0)
        return levels_linear


def spectrum(family: str, dynamic: str = "mf") -> Spectrum:
    """Give the spectrum of a family (``plain``, ``horn``, ``strings``...) at a dynamic mark.

    ``plain`` is a tone whose partial n has the amplitude 1/n.

    Raises
    ------
    HarmonyError
        For an unknown family or dynamic mark.
    """
    if dynamic not in DYNAMICS:
        raise HarmonyError(
            f"{dynamic!r} is not a dynamic mark; accepted are {', '.join(DYNAMICS)}."
        )
    found = _shipped().get((family, DYNAMICS[dynamic]))
    if found is None:
        raise HarmonyError(
            f"No spectrum is called {family!r}; accepted are {', '.join(spectrum_families())}."
        )
    return found


def spectrum_families() -> tuple[str, ...]:
    """Give the names of the families that have spectra."""
    return tuple(dict.fromkeys(family for family, _ in _shipped()))


def read_spectra(path: Path) -> tuple[Spectrum, ...]:
    """Read spectra from a CSV file with the columns of data/spectra.csv.

    Raises
    ------
    HarmonyError
        Naming file, row and what is wrong.
    """
    try:
        lines = path.read_text(encoding="utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as fault:
        raise HarmonyError(f"{path} cannot be read as a table of spectra: {fault}.") from fault
    found = []
    for number, row in enumerate(csv.DictReader(lines), start=2):
        try:
            found.append(_read_row(row))
        except (KeyError, TypeError, ValueError) as fault:
            raise HarmonyError(f"{path}, row {number}: {fault}.", where=f"row {number}") from fault
    if not found:
        raise HarmonyError(f"{path} holds no spectrum; one row a family and dynamic is accepted.")
    return tuple(found)


def tone_amplitudes(
    spectra: Sequence[Spectrum], fundamentals_hz: Sequence[float], partials: int = PARTIALS
) -> Array:
    """Give the amplitudes of a chord, a spectrum a note: shape (n, partials)."""
    return np.array(
        [one.amplitudes(base, partials) for one, base in zip(spectra, fundamentals_hz, strict=True)]
    )


@lru_cache(maxsize=8)
def plain_amplitudes(partials: int = PARTIALS) -> Array:
    """Give 1, 1/2, 1/3... as a read-only array of shape (partials,)."""
    levels = 1.0 / np.arange(1, partials + 1)
    levels.setflags(write=False)
    return levels


@cache
def _shipped() -> dict[tuple[str, str], Spectrum]:
    rows = read_rows(SPECTRA_TABLE, _read_row, needs=("family", "dynamic", "peak_origin"))
    return {(one.family, one.dynamic): one for one in rows}


def _read_row(row: Mapping[str, str]) -> Spectrum:
    return Spectrum(
        family=row["family"],
        dynamic=row["dynamic"],
        peak_hz=float(row["peak_hz"]),
        rise_db_per_octave=float(row["rise_db_per_octave"]),
        fall_db_per_octave=float(row["fall_db_per_octave"]),
        even_db=float(row["even_db"]),
        even_below_hz=float(row["even_below_hz"]),
        partials_db=tuple(float(level) for level in row["partials_db"].split()),
        source=row["source"],
    )
