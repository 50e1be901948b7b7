"""Reading what is said of a common tone or a contrary bass, and looking whether it is there."""

from __future__ import annotations

import re
from itertools import pairwise

from harmony.pitch import PitchName


def at_time(one, time):
    """The chord that sounds at a time."""
    return next(slot for slot in reversed(one.progression.slots) if slot.onset <= time)


_COMMON = re.compile(r"(\S+) in bars? (\d+)(?: (?:and|to) (\d+))?")


def check_common_tones(found, one):
    """Chord after chord has the note that is said of its bar, each note in its turn."""
    told = [
        (PitchName.from_text(name), int(first), int(last or first))
        for name, first, last in _COMMON.findall(one.idea.split(": ")[1])
    ]
    turn = 0
    for slot in one.progression:
        while told[turn][0].pitch_class not in slot.chord.pitch_classes:
            turn += 1
            assert turn < len(told), (one.idea, slot.bar)
        assert told[turn][1] <= slot.bar <= told[turn][2] + 1, (one.idea, slot.bar)
    assert turn == len(told) - 1
    assert len(told) * 4 <= len(found.spans)


def check_contrary(found, one):
    """The bass goes against the tune as often as is said, and more than in the plain way."""
    said = re.search(r"at (\d+) of the (\d+) places", one.idea)
    assert tuple(map(int, said.groups())) == count_contrary(found, one), one.idea
    against, moves = count_contrary(found, one)
    assert against >= 0.7 * moves
    assert against > count_contrary(found, found.alternative(1))[0]


def count_contrary(found, one):
    """At how many of the tune's moves from span to span the bass goes the other way."""
    against = moves = 0
    for before, after in pairwise(found.spans):
        a, b = (
            next(n for n in found.melody.notes if n.end > span.onset).pitch.midi
            for span in (before, after)
        )
        low, high = (at_time(one, span.onset).bass.pitch_class for span in (before, after))
        moves += a != b
        step = (high - low + 6) % 12 - 6  # the nearest way, -6 for a tritone
        against += (b - a) * step < 0 and step != -6
    return against, moves
