"""Fit the learnt syntax of common practice to Bach's chorales, and write its table.

    python -m harmony.learning.fit_syntax [FILE]

A log-linear chain (Lafferty, McCallum and Pereira 2001) over chords of root, quality
and bass above the tonic, on every beat of the pieces marked `fit` in
learnt/chorale_keys.csv. The pieces marked `settings` served to choose the constants
below, and no other piece is read. The objective is convex; weights are written as
whole numbers from -127 to 127, so that the same music21 corpus gives the same file,
byte for byte. Set OMP_NUM_THREADS=1 where the linear algebra library uses threads.
"""

from __future__ import annotations

import argparse
import io
import zipfile
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.contexts import TEMPLATES
from harmony.harmonising.syntax import QUALITIES, TABLE, ChordList
from harmony.harmonising.vocabulary import quality_tones
from harmony.learning.chain_fit import (
    Features,
    Floats,
    ModeSide,
    Sample,
    expectations,
    gather,
    lay_out,
    observed,
    potentials,
)
from harmony.learning.chorale_harmony import Chorale, read_chorale
from harmony.learning.softmax_fit import minimise
from harmony.resources import find_data
from harmony.saving import save_bytes
from harmony.tables import read_rows

KEYS = "learnt/chorale_keys.csv"

PENALTIES = {"general": 8.0, "tonal": 40.0, "relative": 25.0, "step": 12.0}
"""How strongly the squares of weights are held down, by what they describe."""
LEAST_OFTEN = 5
"""A chord met less often is counted as the one most like it."""
STEPS = 30
"""So many steps of the minimiser; the chorales kept for settings gain nothing after."""
SHARED_BEATS, SAME_TUNE = 12, 4
"""Two settings are of one tune if so many stretches of so many beats agree."""

Chord = tuple[int, int, int]
_NO_TIME = (1980, 1, 1, 0, 0, 0)


def read_pieces(use: str) -> tuple[Chorale, ...]:
    """Read the chorales of one use, ``fit`` or ``settings``."""
    rows = read_rows(
        KEYS,
        lambda row: (row["bwv_file"], row["use"], int(row["tonic_pc"]), row["mode"] == "minor"),
        needs=("bwv_file", "use", "tonic_pc", "mode"),
    )
    return tuple(
        read_chorale(name, tonic, is_minor=is_minor)
        for name, which, tonic, is_minor in rows
        if which == use
    )


def list_chords(pieces: Sequence[Chorale]) -> ChordList:
    """List the chords met often enough, their basses members of them."""
    met = Counter(chord for piece in pieces for chord in piece.chords if chord is not None)
    kept = sorted(
        (root, QUALITIES[kind], bass)
        for (root, kind, bass), often in met.items()
        if often >= LEAST_OFTEN and (bass - root) % 12 in quality_tones(QUALITIES[kind])
    )
    return ChordList(
        np.array([chord[0] for chord in kept]),
        np.array([QUALITIES.index(chord[1]) for chord in kept]),
        np.array([chord[2] for chord in kept]),
    )


def find_nearest(chord: Chord, chords: ChordList) -> int:
    """Give the place of a chord in a list, or of the one most like it."""
    root, kind, bass = chord
    same = chords.roots == root
    triad = np.array([QUALITIES[k][:3] == QUALITIES[kind][:3] for k in chords.kinds])
    alike = 3.0 * same + 1.5 * (same & (chords.kinds == kind)) + 1.2 * (chords.basses == bass)
    exact = same & (chords.kinds == kind) & (chords.basses == bass)
    return int((alike + 0.5 * triad + 10.0 * exact).argmax())


def weigh_tunes(pieces: Sequence[Chorale]) -> list[float]:
    """Weigh each setting by one over the root of how many settings its tune has."""
    stretches = [
        {
            tuple(piece.setting.first(at + n) for n in range(SHARED_BEATS))
            for at in range(len(piece.chords) - SHARED_BEATS + 1)
        }
        for piece in pieces
    ]
    return [
        max(1, sum(len(one & other) >= SAME_TUNE for other in stretches)) ** -0.5
        for one in stretches
    ]


