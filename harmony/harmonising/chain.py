"""The exact chain: of all ways through the chords under a melody the one that costs least.

Ideas change single terms between one search and the next, so the terms are kept
apart and added up anew for each search; the search itself is Bellman's recursion
over one layer a span and is exact. (The packed layers of ``harmony.search`` serve
problems weighed again and again with the same terms, which this one is not.)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from harmony.errors import NoSolutionError
from harmony.harmonising import costs
from harmony.harmonising.counted import find_limited
from harmony.harmonising.fitting import (
    Sounding,
    foreign_costs,
    hear,
    list_clashes,
    rival_costs,
)
from harmony.harmonising.likelihood import weigh_learnt
from harmony.harmonising.limits import Limit
from harmony.harmonising.melody import Melody
from harmony.harmonising.regions import Regions, find_joint, lay_regions
from harmony.harmonising.setting import final_spans, strength_at
from harmony.harmonising.spans import Span, is_hymn_like
from harmony.harmonising.spelling import spell_entry
from harmony.harmonising.vocabulary import FREE, Vocabulary
from harmony.pitch.note import Note

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

FORBIDDEN = np.inf
_LAST_STEP = 3.0  # how much the very last step weighs beside the learnt syntax
_MOVES_ON = 4.0  # a chord that changes under the tune's last note
_LAST_NOTE = 1.5  # what it costs to end a phrase on a note its chord lacks
_OPENING = 0.7  # what it costs to open away from tonic and dominant
#: What the notes of the tune in a span may cost under a chord that fits them.
TOO_FOREIGN = 5.5


@dataclass(slots=True)
class Chain:
    """Everything weighed for one melody in one idiom.

    ``nodes`` are terms of shape (spans, chords); ``steps`` lists for each term one
    table (chords, chords) for each span after the first. ``allowed`` says which
    chords may stand where. ``likely`` is the chance of each root by span, (spans, 12).
    ``regions`` are the keys searched together with the chords, where they are;
    ``ration`` is how many remote chords there are to be.
    """

    melody: Melody
    vocabulary: Vocabulary
    spans: tuple[Span, ...]
    heard: tuple[tuple[Sounding, ...], ...]
    finals: tuple[int, ...]
    nodes: dict[str, FloatArray]
    steps: dict[str, list[FloatArray]]
    allowed: BoolArray
    weights: dict[str, float]
    likely: FloatArray
    regions: Regions | None = None
    ration: Limit | None = None

    def total_nodes(self) -> FloatArray:
        """Weighted cost of each chord in each span; infinite where it may not stand."""
        total = sum((self.weights[name] * table for name, table in self.nodes.items()),
                    np.zeros(self.allowed.shape))  # fmt: skip
        return np.where(self.allowed, total, FORBIDDEN)

    def total_steps(self) -> list[FloatArray]:
        """Weighted cost of each step, one table for each span after the first."""
        found: dict[tuple[int, ...], FloatArray] = {}
        totals = []
        for place in range(len(self.spans) - 1):
            tables = [(name, rows[place]) for name, rows in self.steps.items()]
            mark = tuple(id(table) for _, table in tables)
            if mark not in found:
                found[mark] = np.add.reduce([self.weights[n] * t for n, t in tables])
            totals.append(found[mark])
        return totals

    def weigh_regions(self) -> Regions | None:
        """The key regions to be searched with the chords, weighed; None where there are none."""
        weight = self.weights["key_distance"]
        return None if self.regions is None or weight == 0 else self.regions.weigh(weight)


def build_chain(
    melody: Melody,
    vocabulary: Vocabulary,
    spans: Sequence[Span],
    weights: Mapping[str, float] | None = None,
    part: range | None = None,
) -> Chain:
    """Weigh every chord of a vocabulary under every span of a melody.

    With ``part`` only its spans are asked to have a chord that fits.

    Raises
    ------
    NoSolutionError
        Where no chord of the idiom fits the tune, with the nearest.
    """
    spans = tuple(spans)
    heard = hear(melody, spans)
    finals = final_spans(melody, spans)
    idiom = vocabulary.idiom
    fit = costs.foreign_notes(vocabulary, foreign_costs(heard))
    if idiom.engine == "learnt":
        fit += costs.rival_notes(vocabulary, rival_costs(heard, melody))
    nodes: dict[str, FloatArray] = {"melody_fit": fit}
    shape = nodes["melody_fit"].shape
    allowed = _tops(vocabulary, heard)
    _keep_tonic_for_close(allowed, vocabulary, heard, finals[-1])
    if idiom.engine == "quartal":
        _thin_out(allowed, vocabulary, finals)
    _check_fit(nodes["melody_fit"], allowed, vocabulary, melody, spans, part or range(len(spans)))
    if idiom.engine in ("chain", "pedal", "ostinato"):
        fit += costs.clashing_notes(vocabulary, list_clashes(heard), shape[0])
        for final, phrase in zip(finals, melody.phrases, strict=True):
            fit[final] += _LAST_NOTE * ~_holds(vocabulary, melody, melody.notes[phrase.last])
    likely = np.zeros((shape[0], 12))
    steps: dict[str, list[FloatArray]] = {}
    if idiom.engine == "learnt":
        nodes["likelihood"], steps["syntax"], likely = weigh_learnt(
            melody, spans, heard, vocabulary
        )
    else:
        table = np.tile(vocabulary.own_costs, (shape[0], 1))
        early = costs.early_characteristic(vocabulary)
        table[1 : max(2, shape[0] // 4)] += early
        if idiom.engine in ("chain", "own", "ostinato"):
            table[0] += _OPENING * costs.opening_costs(vocabulary)
        nodes["likelihood"] = table
        steps["syntax"] = [costs.root_steps(vocabulary)] * (shape[0] - 1)
    regions = None
    nodes["key_distance"] = np.tile(costs.key_distance(vocabulary), (shape[0], 1))
    if idiom.engine == "learnt":
        # Distance is measured from the region each chord stands in, not from home alone.
        regions = lay_regions(vocabulary)
        nodes["key_distance"] = np.zeros(shape)
    nodes["cadence"] = np.tile(costs.inner_tonic(vocabulary), (shape[0], 1))
    nodes["cadence"][[0, *(final + 1 for final in finals if final + 1 < shape[0])]] = 0.0
    for number, final in enumerate(finals):
        is_last = number == len(finals) - 1
        nodes["cadence"][final] = costs.close_costs(vocabulary, is_last=is_last)
        if is_last:
            nodes["cadence"][final + 1 :] = nodes["cadence"][final]
    _add_steps(steps, melody, spans, heard, finals, vocabulary)
    return Chain(
        melody, vocabulary, spans, heard, finals, nodes, steps, allowed,
        {**costs.usual_weights(idiom, is_hymn_like=is_hymn_like(melody)), **(weights or {})},
        likely, regions, _ration(vocabulary, len(finals), shape),
    )  # fmt: skip


def _holds(vocabulary: Vocabulary, melody: Melody, note: Note) -> BoolArray:
    """Which chords have a note of the tune, (chords,)."""
    assert note.pitch is not None
    has: BoolArray = vocabulary.members[
        :, (note.pitch.pitch_class - melody.key.tonic.pitch_class) % 12
    ]
    return has


def _ration(vocabulary: Vocabulary, phrases: int, shape: tuple[int, ...]) -> Limit | None:
    """So many remote chords as the idiom rations: one to every other phrase, to each at most."""
    if not vocabulary.idiom.table.get("is_rationed", False):
        return None
    return Limit(np.broadcast_to(vocabulary.is_remote, shape), (phrases + 1) // 2, phrases)


def _tops(vocabulary: Vocabulary, heard: Sequence[Sequence[Sounding]]) -> BoolArray:
    """Which chords may stand in a span: those with the tune on top where order is kept."""
    allowed = np.ones((len(heard), len(vocabulary)), bool)
    ordered = vocabulary.tops != FREE
    for place, inside in enumerate(heard):
        if inside:
            longest = max(inside, key=lambda one: (one.note.duration, one.is_accented))
            allowed[place, ordered & (vocabulary.tops != longest.pitch_class)] = False
    return allowed


def _keep_tonic_for_close(
    allowed: BoolArray,
    vocabulary: Vocabulary,
    heard: Sequence[Sequence[Sounding]],
    final: int,
) -> None:
    """Allow only the tonic under the last note, where the tune's note is in its triad.

    Planing and stacks of fourths close by other means; a tune that ends on its fifth
    may end open in common practice (Phrygian tunes do).
    """
    if vocabulary.idiom.hangs_from_tune or not heard[final]:
        return
    note = heard[final][-1].pitch_class
    if vocabulary.idiom.engine == "learnt" and note == 7:
        return
    tonic = (vocabulary.roots == 0) & vocabulary.members[:, note]
    triad = {0, 7, 3 if vocabulary.key.is_minor else 4}
    if vocabulary.key.mode == "locrian":
        triad = {0, 3, 6}
    if note not in triad or not tonic.any():
        return
    names = [entry.quality for entry in vocabulary.entries]
    restless = ("dom", "dim", "hdim", "aug")
    if vocabulary.key.mode == "locrian":
        restless = ("dom", "hdim", "aug", "dim7")  # its final bears no other triad
    stable = np.array([not name.startswith(restless) for name in names])
    low = vocabulary.basses == vocabulary.roots
    wanted = tonic & stable & (low if not vocabulary.idiom.has_strands else True)
    if (allowed[final] & wanted).any():
        allowed[final:] &= wanted


def _thin_out(allowed: BoolArray, vocabulary: Vocabulary, finals: Sequence[int]) -> None:
    """Allow where a phrase ends only the smallest stacks: fourths close by density."""
    thin = vocabulary.sizes == vocabulary.sizes.min()
    for final in finals:
        if (allowed[final] & thin).any():
            allowed[final] &= thin


def _check_fit(
    fit: FloatArray,
    allowed: BoolArray,
    vocabulary: Vocabulary,
    melody: Melody,
    spans: Sequence[Span],
    part: range,
) -> None:
    open_costs = np.where(allowed, fit, FORBIDDEN)
    best = open_costs.min(axis=1)
    for place in np.flatnonzero(best > TOO_FOREIGN).tolist():
        if place not in part or (np.isfinite(best[place]) and vocabulary.idiom.engine != "own"):
            continue
        nearest = vocabulary.entries[int(fit[place].argmin())]
        where = melody.theme.meters.say_place(spans[place].onset)
        figures = str(vocabulary.idiom.table.get("figures_as", "numerals"))
        raise NoSolutionError(
            f"No chord of the idiom {vocabulary.idiom.name!r} fits the tune in {where}; the"
            f" nearest is {spell_entry(nearest, vocabulary.key, (), figures).figure}, so allow"
            " another chord there or split the stretch.",
            rule="melody_fit",
            where=where,
        )


def _add_steps(
    steps: dict[str, list[FloatArray]],
    melody: Melody,
    spans: Sequence[Span],
    heard: Sequence[Sequence[Sounding]],
    finals: Sequence[int],
    vocabulary: Vocabulary,
) -> None:
    """Add the terms of steps that are not syntax."""
    same = costs.same_chord(vocabulary)
    learnt = vocabulary.idiom.engine == "learnt"
    nothing = np.zeros(same.shape)
    closing, last = (
        (nothing, _LAST_STEP * costs.learnt_close_steps(vocabulary))
        if learnt
        else (
            costs.close_steps(vocabulary, is_last=False),
            costs.close_steps(vocabulary, is_last=True),
        )
    )
    held = {strength: np.where(same, cost, change) for strength, cost, change in
            ((2, 1.0, 0.0), (1, 0.5, 0.0), (0, 0.1, 0.25))}  # fmt: skip
    bass = costs.bass_steps(vocabulary)
    count = len(spans)
    steps["bass_line"] = [bass] * (count - 1)
    steps["harmonic_rhythm"] = [held[strength_at(melody, spans[t])] for t in range(1, count)]
    # Once the tune's last note has come the chord stays.
    stays = nothing if learnt else np.where(same, 0.0, _MOVES_ON)
    kinds = {finals[-1]: last} | dict.fromkeys(range(finals[-1] + 1, count), stays)
    steps["cadence"] = [kinds.get(t, closing if t in finals else nothing) for t in range(1, count)]
    tables: dict[tuple[int, int], FloatArray] = {}
    outer = []
    for t in range(1, count):
        before, after = heard[t - 1], heard[t]
        if not before or not after:
            outer.append(nothing)
            continue
        pair = (before[-1].pitch_class, after[0].pitch_class)
        if pair not in tables:
            tables[pair] = costs.consecutives(vocabulary, *pair)
        outer.append(tables[pair])
    steps["outer_voices"] = outer


def find_best(
    nodes: FloatArray | Sequence[FloatArray], steps: Sequence[FloatArray]
) -> tuple[list[int], float]:
    """The cheapest way through, one chord a span, and its cost (infinite if none).

    Rows may differ in length where the vocabulary changes on the way.
    """
    ahead = nodes[0]
    back = []
    for place, table in enumerate(steps, start=1):
        ways = ahead[:, None] + table
        best = ways.argmin(axis=0)
        back.append(best)
        ahead = ways[best, np.arange(ways.shape[1])] + nodes[place]
    choice = int(ahead.argmin())
    value = float(ahead[choice])
    path = [choice]
    for best in reversed(back):
        path.append(int(best[path[-1]]))
    return path[::-1], value


def add_to_steps(steps: Sequence[FloatArray], more: FloatArray) -> list[FloatArray]:
    """Steps with ``more`` on each; what was one table for several spans stays one."""
    added: dict[int, FloatArray] = {}
    for table in steps:
        if id(table) not in added:
            added[id(table)] = table + more
    return [added[id(table)] for table in steps]


Way = tuple[list[int], "tuple[int, ...] | None", float]


def find_way(chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray]) -> Way:
    """The cheapest way through a chain: chords, key regions (None without), its cost."""
    if chain.ration is not None:
        units = (1,) * len(chain.spans)
        for ration in (chain.ration, replace(chain.ration, least=0)):
            path, _, value = find_limited(nodes, steps, [ration], units)
            if np.isfinite(value):
                break
        return path, None, value
    regions = chain.weigh_regions()
    if regions is None:
        path, value = find_best(nodes, steps)
        return path, None, value
    path, where, value = find_joint(nodes, steps, regions)
    return path, tuple(where), value
