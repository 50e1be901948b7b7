"""Several ensembles as one: voices by height, each ensemble a group."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from harmony.instruments.ensemble import Ensemble, Voice

#: Widest distance, in semitones, between neighbours from different ensembles
#: (a twelfth; common practice), so that joined players still make one chord.
NEIGHBOUR_GAP = 19


def join(parts: Sequence[Ensemble]) -> Ensemble:
    """Join ensembles into one.

    The voices run from the top down: at each step the ensemble whose next voice
    lies highest (middle of its register) gives it, so each ensemble keeps its
    own order and its voices interleave with the others'. Each becomes a group;
    a voice's name is told apart by its ensemble's where two would be the same.
    The preset is that of the ensemble with most voices.
    """
    if len(parts) == 1:
        return parts[0]
    titles = _number([part.name for part in parts])
    order = _interleave(parts)
    shared = Counter(voice.name.casefold() for part in parts for voice in part.voices)
    voices: list[Voice] = []
    for which, place in order:
        voice = parts[which].voices[place]
        if shared[voice.name.casefold()] > 1:
            voice = replace(voice, name=f"{voice.name} ({titles[which]})")
        voices.append(voice)
    new_place = {old: new for new, old in enumerate(order)}

    def moved(which: int, inside: Sequence[int]) -> tuple[int, ...]:
        return tuple(new_place[which, place] for place in inside)

    largest = max(parts, key=len)
    staves: list[tuple[str, tuple[int, ...]]] = []
    if any(part.staves for part in parts):
        for which, part in enumerate(parts):
            own = part.staves or tuple((v.name, (i,)) for i, v in enumerate(part.voices))
            staves += [(name, moved(which, inside)) for name, inside in own]
    return Ensemble(
        name=" + ".join(part.name for part in parts),
        voices=tuple(voices),
        groups=tuple((titles[w], moved(w, range(len(p)))) for w, p in enumerate(parts)),
        gaps=_join_gaps(parts, order),
        preset=largest.preset,
        staves=tuple(staves),
        spans=tuple(
            (name, moved(which, inside), width)
            for which, part in enumerate(parts)
            for name, inside, width in part.spans
        ),
        source="; ".join(dict.fromkeys(part.source for part in parts if part.source)),
    )


def _number(names: Sequence[str]) -> list[str]:
    totals, seen, titles = Counter(names), Counter[str](), []
    for name in names:
        seen[name] += 1
        titles.append(f"{name} {seen[name]}" if totals[name] > 1 else name)
    return titles


def _interleave(parts: Sequence[Ensemble]) -> list[tuple[int, int]]:
    """Give (ensemble, place in it) from the top down."""
    nexts = [0] * len(parts)
    order: list[tuple[int, int]] = []
    while len(order) < sum(map(len, parts)):
        waiting = [which for which, part in enumerate(parts) if nexts[which] < len(part)]
        highest = max(waiting, key=lambda which: _middle(parts[which].voices[nexts[which]]))
        order.append((highest, nexts[highest]))
        nexts[highest] += 1
    return order


def _middle(voice: Voice) -> int:
    return voice.low.midi + voice.high.midi


def _join_gaps(parts: Sequence[Ensemble], order: Sequence[tuple[int, int]]) -> tuple[int, ...]:
    gaps: list[int] = []
    for (which, place), (below, _) in pairwise(order):
        own = parts[which].gaps
        gaps.append((own[place] if own else 0) if which == below else NEIGHBOUR_GAP)
    return tuple(gaps)
