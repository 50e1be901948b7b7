"""The learnt syntax of the chorales: how likely each chord and each step is.

A log-linear chain (a linear-chain conditional random field: Lafferty, McCallum and
Pereira 2001) over chords of root, quality and bass above the tonic.  Its weights
are rebuilt by ``harmony/learning/fit_syntax.py``; here they are read and applied.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.contexts import (
    REST,
    TEMPLATES,
    Setting,
    Template,
    encode,
    step_kind,
)
from harmony.resources import find_data

FloatArray = NDArray[np.float32]
IndexArray = NDArray[np.intp]

TABLE = "learnt/chorale_syntax.npz"
QUALITIES = ("maj", "min", "dim", "aug", "dom7", "maj7", "min7", "hdim7", "dim7")
_KINDS = len(QUALITIES)

#: Sides of a chord that weights may belong to, and how many values each has
#: (``chord`` has as many as there are chords).
SIDES = {
    "chord": 0,
    "kind": 12 * _KINDS,
    "root": 12,
    "bass": 12,
    "member": 12 * _KINDS + 1,
    "voice": 12 * 12 + 1,
    "member in bass": 12 * _KINDS * 12 + 1,
    "interval": 12 + 1,
}


@dataclass(frozen=True, slots=True)
class ChordList:
    """Chords above a tonic: arrays of roots, qualities (places in QUALITIES) and basses."""

    roots: IndexArray
    kinds: IndexArray
    basses: IndexArray

    def __len__(self) -> int:
        return len(self.roots)

    def side(self, name: str) -> IndexArray:
        """For each chord its value on a side measured from the tonic, shape (n,)."""
        if name == "chord":
            return np.arange(len(self))
        if name == "kind":
            return self.roots * _KINDS + self.kinds
        return self.roots if name == "root" else self.basses

    def side_from(self, name: str, pitch_class: int) -> IndexArray:
        """For each chord its value on a side measured from a pitch class, shape (n,)."""
        if pitch_class >= REST:
            return np.full(len(self), SIDES[name] - 1)
        above = (pitch_class - self.roots) % 12
        inversion = (self.basses - self.roots) % 12
        if name == "member":
            return above * _KINDS + self.kinds
        if name == "voice":
            return above * 12 + inversion
        if name == "member in bass":
            return (above * _KINDS + self.kinds) * 12 + inversion
        return (pitch_class - self.basses) % 12


def side_width(name: str, chords: ChordList) -> int:
    """How many values a side has."""
    return SIDES[name] or len(chords)


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights of one template's side: descriptions (sorted codes) by values of the side."""

    codes: NDArray[np.int64]
    table: FloatArray

    def rows(self, wanted: NDArray[np.int64]) -> IndexArray:
        """The row of each description; the last row (zeros) for one never met."""
        found = np.searchsorted(self.codes, wanted)
        found = np.minimum(found, len(self.codes) - 1)
        return np.where(self.codes[found] == wanted, found, len(self.codes))


@dataclass(frozen=True, slots=True)
class Syntax:
    """The learnt weights for one mode: chords, sides by template, steps by kind."""

    chords: ChordList
    sides: tuple[tuple[Template, str, Weights], ...]
    steps: FloatArray

    def place_scores(self, setting: Setting) -> FloatArray:
        """The learnt weight of every chord at every place, shape (places, chords)."""
        count = len(setting.places)
        scores = np.zeros((count, len(self.chords)), np.float32)
        codes: dict[str, list[int | None]] = {}
        bases: dict[str, list[int]] = {}
        for template, side, weights in self.sides:
            if template.name not in codes:
                told = [template.describe(setting, index) for index in range(count)]
                codes[template.name] = [None if one is None else encode(one) for one in told]
                if template.relative_to is not None:
                    measure = template.relative_to
                    bases[template.name] = [measure(setting, index) for index in range(count)]
            wanted = np.array([-1 if one is None else one for one in codes[template.name]])
            rows = weights.rows(wanted)
            if template.relative_to is None:
                scores += weights.table[rows][:, self.chords.side(side)]
                continue
            columns = self._columns(side)[np.minimum(bases[template.name], REST)]
            scores += weights.table[rows[:, None], columns]
        return scores

    def _columns(self, side: str) -> IndexArray:
        return np.stack([self.chords.side_from(side, base) for base in range(REST + 1)])

    def step_scores(self, setting: Setting, index: int) -> FloatArray:
        """The learnt weight of every step into a place, shape (chords, chords)."""
        table: FloatArray = self.steps[step_kind(setting, index)]
        return table


@cache
def load_syntax(*, is_minor: bool) -> Syntax:
    """Read the learnt weights of a mode from data/learnt/chorale_syntax.npz."""
    mode = "minor" if is_minor else "major"
    with np.load(find_data(*TABLE.split("/"))) as stored:
        chords = ChordList(*(stored[f"{mode} chords"].astype(np.intp)))
        sides = []
        for template in TEMPLATES:
            which = mode if template.relative_to is None else "both"
            for side in template.sides:
                name = f"{which} {template.name} {side}"
                codes = stored[f"{name} codes"]
                scale = float(stored[f"{name} scale"])
                table = stored[f"{name} weights"].astype(np.float32) * scale
                table = np.vstack([table, np.zeros((1, table.shape[1]), np.float32)])
                sides.append((template, side, Weights(codes, table)))
        steps = stored[f"{mode} steps"].astype(np.float32) * float(stored[f"{mode} steps scale"])
    return Syntax(chords, tuple(sides), steps)


def chances(scores: FloatArray, steps: list[FloatArray]) -> NDArray[np.float64]:
    """How likely each chord is at each place, all ways through taken together.

    Parameters
    ----------
    scores
        Weights at places, shape (places, chords); -inf where a chord may not stand.
    steps
        For each place after the first the weights of steps into it, (chords, chords).

    Returns
    -------
    array
        Shape (places, chords), each row adding up to 1 (the forward-backward
        algorithm; Rabiner 1989).
    """
    here = np.exp((scores - scores.max(axis=1, keepdims=True)).astype(np.float64))
    count = len(here)
    forward = np.zeros_like(here)
    forward[0] = here[0] / here[0].sum()
    moves = [np.exp((step - step.max()).astype(np.float64)) for step in steps]
    for index in range(1, count):
        ahead = (forward[index - 1] @ moves[index - 1]) * here[index]
        forward[index] = ahead / max(ahead.sum(), 1e-300)
    backward = np.ones_like(here)
    for index in range(count - 2, -1, -1):
        back = moves[index] @ (here[index + 1] * backward[index + 1])
        backward[index] = back / max(back.max(), 1e-300)
    both = forward * backward
    result: NDArray[np.float64] = both / np.maximum(both.sum(axis=1, keepdims=True), 1e-300)
    return result
