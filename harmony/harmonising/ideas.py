"""The ideas behind alternatives: what each asks of the chords, in a sentence.

An idea is a cost of its own beside the others (where it is not followed it costs), a
course one voice must take, or a note held. Ideas look at what is heard most: phrase
ends, downbeats, long notes, the bass. What one came to is told with it.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from harmony.harmonising.binding import (
    Binding,
    Common,
    Contrary,
    Ends,
    Farthest,
    Goal,
    Mixture,
    Only,
    Reread,
)
from harmony.harmonising.chain import Chain
from harmony.harmonising.courses import BASS, INNER, ROOT, Course
from harmony.harmonising.pedals import (
    Planner,
    frame_tune,
    hold_drone,
    hold_fourth,
    hold_tonic_inside,
    prepare_close,
)
from harmony.harmonising.setting import strength_at
from harmony.harmonising.vocabulary import FIFTHS as TURNED
from harmony.harmonising.vocabulary import MIXED, PERFECT
from harmony.harmonising.wishes import (
    Wish,
    ask_nothing,
    creep,
    creep_up,
    darken,
    fall_by_fifths,
    go_round,
    invert,
    keep_shape,
    keep_size,
    keep_stack,
    lean_to_fourth,
    lean_to_relative,
    lean_to_third,
    mix_at_return,
    reach_far,
    reread,
    rise,
    sink,
    slow_down,
    tell_goals,
    tell_pace,
    tell_reread,
    turn_away,
)  # fmt: skip

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Idea:
    """A name, a sentence for the composer, and what it adds to nodes and steps.

    ``wish`` gives a table (spans, chords) and a table (chords, chords) or None.
    ``course`` is the way a voice takes, or the close of a phrase, held to by the search
    and told with its place. ``plan`` lays a pedal, which then gives name and sentence.
    ``tell`` says of a way through the chain what came of the idea.
    """

    name: str
    sentence: str
    wish: Callable[[Chain], Wish]
    course: Binding | None = None
    plan: Planner | None = None
    tell: Callable[[Chain, Sequence[int]], str] | None = None


def importance(chain: Chain) -> FloatArray:
    """How much each span is heard: its length, its beat, the end of a phrase, (spans,)."""
    weight = np.ones(len(chain.spans))
    for place, span in enumerate(chain.spans):
        weight[place] += 0.25 * strength_at(chain.melody, span)
        inside = chain.heard[place]
        if inside and inside[0].note.duration >= 2 * span.duration:
            weight[place] += 0.3
    for final in chain.finals:
        weight[final] += 0.5
    share: FloatArray = weight / weight.mean()
    return share


def openness(chain: Chain) -> FloatArray:
    """How far the tune leaves the choice of root open, about 1 on average, (spans,).

    Ideas are followed first where no chord is the obvious one; without learnt chances
    every span is as open as any other.
    """
    if not chain.likely.any():
        return np.ones(len(chain.spans))
    doubt: FloatArray = 1.0 - chain.likely.max(axis=1)
    doubt = doubt**OPENNESS
    open_: FloatArray = np.clip(doubt / doubt.mean(), 0.15, 3.0)
    return open_


OPENNESS = 1.0


def share_followed(
    chain: Chain, wish: FloatArray, moves: FloatArray | None, path: Sequence[int]
) -> float | None:
    """How much of a way follows an idea: of the time it speaks of, or of the changes of bass.

    None for an idea that asks for nothing.
    """
    if moves is not None:
        asked = [(a, b) for a, b in itertools.pairwise(path) if a != b or moves[a, b] == 0]
        return sum(bool(moves[a, b] == 0) for a, b in asked) / max(1, len(asked))
    spoken = wish.max(axis=1) > 0
    if not spoken.any():
        return None
    lengths = np.array([float(span.duration) for span in chain.spans]) * spoken
    kept = wish[np.arange(len(path)), list(path)] == 0
    share: float = (lengths * kept).sum() / lengths.sum()
    return share


PLAIN = Idea(
    "plain reference", "what the idiom would do first, with nothing special asked", ask_nothing
)
ANOTHER = Idea(
    "another way",
    "other chords than in the alternatives before, nothing special asked",
    ask_nothing,
)
SINKING = Idea(
    "sinking bass", "the bass sinks by step", sink,
    Course(BASS, (10, 11)),
)  # fmt: skip
RISING = Idea(
    "rising bass", "the bass climbs by step", rise,
    Course(BASS, (1, 2)),
)  # fmt: skip
CHROMATIC = Idea(
    "chromatic bass", "the bass creeps down by semitones", creep,
    Course(BASS, (11,)),
)  # fmt: skip
CLIMBING = Idea(
    "climbing bass", "the bass climbs by semitones", creep_up,
    Course(BASS, (1,)),
)  # fmt: skip
FIFTHS = Idea(
    "falling fifths", "roots fall by fifths", fall_by_fifths,
    Course(ROOT, (5,), most=6),
)  # fmt: skip
INNER_LINE = Idea(
    "inner line", "a voice inside falls by semitones", ask_nothing,
    Course(INNER, (11,), most=5),
)  # fmt: skip
OTHER_NAMES = Idea(
    "long notes reread", "long notes become the third, the seventh or the ninth of their chords",
    reread, Reread(), tell=tell_reread,
)  # fmt: skip
OTHER_GOALS = Idea(
    "other goals", "phrases turn away from tonic and dominant", turn_away, Ends(), tell=tell_goals
)
RELATIVE = Idea(
    "answer in the relative key", "an inner phrase closes fully in the relative key",
    lean_to_relative, Goal(9, 3),
)  # fmt: skip
MIXTURE = Idea(
    "mixture at the return", "from the middle on, chords borrowed from minor", mix_at_return,
    Mixture(),
)  # fmt: skip
MAJOR_THIRDS = Idea(
    "cycle of major thirds", "phrases end round a cycle of major thirds where the tune lets them",
    go_round(4), Ends(4), tell=tell_goals,
)  # fmt: skip
MINOR_THIRDS = Idea(
    "cycle of minor thirds", "phrases end round a cycle of minor thirds where the tune lets them",
    go_round(3), Ends(3), tell=tell_goals,
)  # fmt: skip
FOURTH_SIDE = Idea("subdominant side", "the tune leans to the side of the fourth", lean_to_fourth)
THIRD_SIDE = Idea(
    "mediant side", "the tune is heard from the third and the sixth degree", lean_to_third
)
INVERTED = Idea(
    "on the third", "chords stand on their thirds; root position waits for the closes", invert
)
CONTRARY = Idea("contrary bass", "the bass moves against the tune", ask_nothing, Contrary())
COMMON = Idea(
    "common tone",
    "a note goes through the chords as far as it can, then another",
    ask_nothing,
    Common(),
)
FEWER = Idea("slower harmony", "chords last longer than they need", slow_down, tell=tell_pace)
DARKER = Idea("minor colours", "minor chords before major ones", darken)
REMOTE = Idea(
    "one distant chord",
    "the most distant chord stands at the tune's highest note",
    reach_far,
    Farthest(),
)
FRAME = Idea("pedals at both ends", "", ask_nothing, plan=frame_tune)
CLOSE_PEDAL = Idea("pedal before the close", "", ask_nothing, plan=prepare_close)
DRONE = Idea("double pedal", "", ask_nothing, plan=hold_drone)
FOURTH_PEDAL = Idea("subdominant pedal", "", ask_nothing, plan=hold_fourth)
HELD_INSIDE = Idea("inner pedal", "", ask_nothing, plan=hold_tonic_inside)

_BY_IDIOM: dict[str, tuple[Idea, ...]] = {
    "common-practice": (PLAIN, SINKING, FRAME, OTHER_NAMES, RELATIVE, OTHER_GOALS, THIRD_SIDE,
                        FOURTH_SIDE, FIFTHS, INVERTED, RISING, FEWER, DARKER),
    "modal": (PLAIN, SINKING, DRONE, OTHER_NAMES, OTHER_GOALS, FOURTH_SIDE, RISING, FEWER,
              CONTRARY, DARKER),
    "romantic": (PLAIN, CHROMATIC, HELD_INSIDE, OTHER_NAMES, OTHER_GOALS, MIXTURE, INNER_LINE,
                 REMOTE, CLIMBING, RELATIVE, THIRD_SIDE, FIFTHS, FEWER, DARKER),
    "third-relations": (PLAIN, MAJOR_THIRDS, HELD_INSIDE, OTHER_NAMES, MINOR_THIRDS, DARKER,
                        REMOTE, OTHER_GOALS, SINKING, FEWER, RISING),
    "extended": (PLAIN, CHROMATIC, CLOSE_PEDAL, OTHER_NAMES, FIFTHS, INNER_LINE, FOURTH_SIDE,
                 THIRD_SIDE, FEWER, DARKER),
    "pedal": (PLAIN, OTHER_NAMES, DARKER, FOURTH_SIDE, OTHER_GOALS, FEWER, THIRD_SIDE),
    "ostinato": (PLAIN, OTHER_NAMES, FOURTH_SIDE, DARKER, OTHER_GOALS, THIRD_SIDE),
    "own": (PLAIN, SINKING, OTHER_NAMES, FEWER, OTHER_GOALS, RISING, FIFTHS, CONTRARY),
    "quartal": (
        Idea("plain reference",
             "three, four or five fourths as the tune suggests, three where a phrase ends",
             ask_nothing),
        CONTRARY,
        DRONE,
        COMMON,
        FEWER,
        Idea("exact planing", "stacks of four perfect fourths move exactly with the tune",
             keep_stack(PERFECT), Only((PERFECT,), size=4)),
        Idea("five notes", "stacks of five notes, which thin out to three where a phrase ends",
             keep_size(5), Only(size=5)),
        Idea("augmented fourths", "an augmented fourth in every stack until the close",
             keep_stack(MIXED), Only((MIXED,))),
        Idea("stacks of fifths", "fifths in place of fourths hang from the tune",
             keep_stack(TURNED), Only((TURNED,))),
        FOURTH_PEDAL,
        SINKING,
        Idea("three notes", "stacks of three notes, open and light", keep_size(3), Only(size=3)),
        RISING,
        CHROMATIC,
    ),
    "parallel": (
        Idea("scale planing", "triads of the scale hang from the tune by their fifths",
             keep_shape(0), Only((0,))),
        Idea("exact planing", "major triads move exactly with the tune, out of the key",
             keep_shape(4, 5, 6), Only((4, 5, 6))),
        Idea("planed ninths", "dominant ninths hang from the tune", keep_shape(10), Only((10,))),
        Idea("planed minor", "minor triads move exactly with the tune", keep_shape(7, 8),
             Only((7, 8))),
        Idea("planing from the third", "the tune is the third of triads of the scale",
             keep_shape(1), Only((1,))),
        Idea("planing from the root", "the tune is the root of triads of the scale",
             keep_shape(2), Only((2,))),
        Idea("planed sevenths", "sevenths of the scale hang from the tune", keep_shape(3),
             Only((3,))),
        Idea("planed dominants", "dominant sevenths hang from the tune", keep_shape(9),
             Only((9,))),
        PLAIN,
    ),
}  # fmt: skip
#: Under tunes that move as hymns do, a chord a beat, notes held long have no place.
_UNDER_HYMNS: tuple[Idea, ...] = (
    PLAIN, THIRD_SIDE, OTHER_NAMES, OTHER_GOALS, SINKING, FOURTH_SIDE, INVERTED, RISING, FEWER,
    DARKER, RELATIVE, FIFTHS,
)  # fmt: skip


def wishes_in(idiom: str) -> tuple[Idea, ...]:
    """The ideas of an idiom that are wishes, the plain one first: no pedal, no bare course."""
    return tuple(
        idea
        for idea in _BY_IDIOM[idiom]
        if idea.plan is None and (idea.wish is not ask_nothing or idea.course is None)
    )


def all_ideas(idiom: str, *, is_hymn_like: bool = False) -> tuple[Idea, ...]:
    """Every idea of an idiom in the order they are tried, the plain one first.

    Under tunes that move as hymns do, common practice holds no note long and binds no
    voice to a course.
    """
    if not is_hymn_like or idiom != "common-practice":
        return _BY_IDIOM[idiom]
    return tuple(replace(idea, course=None) for idea in _UNDER_HYMNS)
