"""A log-linear chain fitted to sequences: features, forward-backward, the objective.

All sequences of a mode run side by side, longest first, one place at a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.contexts import REST, STEP_KINDS, TEMPLATES, Setting, encode, step_kind
from harmony.harmonising.syntax import QUALITIES, ChordList, side_width

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Sample:
    """One sequence: its setting, the true chord (place in the list) everywhere, its weight."""

    setting: Setting
    chosen: tuple[int, ...]
    weight: float


class Features:
    """The numbering of all weights: a stretch for each description of each side.

    ``stretches`` maps (template, side, mode, description) to (start, width).
    """

    def __init__(self) -> None:
        self.stretches: dict[tuple[str, str, str, int], tuple[int, int]] = {}
        self.size = 0

    def stretch(self, key: tuple[str, str, str, int], width: int) -> int:
        """Where the stretch of a key begins; a new one is added at the end."""
        if key not in self.stretches:
            self.stretches[key] = (self.size, width)
            self.size += width
        return self.stretches[key][0]


@dataclass(frozen=True, slots=True)
class ModeSide:
    """All sequences of one mode, laid out for the fit.

    ``rows`` and ``index`` hold for each template's side the description of each
    place and, by description, the weight each chord has there. ``kinds`` are
    steps' kinds (sequences, places); ``steps`` the weights a step adds up
    (tables, kinds, chords, chords).
    """

    mode: str
    chords: ChordList
    lengths: Ints
    starts: Ints
    rows: tuple[Ints, ...]
    index: tuple[Ints, ...]
    kinds: Ints
    steps: Ints
    chosen: Ints
    weights: Floats


def lay_out(
    samples: Sequence[Sample], chords: ChordList, mode: str, features: Features
) -> ModeSide:
    """Lay out the sequences of a mode, numbering what is met."""
    samples = sorted(samples, key=lambda sample: -len(sample.chosen))
    lengths = np.array([len(sample.chosen) for sample in samples])
    starts = np.concatenate([[0], np.cumsum(lengths)[:-1]])
    rows, index = [], []
    for template in TEMPLATES:
        known: dict[tuple[int, int], int] = {}
        row = np.full(int(lengths.sum()), -1)
        for sample, start in zip(samples, starts, strict=True):
            for place in range(len(sample.chosen)):
                told = template.describe(sample.setting, place)
                if told is None:
                    continue
                base = -1
                if template.relative_to is not None:
                    base = min(REST, template.relative_to(sample.setting, place))
                row[start + place] = known.setdefault((encode(told), base), len(known))
        for side in template.sides:
            table = np.full((len(known) + 1, len(chords)), -1)
            for (code, base), number in known.items():
                which = mode if base < 0 else "both"
                at = features.stretch((template.name, side, which, code), side_width(side, chords))
                table[number] = at + (
                    chords.side(side) if base < 0 else chords.side_from(side, base)
                )
            rows.append(row)
            index.append(table)
    kinds = np.zeros((len(samples), int(lengths.max())), np.intp)
    for number, sample in enumerate(samples):
        for place in range(1, len(sample.chosen)):
            kinds[number, place] = step_kind(sample.setting, place)
    return ModeSide(
        mode, chords, lengths, starts, tuple(rows), tuple(index), kinds,
        _number_steps(chords, mode, features),
        np.concatenate([sample.chosen for sample in samples]),
        np.array([sample.weight for sample in samples]),
    )  # fmt: skip


def _number_steps(chords: ChordList, mode: str, features: Features) -> Ints:
    """Number the weights of steps: by chords, roots, basses and intervals, in both modes or one."""
    roots, basses, count = chords.roots, chords.basses, len(chords)
    qualities = chords.kinds
    size = len(QUALITIES)
    kind = roots * size + qualities
    inversion = (basses - roots) % 12
    up = (roots[None, :] - roots[:, None]) % 12
    bass_up = (basses[None, :] - basses[:, None]) % 12
    by_kind = (up * size + qualities[:, None]) * size + qualities
    number = np.arange(count)
    tables = (
        ("chords", mode, False, number[:, None] * count + number, count * count),
        ("kinds", mode, False, kind[:, None] * 12 * size + kind, (12 * size) ** 2),
        ("roots", mode, False, roots[:, None] * 12 + roots, 144),
        ("basses", mode, False, basses[:, None] * 12 + basses, 144),
        ("roots by kind of step", mode, True, roots[:, None] * 12 + roots, 144),
        ("basses by kind of step", mode, True, basses[:, None] * 12 + basses, 144),
        ("intervals", "both", False, by_kind, 12 * size * size),
        ("intervals and inversions", "both", False,
         (by_kind * 12 + inversion[:, None]) * 12 + inversion, 12 * size * size * 144),
        ("intervals by kind of step", "both", True, by_kind, 12 * size * size),
        ("bass intervals by kind of step", "both", True,
         (bass_up * 12 + inversion[:, None]) * 12 + inversion, 1728),
    )  # fmt: skip
    laid = np.zeros((len(tables), STEP_KINDS, count, count), np.intp)
    for place, (name, which, by_step, values, width) in enumerate(tables):
        for step in range(STEP_KINDS):
            at = features.stretch(("step", name, which, step if by_step else -1), width)
            laid[place, step] = at + values
    return laid


def potentials(side: ModeSide, weights: Floats) -> tuple[Floats, Floats]:
    """Weights of chords at places (places, chords) and of steps by kind (kinds, n, n)."""
    padded = np.append(weights, 0.0)
    scores = np.zeros((int(side.lengths.sum()), len(side.chords)))
    for row, table in zip(side.rows, side.index, strict=True):
        scores += padded[table][row]
    return scores, padded[side.steps].sum(axis=0)


def expectations(side: ModeSide, scores: Floats, steps: Floats) -> tuple[float, Floats, Floats]:
    """Weighted log of the sum over all ways, and how often each chord and step is expected."""
    lengths, starts, kinds, weight = side.lengths, side.starts, side.kinds, side.weights
    count, longest, width = len(lengths), int(lengths.max()), scores.shape[1]
    top = scores.max(axis=1)
    here = np.exp(scores - top[:, None])
    most = float(steps.max())
    moves = np.exp(steps - most)
    forward = np.zeros((longest, count, width))
    scale = np.ones((longest, count))
    total = 0.0
    for place in range(longest):
        active = int((lengths > place).sum())
        at = starts[:active] + place
        if place:
            ahead = np.empty((active, width))
            for kind in np.unique(kinds[:active, place]):
                chosen = kinds[:active, place] == kind
                ahead[chosen] = forward[place - 1, :active][chosen] @ moves[kind]
            ahead *= here[at]
        else:
            ahead = here[at].copy()
        sums = ahead.sum(axis=1)
        forward[place, :active] = ahead / sums[:, None]
        scale[place, :active] = sums
        gained = np.log(sums) + top[at] + (most if place else 0.0)
        total += float((weight[:active] * gained).sum())
    expected = np.zeros_like(scores)
    expected_steps = np.zeros_like(steps)
    backward = np.ones((count, width))
    for place in range(longest - 1, -1, -1):
        active = int((lengths > place).sum())
        following = int((lengths > place + 1).sum())
        if following:
            after = starts[:following] + place + 1
            value = here[after] * backward[:following] / scale[place + 1, :following, None]
            for kind in np.unique(kinds[:following, place + 1]):
                chosen = np.flatnonzero(kinds[:following, place + 1] == kind)
                backward[chosen] = value[chosen] @ moves[kind].T
                before = forward[place, chosen] * weight[chosen, None]
                expected_steps[kind] += before.T @ value[chosen] * moves[kind]
        at = starts[:active] + place
        expected[at] = forward[place, :active] * backward[:active] * weight[:active, None]
    return total, expected, expected_steps


def observed(side: ModeSide) -> tuple[Floats, Floats]:
    """How often each chord and step stands in the samples, by their weights."""
    width = len(side.chords)
    nodes = np.zeros((int(side.lengths.sum()), width))
    steps = np.zeros((STEP_KINDS, width, width))
    for number, (start, length) in enumerate(zip(side.starts, side.lengths, strict=True)):
        chosen = side.chosen[start : start + length]
        nodes[np.arange(start, start + length), chosen] = side.weights[number]
        np.add.at(steps, (side.kinds[number, 1:length], chosen[:-1], chosen[1:]),
                  side.weights[number])  # fmt: skip
    return nodes, steps


def gather(side: ModeSide, nodes: Floats, steps: Floats, size: int) -> Floats:
    """Add up by weight what stands by place and by step, shape (size,)."""
    total = np.zeros(size + 1)
    for row, table in zip(side.rows, side.index, strict=True):
        sums = np.zeros(table.shape)
        order = np.argsort(row, kind="stable")
        ordered = row[order]
        first = np.flatnonzero(np.append(True, ordered[1:] != ordered[:-1]))
        sums[ordered[first]] = np.add.reduceat(nodes[order], first, axis=0)
        spots = np.where(table < 0, size, table)
        total += np.bincount(spots.ravel(), sums.ravel(), size + 1)
    for table in side.steps:
        total += np.bincount(table.ravel(), steps.ravel(), size + 1)
    return total[:-1]
