"""Cadences by phrase: which there are, and which are asked for.

Full: dominant to tonic, both in root position. Half: the phrase stops on the
dominant. Evaded: the dominant comes and the tonic does not, or not in root position.
Elided: the phrase stops on the dominant and the tonic arrives with the next phrase.
Plagal: fourth degree to tonic. (Aldwell and Schachter.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from harmony.chords.chord import Chord
from harmony.errors import HarmonyError, NoSolutionError
from harmony.harmonising.chain import TOO_FOREIGN, Chain
from harmony.harmonising.harmonisation import Harmonisation
from harmony.harmonising.melody import Melody
from harmony.harmonising.setting import phrase_of
from harmony.harmonising.vocabulary import Vocabulary
from harmony.pitch.key import Key

BoolArray = NDArray[np.bool_]

KINDS = ("full", "half", "evaded", "elided", "plagal", "open")
_BREACH = 12.0  # what leads to a close otherwise than asked


@dataclass(frozen=True, slots=True)
class Cadence:
    """How a phrase ends: its number from 1, when its last chord begins, the kind, the chords.

    ``open`` is any close of no other kind.
    """

    phrase: int
    onset: Fraction
    kind: str
    figures: tuple[str, str]


def find_cadences(one: Harmonisation, melody: Melody) -> tuple[Cadence, ...]:
    """Name the cadence at the end of every phrase of a melody.

    Heard in the key of the last chord's region, so that a phrase may close fully in a
    near key.
    """
    slots = [slot for slot in one.progression if slot.chord is not None]
    found = []
    for number, phrase in enumerate(melody.phrases, start=1):
        last = melody.notes[phrase.last]
        index = max((n for n, s in enumerate(slots) if s.onset < last.end), default=0)
        # A chord that changes under the last note closes the phrase; the one before leads.
        here = slots[index]
        before = slots[index - 1] if index else None
        after = slots[index + 1] if index + 1 < len(slots) else None
        key = here.key or melody.key
        assert here.chord is not None
        kind = _name(
            None if before is None else before.chord,
            here.chord,
            None if after is None else after.chord,
            key,
        )
        figures = ("" if before is None else before.figure, here.figure)
        found.append(Cadence(number, here.onset, kind, figures))
    return tuple(found)


def _name(before: Chord | None, here: Chord, after: Chord | None, key: Key) -> str:
    tonic = key.tonic.pitch_class

    def degree(chord: Chord) -> int:
        return (chord.root.pitch_class - tonic) % 12

    def dominant(chord: Chord | None) -> bool:
        return (
            chord is not None
            and degree(chord) in (7, 11)
            and chord.quality.name.startswith(("maj", "dom", "dim", "hdim"))
        )

    stands = here.bass == here.root
    if degree(here) == 0 and stands:
        if dominant(before):
            return "full"
        return "plagal" if before is not None and degree(before) == 5 else "open"
    if degree(here) == 7 and dominant(here) and stands:
        arrives = after is not None and degree(after) == 0 and after.bass == after.root
        return "elided" if arrives and here.quality.name == "dom7" else "half"
    return "evaded" if dominant(before) else "open"


def read_cadences(kinds: Sequence[str | None], melody: Melody) -> tuple[str | None, ...]:
    """Check the cadences asked for, one a phrase, None or "" where any will do.

    Raises
    ------
    HarmonyError
        For another number than there are phrases, or a kind there is not.
    """
    if len(kinds) != len(melody.phrases):
        raise HarmonyError(
            f"{len(kinds)} cadences are asked for and the tune has {len(melody.phrases)} phrases;"
            " name one for each, leaving it empty where any will do.",
            where="cadences",
        )
    asked = KINDS[:-1]
    for kind in kinds:
        if kind and kind not in asked:
            raise HarmonyError(
                f"{kind!r} is no cadence that can be asked for; {', '.join(asked)} are.",
                where="cadences",
            )
    if kinds and kinds[-1] == "elided":
        raise HarmonyError(
            "The last phrase has no other to elide into; full, half, evaded or plagal is accepted"
            " there.",
            where="cadences",
        )
    return tuple(kind or None for kind in kinds)


def ask_for(chain: Chain, kinds: Sequence[str | None]) -> Chain:
    """The chain with the cadences asked for, one a phrase.

    What the close of a phrase must be is held to; what leads to it costs so much
    otherwise that it is done wherever a chord for it fits the tune.

    Raises
    ------
    NoSolutionError
        Where the chord a cadence ends on does not fit the tune, saying where.
    """
    asked = replace(
        chain,
        allowed=chain.allowed.copy(),
        nodes={**chain.nodes, "cadence": chain.nodes["cadence"].copy()},
        steps={**chain.steps, "cadence": list(chain.steps["cadence"])},
    )
    chords = _Chords.of(chain.vocabulary)
    for number, (kind, final) in enumerate(zip(kinds, chain.finals, strict=True)):
        if kind is None:
            continue
        last = max(
            place
            for place, span in enumerate(chain.spans)
            if place == final or phrase_of(chain.melody, span) == number
        )
        _close(asked, chords, kind, final, last)
        if final:
            _lead(asked, chords, kind, final)
    return asked


@dataclass(frozen=True, slots=True)
class _Chords:
    """Which chords of a vocabulary may close a phrase or lead to its close, each (chords,).

    ``tonic``, ``triad`` and ``seventh`` (of the dominant) stand in root position,
    ``dominant`` is either of these two in any; ``roots`` are semitones above the tonic.
    """

    roots: NDArray[np.intp]
    stands: BoolArray
    tonic: BoolArray
    dominant: BoolArray
    triad: BoolArray
    seventh: BoolArray

    @classmethod
    def of(cls, vocabulary: Vocabulary) -> _Chords:
        """Sort the chords of a vocabulary by what they do in a cadence."""
        roots = vocabulary.roots
        stands = roots == vocabulary.basses
        qualities = np.array([entry.quality for entry in vocabulary.entries])
        triad, seventh = ((roots == 7) & (qualities == name) for name in ("maj", "dom7"))
        return cls(
            roots, stands, (roots == 0) & stands, triad | seventh, triad & stands, seventh & stands
        )

    def closing(self, kind: str) -> BoolArray:
        """Which chords a cadence of a kind ends its phrase on."""
        return {
            "full": self.tonic,
            "plagal": self.tonic,
            "half": self.triad,
            "elided": self.seventh,
            "evaded": ~self.tonic & ~self.dominant,
        }[kind]

    def leading(self, kind: str) -> BoolArray:
        """Which chords lead to a cadence that closes on, or turns away from, the tonic."""
        if kind == "plagal":
            return np.asarray(self.roots == 5)
        return self.dominant if kind == "evaded" else self.dominant & self.stands


def _close(asked: Chain, chords: _Chords, kind: str, final: int, last: int) -> None:
    """Hold the close of a phrase, and what follows to its ``last`` span, to a cadence."""
    allowed, fit = asked.allowed, asked.nodes["melody_fit"]
    close = chords.closing(kind)
    kept = allowed[final] & close
    if not kept.any() and asked.vocabulary.idiom.engine in ("learnt", "chain", "own"):
        kept = close & (fit[final] < TOO_FOREIGN)
    allowed[final] = kept
    is_cut_off = kind == "elided" and last + 1 == len(asked.spans)
    if kind == "elided" and not is_cut_off:
        # The tonic must come with the next phrase, so its first note must admit it.
        allowed[last + 1] &= chords.tonic & (fit[last + 1] < TOO_FOREIGN)
        is_cut_off = not allowed[last + 1].any()
    if is_cut_off or not kept.any():
        where = asked.melody.theme.meters.say_place(asked.spans[final].onset)
        article = "an" if kind[0] in "ae" else "a"
        raise NoSolutionError(
            f"The tune, or a chord fixed there, leaves no room for {article} {kind} cadence in"
            f" {where}; ask for another there, or let the chord go.",
            rule="cadence",
            where=where,
        )
    # Until the phrase is over the goal stays.
    allowed[final + 1 : last + 1] = kept
    asked.nodes["cadence"][final : last + 1] = 0.0


def _lead(asked: Chain, chords: _Chords, kind: str, final: int) -> None:
    """Price every step into a close that does not lead there as its cadence does."""
    breach = _BREACH / max(asked.weights["cadence"], 1e-6)
    steps = asked.steps["cadence"]
    if kind == "half":
        # The dominant is come to from elsewhere, so that it arrives with the close.
        same = np.equal.outer(chords.roots, chords.roots)
        steps[final - 1] = np.where(same, breach, 0.0)
    elif kind != "elided":
        step = np.where(chords.leading(kind), 0.0, breach)
        steps[final - 1] = np.tile(step[:, None], len(chords.roots))
