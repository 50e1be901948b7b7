"""What an idea binds: chords shut out so that its sentence is true of every way left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.chain import Chain, find_best
from harmony.harmonising.common_tones import find_common_tones, list_stretches
from harmony.harmonising.contrary import find_contrary
from harmony.harmonising.counted import Counting, find_limited
from harmony.harmonising.courses import Course, bears, find_course
from harmony.harmonising.limits import Limit
from harmony.harmonising.pedals import name_bars
from harmony.harmonising.spelling import name_near
from harmony.harmonising.wishes import (
    climax_of,
    count_far,
    has_borrowed,
    inner_ends,
    is_late,
    long_notes,
)

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

_MOSTLY = 0.75  # one kind of chord: in so many of the spans at least it must be had
_DOES_NOT_FIT = 3.0  # what the tune may cost under a chord it closes on


@dataclass(frozen=True, slots=True)
class Goal:
    """An inner phrase that closes fully in another key: its tonic in semitones above ours.

    ``from_major`` and ``from_minor`` say which, by the mode of the tune's key.
    """

    from_major: int
    from_minor: int


@dataclass(frozen=True, slots=True)
class Mixture:
    """In major, chords of the minor from the middle phrase on, so many at least; none before."""

    least: int = 2


@dataclass(frozen=True, slots=True)
class Farthest:
    """The chord farthest from the key under the highest note of the tune, and there alone."""


@dataclass(frozen=True, slots=True)
class Ends:
    """Inner phrases that end away from tonic and dominant.

    With ``cycle`` they go round a cycle of thirds of so many semitones where the tune lets
    them, and elsewhere to another place of it.
    """

    cycle: int = 0


@dataclass(frozen=True, slots=True)
class Reread:
    """Long notes that are third, seventh or ninth: so many more than without the idea."""

    share: float = 0.6
    more: int = 2


@dataclass(frozen=True, slots=True)
class Only:
    """One kind of chord wherever the tune has one, closes apart.

    ``shapes`` are places in vocabulary.SHAPES, or kinds of stack; ``size`` is how many notes
    a chord has. Where both are given both must hold.
    """

    shapes: tuple[int, ...] = ()
    size: int = 0


@dataclass(frozen=True, slots=True)
class Contrary:
    """A bass that goes against the tune at this share of the tune's moves, or more."""

    share: float = 0.7


@dataclass(frozen=True, slots=True)
class Common:
    """One note after another that goes through the chords: each through so many on average.

    ``most`` is how many notes there are at most; more are no idea any longer.
    """

    least: int = 4
    most: int = 6


Binding = Only | Reread | Ends | Course | Goal | Mixture | Farthest | Contrary | Common


@dataclass(frozen=True, slots=True)
class Bound:
    """The chords left open, (spans, chords), and what is to be told.

    ``ends`` are the spans and the notes a course begins and ends with; ``words`` go
    on the sentence of anything else.
    """

    open: BoolArray
    ends: tuple[int, int, int, int] | None = None
    words: str = ""


def bind(
    chain: Chain,
    nodes: FloatArray,
    steps: Sequence[FloatArray],
    wanted: Binding,
    plain: Sequence[int],
) -> Bound | None:
    """Leave open only what does as the idea says, where that costs least; None if nothing can.

    ``plain`` is the way through the chain without the idea.
    """
    match wanted:
        case Goal():
            return _bind_goal(chain, nodes, steps, wanted)
        case Only():
            return _bind_kind(chain, nodes, wanted)
        case Reread():
            return _bind_reread(chain, nodes, steps, wanted, plain)
        case Ends():
            return _bind_ends(chain, nodes, wanted, plain)
        case Mixture():
            return _bind_mixture(chain, nodes, steps, wanted)
        case Farthest():
            return _bind_farthest(chain, nodes, steps)
        case Contrary():
            return _bind_contrary(chain, nodes, steps, wanted)
        case Common():
            return _bind_common(chain, nodes, steps, wanted)
        case Course():
            return _bind_course(chain, nodes, steps, wanted)


def _bind_course(
    chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray], course: Course
) -> Bound | None:
    ran = find_course(chain.vocabulary, nodes, steps, course)
    if ran is None:
        return None
    open_ = np.ones(nodes.shape, bool)
    for place, note in zip(range(ran.first, ran.last + 1), ran.notes, strict=True):
        open_[place] = bears(chain.vocabulary, course.voice, note)
    return Bound(open_, (ran.first, ran.last, ran.notes[0], ran.notes[-1]))