def fit(pieces: Sequence[Chorale]) -> tuple[Features, list[ModeSide], Floats]:
    """Fit the chain to pieces; give the numbering, the layout by mode, and the weights."""
    features = Features()
    weights = weigh_tunes(pieces)
    sides = []
    for mode in ("major", "minor"):
        chosen = [
            (piece, weight)
            for piece, weight in zip(pieces, weights, strict=True)
            if piece.setting.is_minor == (mode == "minor")
        ]
        chords = list_chords([piece for piece, _ in chosen])
        samples = [
            Sample(piece.setting, _fill(piece.chords, chords), weight) for piece, weight in chosen
        ]
        sides.append(lay_out(samples, chords, mode, features))
    penalties = _penalties(features)
    wanted = sum((gather(side, *observed(side), features.size) for side in sides),
                 np.zeros(features.size))  # fmt: skip
    met = wanted > 0

    def objective(here: Floats) -> tuple[float, Floats]:
        value = 0.5 * float((penalties * here * here).sum()) - float(wanted @ here)
        slope = penalties * here - wanted
        for side in sides:
            total, nodes, steps = expectations(side, *potentials(side, here))
            value += total
            slope = slope + gather(side, nodes, steps, features.size)
        return value, np.where(met, slope, 0.0)

    found = minimise(objective, np.zeros(features.size), steps=STEPS, remembered=8)
    return features, sides, np.where(met, found, 0.0)


def _fill(chords: Sequence[Chord | None], known: ChordList) -> tuple[int, ...]:
    """Give the places of chords in the list; a silent beat keeps the chord before."""
    filled: list[int] = []
    for chord in chords:
        before = filled[-1] if filled else 0
        filled.append(before if chord is None else find_nearest(chord, known))
    return tuple(filled)


def _penalties(features: Features) -> Floats:
    general = {template.name for template in TEMPLATES if template.is_general}
    penalties = np.zeros(features.size)
    for (name, _, which, _), (start, width) in features.stretches.items():
        if name == "step":
            kind = "step"
        elif name in general:
            kind = "general"
        else:
            kind = "relative" if which == "both" else "tonal"
        penalties[start : start + width] = PENALTIES[kind]
    return penalties


def to_tables(
    features: Features, sides: Sequence[ModeSide], weights: Floats
) -> dict[str, NDArray[np.generic]]:
    """Give the arrays of the file: whole numbers and a scale for each table."""
    tables: dict[str, NDArray[np.generic]] = {}
    for side in sides:
        chords = side.chords
        tables[f"{side.mode} chords"] = np.stack(
            [chords.roots, chords.kinds, chords.basses]
        ).astype(np.int8)
        _, steps = potentials(side, weights)
        tables[f"{side.mode} steps"], tables[f"{side.mode} steps scale"] = _round(steps)
    groups: dict[tuple[str, str, str], list[tuple[int, int, int]]] = {}
    for (name, part, which, code), (start, width) in features.stretches.items():
        if name != "step":
            groups.setdefault((which, name, part), []).append((code, start, width))
    for (which, name, part), rows in sorted(groups.items()):
        rows.sort()
        whole, scale = _round(np.stack([weights[at : at + width] for _, at, width in rows]))
        kept = np.abs(whole).max(axis=1) > 0
        head = f"{which} {name} {part}"
        tables[f"{head} codes"] = np.array([code for code, _, _ in rows])[kept]
        tables[f"{head} scale"] = scale
        tables[f"{head} weights"] = whole[kept]
    return tables


def _round(table: Floats) -> tuple[NDArray[np.int8], NDArray[np.float64]]:
    """Write a table in steps of a scale with three digits, from -127 to 127."""
    most = max(float(np.abs(table).max()), 1e-6)
    scale = float(f"{most / 127:.3g}")
    whole = np.clip(np.rint(table / scale), -127, 127).astype(np.int8)
    return whole, np.array(scale)


def to_bytes(tables: Mapping[str, NDArray[np.generic]]) -> bytes:
    """Give arrays as an .npz file whose bytes depend on nothing but them."""
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, table in sorted(tables.items()):
            inner = io.BytesIO()
            np.lib.format.write_array(inner, np.asarray(table), allow_pickle=False)
            archive.writestr(zipfile.ZipInfo(f"{name}.npy", _NO_TIME), inner.getvalue(),
                             zipfile.ZIP_DEFLATED)  # fmt: skip
    return held.getvalue()


def main(arguments: Sequence[str] | None = None) -> None:
    """Fit and write."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("file", nargs="?", type=Path, default=find_data() / TABLE)
    path = parser.parse_args(arguments).file
    data = to_bytes(to_tables(*fit(read_pieces("fit"))))
    save_bytes(path, data, overwrite=True)
    print(f"{path}: {len(data)} bytes")


if __name__ == "__main__":
    main()
