"""What a harmonisation costs: every term with its name, unit, sentence and source.

Node terms have shape (spans, chords), step terms (chords, chords); all are at or
above zero, so that an alternative's terms add up to its cost.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.idiom import Idiom
from harmony.harmonising.vocabulary import SHAPES, Vocabulary

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]
IntArray = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Term:
    """A cost: its name, what one unit is, what it says, and where it is from."""

    name: str
    unit: str
    sentence: str
    source: str


TERMS = (
    Term("melody_fit", "one accented passing note is 1.5", "notes of the tune that the chord lacks,"
         " by kind: passing, neighbour, suspension, appoggiatura", "aldwell_schachter"),
    Term("likelihood", "halved chance is 0.7", "how unusual the chord is under this tune",
         "bach_chorales"),
    Term("syntax", "an unusual step is 1", "how unusual the step from the chord before is",
         "piston1955"),
    Term("cadence", "a weak close is 1", "phrases that close weakly or in the wrong place",
         "aldwell_schachter"),
    Term("harmonic_rhythm", "a chord held over a downbeat is 1", "chords held from weak to strong,"
         " or changed on weak beats", "common practice"),
    Term("bass_line", "an awkward leap is 1", "leaps and repetitions in the bass", "huron2001"),
    Term("outer_voices", "one consecutive is 3", "consecutive fifths and octaves between tune and"
         " bass", "aldwell_schachter"),
    Term("key_distance", "one foreign note is 0.3", "notes from outside the key",
         "common practice"),
    Term("idea", "against the idea once is 1", "places that do not follow this alternative's idea",
         "our own"),
    Term("variety", "the same root again is 1", "places where an earlier alternative has the same"
         " root", "our own"),
)  # fmt: skip
TERM_NAMES = tuple(term.name for term in TERMS)

_CONSECUTIVE = 3.0
_RUB = 1.2
_FOREIGN = 0.3
_WEAK_CLOSE, _DULL_CLOSE = 0.6, 0.8
_UNRESTFUL = 0.7  # a stack with a tritone in it, to close on
_NEAR_SHAPE, _OTHER_SHAPE = 1.0, 2.5


def foreign_notes(vocabulary: Vocabulary, costs: FloatArray) -> FloatArray:
    """Melody fit: what the tune's notes cost in each span under each chord.

    ``costs`` are those of each pitch class off the chord, shape (spans, 12).
    """
    fit: FloatArray = costs @ (~vocabulary.members).T.astype(float)
    return fit


def rival_notes(vocabulary: Vocabulary, costs: FloatArray) -> FloatArray:
    """Melody fit: what chords cost for holding the other form of a note of the tune."""
    rivals: FloatArray = costs @ vocabulary.members.T.astype(float)
    return rivals


def clashing_notes(
    vocabulary: Vocabulary, clashes: Sequence[tuple[int, int, int]], count: int
) -> FloatArray:
    """Melody fit: accented notes that rub against a chord note a semitone away, (spans, n)."""
    members = vocabulary.members
    fit = np.zeros((count, len(vocabulary)))
    for place, own, beside in clashes:
        fit[place] += _RUB * (members[:, beside] & ~members[:, own])
    return fit


def key_distance(vocabulary: Vocabulary) -> FloatArray:
    """What foreign notes cost, and more for chords that belong to another key, (n,)."""
    remote = float(vocabulary.idiom.table.get("remote_cost", 0.0))
    distance: FloatArray = _FOREIGN * vocabulary.outside + remote * vocabulary.is_remote
    return distance


def same_chord(vocabulary: Vocabulary) -> BoolArray:
    """Where two chords have the same root and quality, (n, n)."""
    roots, kinds = vocabulary.roots, vocabulary.kinds
    same: BoolArray = (roots[:, None] == roots) & (kinds[:, None] == kinds)
    return same


def bass_steps(vocabulary: Vocabulary) -> FloatArray:
    """What each move of the bass costs, (n, n): steps nothing, the tritone most."""
    table = vocabulary.idiom.table.get("bass_steps", [0.5, 0.0, 0.0, 0.4, 0.4, 0.15, 1.0])
    gap = (vocabulary.basses[None, :] - vocabulary.basses[:, None]) % 12
    cost = np.asarray(table, float)[np.minimum(gap, 12 - gap)]
    chosen: FloatArray = np.where(same_chord(vocabulary), 0.5 * cost * (gap != 0), cost)
    return chosen


def root_steps(vocabulary: Vocabulary) -> FloatArray:
    """What each step of syntax costs by its roots, (n, n)."""
    idiom = vocabulary.idiom
    if "transformations" in idiom.table:
        return transformation_steps(vocabulary)
    if idiom.engine == "parallel":
        return shape_steps(vocabulary)
    if idiom.engine == "quartal":
        gap = (vocabulary.roots[None, :] - vocabulary.roots[:, None]) % 12
        near = np.minimum(gap, 12 - gap)
        sizes = vocabulary.sizes
        thicker = np.abs(sizes[:, None] - sizes)
        stacked: FloatArray = np.array([0.5, 0.5, 0.0, 0.3, 0.5, 0.2, 1.0])[near] + 0.3 * thicker
        return stacked
    gap = (vocabulary.roots[None, :] - vocabulary.roots[:, None]) % 12
    motions = idiom.table.get("mode_motions", {}).get(vocabulary.key.mode, idiom.table["motions"])
    cost = np.asarray(motions, float)[gap]
    cost = np.where(same_chord(vocabulary), 0.0, cost)
    if idiom.name in ("romantic", "extended", "ostinato", "pedal"):
        cost = cost + dominant_steps(vocabulary, gap)
    return cost


def shape_steps(vocabulary: Vocabulary) -> FloatArray:
    """What it costs to change the shape that planes, (n, n): less under the same member."""
    members = np.array([SHAPES[shape][1] for shape in vocabulary.shapes])
    sizes = vocabulary.sizes
    near = (members[:, None] == members) & (sizes[:, None] == sizes)
    changes = vocabulary.shapes[:, None] != vocabulary.shapes
    shaped: FloatArray = changes * np.where(near, _NEAR_SHAPE, _OTHER_SHAPE)
    return shaped


def dominant_steps(vocabulary: Vocabulary, gap: IntArray) -> FloatArray:
    """What it costs when a dominant does not resolve, (n, n).

    Down a fifth, down a semitone (the German sixth's door) and to another dominant
    are free; a tonic chord of six-four is not looked for here.
    """
    names = [one.quality for one in vocabulary.entries]
    dominant = np.array([name.startswith("dom") or name == "aug" for name in names])
    free = (gap == 5) | (gap == 11) | (gap == 0) | dominant[None, :]
    leading = np.array([name == "dim7" for name in names])
    step = (gap == 1) | (gap == 4) | (gap == 10) | (gap == 7) | (gap == 0)
    cost: FloatArray = 1.0 * (dominant[:, None] & ~free) + 0.7 * (leading[:, None] & ~step)
    return cost


#: The moves between triads (Cohn 1998): semitones from root to root and whether
#: the mode changes, from a major and from a minor triad.
MOVES = {
    "P": (0, 0), "L": (4, 8), "R": (9, 3), "N": (5, 7), "S": (1, 11), "H": (8, 4),
}  # fmt: skip


def move_triad(root: int, moves: str, *, is_minor: bool) -> tuple[int, bool]:
    """Carry out moves on a triad, one letter after another.

    >>> move_triad(0, "PL", is_minor=False)
    (8, False)
    """
    for letter in moves:
        root = (root + MOVES[letter][is_minor]) % 12
        is_minor = not is_minor
    return root, is_minor


def transformation_steps(vocabulary: Vocabulary) -> FloatArray:
    """What each step costs by the moves P, L, R and their compounds, (n, n)."""
    prices = vocabulary.idiom.table["transformations"]
    cost = np.full((len(vocabulary),) * 2, float(prices["other"]))
    minor = np.array([one.quality == "min" for one in vocabulary.entries])
    for moves, price in prices.items():
        if moves in ("same", "other"):
            continue
        for place, one in enumerate(vocabulary.entries):
            root, is_minor = move_triad(one.root, moves, is_minor=bool(minor[place]))
            there = (vocabulary.roots == root) & (minor == is_minor)
            cost[place, there] = np.minimum(cost[place, there], price)
    cost[same_chord(vocabulary)] = 0.0
    # Fifth relations serve the close only; inside they are dear but not shut out.
    gap = (vocabulary.roots[None, :] - vocabulary.roots[:, None]) % 12
    fifth = ((gap == 5) | (gap == 7)) & (minor[:, None] == minor)
    cost[fifth] = np.minimum(cost[fifth], 1.6)
    return cost


def consecutives(vocabulary: Vocabulary, before: int, after: int) -> FloatArray:
    """Consecutive fifths and octaves of tune and bass over one step, (n, n).

    ``before`` and ``after`` are the tune's pitch classes on either side. In Phrygian
    dominant triads move in parallel (common practice), and nothing is counted.
    """
    cost = np.zeros((len(vocabulary),) * 2)
    planes = vocabulary.idiom.name == "modal" and vocabulary.key.mode == "phrygian dominant"
    if before == after or planes:
        return cost
    basses = vocabulary.basses
    moves = basses[:, None] != basses
    for interval in (0, 7):
        here = (before - basses) % 12 == interval
        there = (after - basses) % 12 == interval
        cost += _CONSECUTIVE * (here[:, None] & there & moves)
    return cost


def close_costs(vocabulary: Vocabulary, *, is_last: bool) -> FloatArray:
    """What it costs to end a phrase on each chord, (n,).

    The last phrase ends on the tonic in root position; inner ones on a consonant
    chord in root position, on a goal of the idiom.
    """
    idiom = vocabulary.idiom
    if idiom.engine == "quartal":
        away = 0.25 * (vocabulary.roots != 0) + _UNRESTFUL * vocabulary.has_tritone
        thin: FloatArray = 0.7 * (vocabulary.sizes - 3) + is_last * away
        return thin
    names = [one.quality for one in vocabulary.entries]
    root_position = vocabulary.basses == vocabulary.roots
    if idiom.has_strands:
        root_position = np.ones(len(vocabulary), bool)
    rich = idiom.name == "extended"
    restless = ("dom", "hdim", "dim")
    stable = np.array(
        [name in ("maj", "min") or (rich and not name.startswith(restless)) for name in names]
    )
    cost = 0.8 * ~root_position + 1.5 * ~stable
    minor: bool = vocabulary.key.is_minor and vocabulary.key.mode != "phrygian dominant"
    if is_last:
        cost = cost + 4.0 * (vocabulary.roots != 0)
        own = np.array([("min" in name) == minor or name == "maj69" for name in names])
        last: FloatArray = cost + 2.0 * ~own + 1.2 * ~root_position
        return last
    goals = idiom.for_mode(
        "goals", vocabulary.key, {"0": 0.2, "7": 0.2, "5": 0.5, "9": 0.5, "3": 0.4}
    )
    rate = np.full(12, 1.2)
    for root, price in goals.items():
        rate[int(root)] = price
    inner: FloatArray = cost + rate[vocabulary.roots] + 0.4 * vocabulary.is_remote
    return inner


def close_steps(vocabulary: Vocabulary, *, is_last: bool) -> FloatArray:
    """What the step into the last chord of a phrase costs, (n, n).

    The idiom's cadences by the root before the tonic; the last of all is made from a
    chord in root position.
    """
    wanted = vocabulary.idiom.for_mode("cadences", vocabulary.key, {})
    gap = (vocabulary.roots[:, None] - vocabulary.roots[None, :]) % 12
    rate = np.full(12, 1.0)
    for root, price in wanted.items():
        rate[int(root)] = price
    cost: FloatArray = rate[gap]
    if vocabulary.idiom.table["keys"] == "major and minor":
        # A tonal close leads home by the major dominant.
        dull = np.array([entry.quality.startswith("min") for entry in vocabulary.entries])
        cost = cost + _DULL_CLOSE * (dull[:, None] & (gap == 7))
    cost[same_chord(vocabulary)] = 0.6
    if is_last and vocabulary.idiom.engine == "chain":
        turned = vocabulary.basses != vocabulary.roots
        cost = cost + _WEAK_CLOSE * turned[:, None]
    return cost


def learnt_close_steps(vocabulary: Vocabulary) -> FloatArray:
    """What the last step of all costs in common practice beside what is learnt, (n, n).

    Onto the tonic from the dominant, less well from the fourth degree; onto an open
    dominant from the degrees that lead to it.
    """
    roots = vocabulary.roots
    to_tonic = np.full(12, 1.0)
    to_tonic[[7, 11, 5]] = 0.0, 0.2, 0.5
    to_dominant = np.full(12, 1.0)
    to_dominant[[0, 2, 5, 8]] = 0.0, 0.0, 0.0, 0.3
    cost = np.where(
        roots[None, :] == 0,
        to_tonic[roots][:, None],
        np.where(roots[None, :] == 7, to_dominant[roots][:, None], 0.5),
    )
    return np.where(same_chord(vocabulary), 1.0, cost)


def inner_tonic(vocabulary: Vocabulary) -> FloatArray:
    """What the tonic in root position costs where a phrase neither begins nor ends, (n,).

    It is kept for closes (common practice), as far as the idiom says.
    """
    price = float(vocabulary.idiom.table.get("inner_tonic", 0.0))
    cost: FloatArray = price * ((vocabulary.roots == 0) & (vocabulary.basses == 0))
    return cost


def opening_costs(vocabulary: Vocabulary) -> FloatArray:
    """How far each chord is from one to open with: a consonant tonic or dominant, (n,)."""
    names = [one.quality for one in vocabulary.entries]
    restless = np.array([name.startswith(("dom", "dim", "hdim", "aug")) for name in names])
    if vocabulary.idiom.name == "own":
        restless[:] = False
    away = (~np.isin(vocabulary.roots, (0, 7))).astype(float)
    if vocabulary.idiom.name == "modal":
        # A mode is asserted by its final, from the beginning.
        away[vocabulary.roots == 7] = 0.6
    turned = vocabulary.basses != vocabulary.roots
    minor = np.array([name.startswith("min") for name in names])
    strange = (vocabulary.roots == 0) & (minor != vocabulary.key.is_minor)
    cost: FloatArray = 1.0 * away + 0.8 * (restless & (vocabulary.roots != 7)) + 0.9 * turned
    if vocabulary.idiom.engine == "ostinato":
        # An upbeat over the fifth leads to the tonic: its third is the leading tone.
        cost += _DULL_CLOSE * ((vocabulary.roots == 7) & minor)
    opening: FloatArray = cost + 0.8 * strange
    return opening


def early_characteristic(vocabulary: Vocabulary) -> FloatArray:
    """A little less for chords with the mode's characteristic degree, (n,)."""
    degree = vocabulary.idiom.table.get("characteristic", {}).get(vocabulary.key.mode)
    if degree is None:
        return np.zeros(len(vocabulary))
    return 0.5 * (~vocabulary.members[:, degree]).astype(np.float64)


def usual_weights(idiom: Idiom, *, is_hymn_like: bool = True) -> dict[str, float]:
    """The idiom's weights for every term; ideas and variety weigh 1.

    Under a tune that does not move as hymns do, what was learnt from hymns says less:
    the idiom's ``free_weights`` then stand in place of its own.
    """
    given = dict.fromkeys(("idea", "variety", "likelihood"), 1.0)
    own = dict(idiom.weights)
    if not is_hymn_like:
        own |= idiom.table.get("free_weights", {})
    return {name: float(own.get(name, given.get(name, 0.0))) for name in TERM_NAMES}