def _bind_goal(
    chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray], goal: Goal
) -> Bound | None:
    """Dominant and tonic of the other key at the end of the inner phrase that takes them best."""
    vocabulary = chain.vocabulary
    tonic = goal.from_minor if vocabulary.key.is_minor else goal.from_major
    names = [entry.quality for entry in vocabulary.entries]
    stable = np.array([not name.startswith(("dom", "dim", "hdim", "aug")) for name in names])
    bright = np.array([name.startswith(("maj", "dom")) for name in names])
    closes = (vocabulary.roots == tonic) & (vocabulary.basses == vocabulary.roots) & stable
    leads = (vocabulary.roots == (tonic + 7) % 12) & bright
    ways: list[tuple[int, BoolArray]] = []
    for final in chain.finals[:-1] or (len(chain.spans) // 2 - 1,):
        if final < 1:
            continue
        open_ = np.ones(nodes.shape, bool)
        fits = chain.nodes["melody_fit"][final] < _DOES_NOT_FIT
        open_[final], open_[final - 1] = closes & fits, leads
        ways.append((final, open_))
    best = _cheapest(nodes, steps, [open_ for _, open_ in ways])
    if best is None:
        return None
    final, open_ = ways[best]
    key = vocabulary.key
    bar = chain.melody.theme.meters.locate(chain.spans[final].onset)[0]
    name = name_near((key.tonic.pitch_class + tonic) % 12, key)
    return Bound(open_, words=f", on {name} in bar {bar}")


def _cheapest(
    nodes: FloatArray, steps: Sequence[FloatArray], ways: Sequence[BoolArray]
) -> int | None:
    """Which way to leave chords open costs least, the first of equals; None if nothing stands."""
    values = [find_best(np.where(open_, nodes, np.inf), steps)[1] for open_ in ways]
    return int(np.argmin(values)) if np.isfinite(values).any() else None


def _bind_kind(chain: Chain, nodes: FloatArray, only: Only) -> Bound | None:
    vocabulary = chain.vocabulary
    kind = np.ones(len(vocabulary), bool)
    if only.shapes:
        kind &= np.isin(vocabulary.shapes, only.shapes)
    if only.size:
        kind &= vocabulary.sizes == only.size
    open_ = np.ones(nodes.shape, bool)
    reached = free = 0
    missed: list[int] = []
    # Planing closes once, at the end; stacks thin out wherever a phrase ends.
    end = range(chain.finals[-1], len(chain.spans))
    closes = {*end, *chain.finals} if only.size else {*end}
    for place in range(len(chain.spans)):
        if place in closes:
            continue
        free += 1
        if np.isfinite(nodes[place, kind]).any():
            open_[place] = kind
            reached += 1
        else:
            missed.append(place)
    words = f", but {_bars_of(chain, missed)}" if missed else ""
    return Bound(open_, words=words) if reached >= _MOSTLY * free else None


def _bind_reread(
    chain: Chain,
    nodes: FloatArray,
    steps: Sequence[FloatArray],
    reread: Reread,
    plain: Sequence[int],
) -> Bound | None:
    places = long_notes(chain)
    roots, members = chain.vocabulary.roots, chain.vocabulary.members
    counts = np.zeros(nodes.shape, bool)
    for place, note in places:
        counts[place] = np.isin((note - roots) % 12, (1, 2, 3, 4, 10, 11)) & members[:, note]
    usual = sum(bool(counts[place, plain[place]]) for place, _ in places)
    least = min(len(places), max(usual + reread.more, round(reread.share * len(places))))
    if not least:
        return None
    counting = Counting(nodes, steps, [counts], (1,) * len(chain.spans))
    for wanted in range(least, usual, -1):
        path, _, value = counting.find([Limit(counts, wanted)])
        if np.isfinite(value):
            open_ = np.ones(nodes.shape, bool)
            counted = _counted_on(counts, path)
            open_[counted] = counts[counted]
            return Bound(open_)
    return None


def _bind_contrary(
    chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray], contrary: Contrary
) -> Bound | None:
    found = find_contrary(chain, nodes, steps, contrary.share)
    if found is None:
        return None
    line, against, moves = found
    words = f": at {against} of the {moves} places where it moves from chord to chord"
    return Bound(chain.vocabulary.basses[None, :] == line[:, None], words=words)


def _bind_common(
    chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray], common: Common
) -> Bound | None:
    vocabulary, key = chain.vocabulary, chain.vocabulary.key
    notes = find_common_tones(vocabulary, nodes, steps)
    if notes is None:
        return None
    stretches = list_stretches(notes)
    if len(stretches) > min(common.most, len(chain.spans) // common.least):
        return None
    meters = chain.melody.theme.meters
    told = []
    for note, first, last in stretches:
        bars = [meters.locate(chain.spans[place].onset)[0] for place in (first, last)]
        name = name_near((key.tonic.pitch_class + note) % 12, key)
        told.append(f"{name} {name_bars(bars[0], bars[1])}")
    return Bound(vocabulary.members[:, notes].T, words=f": {', '.join(told)}")


def _bars_of(chain: Chain, places: Sequence[int]) -> str:
    """The bars of some spans, as they are told."""
    meters = chain.melody.theme.meters
    bars = sorted({meters.locate(chain.spans[place].onset)[0] for place in places})
    return f"in bar{'s' if len(bars) > 1 else ''} {', '.join(map(str, bars))}"


def _counted_on(counts: BoolArray, path: Sequence[int]) -> list[int]:
    """The spans in which a way has a chord that counts."""
    return [place for place, choice in enumerate(path) if counts[place, choice]]


def _bind_ends(chain: Chain, nodes: FloatArray, ends: Ends, plain: Sequence[int]) -> Bound | None:
    vocabulary = chain.vocabulary
    roots, stands = vocabulary.roots, vocabulary.basses == vocabulary.roots
    open_ = np.ones(nodes.shape, bool)
    reached = 0
    finals = inner_ends(chain)
    if not ends.cycle and not np.isin(roots[[plain[final] for final in finals]], (0, 7)).any():
        return None  # they turn away without being asked to
    places: list[int] = []
    for number, final in enumerate(finals, start=1):
        fits = (chain.nodes["melody_fit"][final] < _DOES_NOT_FIT) & stands
        if chain.heard[final]:
            longest = max(chain.heard[final], key=lambda one: one.note.duration)
            fits &= vocabulary.members[:, longest.pitch_class]
        wishes = [~np.isin(roots, (0, 7))]
        if ends.cycle:
            goal = ends.cycle * number % 12
            round_ = (roots % ends.cycle == 0) & (roots != 0)
            # Round it goes on to another place than the phrase before ended on.
            wishes = [roots == goal] * bool(goal) + [round_ & ~np.isin(roots, places[-1:]), round_]
        for wish in wishes:
            if np.isfinite(nodes[final, wish & fits]).any():
                open_[final] = wish & fits
                reached += 1
                places.append(int(roots[open_[final]][0]))
                break
    if ends.cycle and reached > 1 and len(set(places)) == 1:
        return None  # that is one goal, and no way round
    return Bound(open_) if 2 * reached > len(finals) else None


def _bind_mixture(
    chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray], mixture: Mixture
) -> Bound | None:
    vocabulary = chain.vocabulary
    if vocabulary.key.is_minor:
        return None
    late = is_late(chain)[:, None]
    open_ = late | (vocabulary.outside == 0)
    counts = late & has_borrowed(chain) & (chain.nodes["melody_fit"] < _DOES_NOT_FIT)
    counts[chain.finals[-1] :] = False
    nodes = np.where(open_, nodes, np.inf)
    units = (1,) * len(chain.spans)
    path, _, value = find_limited(nodes, steps, [Limit(counts, mixture.least)], units)
    if not np.isfinite(value):
        return None
    places = _counted_on(counts, path)
    open_[places] = counts[places]
    return Bound(open_, words=f": {_bars_of(chain, places)}")


def _bind_farthest(chain: Chain, nodes: FloatArray, steps: Sequence[FloatArray]) -> Bound | None:
    """One chord under the highest note farther than all others, as far as costs least."""
    far, climax = count_far(chain), climax_of(chain)
    fits = chain.nodes["melody_fit"][climax] < _DOES_NOT_FIT
    highest = next(n for n in chain.heard[climax] if n.note.onset == chain.melody.climax)
    fits &= chain.vocabulary.members[:, highest.pitch_class]
    ways: list[BoolArray] = []
    for distance in range(2, int(far.max()) + 1):
        open_ = np.tile(far < distance, (len(chain.spans), 1))
        open_[climax] = (far == distance) & fits
        ways.append(open_)
    best = _cheapest(nodes, steps, ways)
    if best is None:
        return None
    bar = chain.melody.theme.meters.locate(chain.melody.climax)[0]
    return Bound(ways[best], words=f", in bar {bar}")
