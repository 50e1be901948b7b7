"""All voicings of one chord that the rules of a single chord allow.

Voices are joined one by one from the lowest up, all partial voicings at once
(breadth first, in arrays); what can no longer be completed is dropped as soon as
that shows.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from harmony.search import stop_if_asked
from harmony.voicings.sonority import Sonority

IntArray = NDArray[np.int16]
FOREIGN = -1
"""Member number of a note that is not in the chord (a given melody's passing note)."""
MOST_CANDIDATES = 4_000_000


@dataclass(frozen=True, slots=True)
class Frame:
    """The limits every voicing keeps, lowest voice first.

    `low` and `high` bound each voice (MIDI numbers).  `gaps[i]` is the widest
    distance in semitones from voice i up to voice i + 1, 0 for no limit.
    `crossing` is how far in semitones a voice may lie below its lower neighbour, 0
    for not at all.  `easy` is the middle of each voice's register, where it lies
    best.  `given` holds a pitch for each voice that has one set (MIDI number), else
    None.  `doubled[i]` is the voice that voice i doubles, `octaves[i]` octaves
    away, or -1.  `at_most` is how often an acting leading tone or a chordal seventh
    may sound.  `span` limits all voices above the lowest, 0 for no limit.
    """

    low: tuple[int, ...]
    high: tuple[int, ...]
    gaps: tuple[int, ...]
    crossing: int = 0
    given: tuple[int | None, ...] = ()
    doubled: tuple[int, ...] = ()
    octaves: tuple[int, ...] = ()
    easy: tuple[tuple[int, int], ...] = ()
    at_most: int | None = 1
    keeps_bass: bool = True
    is_complete: bool = True
    span: int = 0

    def __post_init__(self) -> None:
        n = len(self.low)
        if not n or len(self.high) != n or len(self.gaps) != n - 1:
            raise ValueError("low, high and gaps must fit the number of voices")

    def __len__(self) -> int:
        return len(self.low)

    @property
    def real_voices(self) -> tuple[int, ...]:
        """The voices that do not double another: the real parts."""
        if not self.doubled:
            return tuple(range(len(self)))
        return tuple(v for v in range(len(self)) if self.doubled[v] < 0)


@dataclass(frozen=True, eq=False)
class Voicings:
    """The voicings of one chord.

    `pitches` has shape (n, voices), MIDI numbers, lowest voice first; `members`
    the same shape, the number of the chord's member each note is (bass 0), or -1.
    """

    sonority: Sonority
    frame: Frame
    pitches: IntArray
    members: NDArray[np.int8]

    def __len__(self) -> int:
        return len(self.pitches)

    @cached_property
    def real_pitches(self) -> IntArray:
        """Pitches of the real parts only, shape (n, real parts)."""
        return self.pitches[:, list(self.frame.real_voices)]

    @cached_property
    def counts(self) -> NDArray[np.int16]:
        """How many real parts have each member, shape (n, members)."""
        numbers = np.arange(len(self.sonority.members), dtype=np.int8)
        real = self.members[:, list(self.frame.real_voices)]
        result: NDArray[np.int16] = (real[:, :, None] == numbers).sum(axis=1, dtype=np.int16)
        return result

    @cached_property
    def presence(self) -> NDArray[np.bool_]:
        """Which members sound in any voice, shape (n, members)."""
        numbers = np.arange(len(self.sonority.members), dtype=np.int8)
        result: NDArray[np.bool_] = (self.members[:, :, None] == numbers).any(axis=1)
        return result

    def chosen(self, keep: NDArray[np.bool_] | NDArray[np.intp]) -> Voicings:
        """Give the voicings a mask or a list of numbers keeps."""
        return Voicings(self.sonority, self.frame, self.pitches[keep], self.members[keep])


def build_voicings(sonority: Sonority, frame: Frame) -> Voicings:
    """List every voicing of a chord within a frame, in rising order from the lowest voice.

    Raises MemoryError when there are more than `MOST_CANDIDATES`.
    """
    if sonority.fixed or sonority.is_stacked:
        pitches, members = _join_in_order(sonority, frame)
    else:
        pitches, members = _join(sonority, frame)
    order = np.lexsort(pitches.T[::-1]) if len(pitches) else np.arange(0)
    return Voicings(sonority, frame, pitches[order], members[order])


def _member_table(sonority: Sonority) -> NDArray[np.int8]:
    """The member each pitch class is, FOREIGN for the others, shape (12,)."""
    table = np.full(12, FOREIGN, dtype=np.int8)
    for number, pitch_class in reversed(list(enumerate(sonority.pitch_classes))):
        table[pitch_class] = number
    return table


def _options(
    sonority: Sonority, frame: Frame, voice: int, table: NDArray[np.int8]
) -> tuple[IntArray, NDArray[np.int8]]:
    """The pitches one voice may take, rising, and which member each is."""
    given = frame.given[voice] if frame.given else None
    if given is not None:
        # A given note stays even where it is foreign to the chord.
        pitch = np.array([given], dtype=np.int16)
        return pitch, table[pitch % 12]
    everything = np.arange(frame.low[voice], frame.high[voice] + 1, dtype=np.int16)
    members = table[everything % 12]
    if sonority.pedal is not None and voice == (len(frame) - 1 if sonority.pedal_above else 0):
        keep = everything % 12 == sonority.pedal.pitch_class
    elif sonority.has_bass and frame.keeps_bass and voice == 0:
        keep = members == 0
    else:
        keep = members != FOREIGN
    return everything[keep], members[keep]


def _join(sonority: Sonority, frame: Frame) -> tuple[IntArray, NDArray[np.int8]]:
    voices = len(frame)
    table = _member_table(sonority)
    needed = sum(
        1 << i for i, m in enumerate(sonority.members) if m.is_needed and frame.is_complete
    )
    once = sum(1 << i for i, m in enumerate(sonority.members) if m.pull and frame.at_most == 1)
    real = set(frame.real_voices)
    is_simple = not frame.crossing and not frame.doubled
    pitches = np.empty((1, 0), dtype=np.int16)
    members = np.empty((1, 0), dtype=np.int8)
    present = np.zeros(1, dtype=np.uint32)
    for voice in range(voices):
        stop_if_asked()
        option, member = _options(sonority, frame, voice, table)
        bit = np.where(member == FOREIGN, 0, 1 << member.astype(np.uint32)).astype(np.uint32)
        together = present[:, None] | bit
        rest = sum(1 for v in real if v > voice)
        # Enough real parts must be left for the notes still missing.
        allowed = np.bitwise_count(~together & np.uint32(needed)) <= rest
        if voice:
            step = option - pitches[:, -1:]
            allowed &= step >= -frame.crossing
            if frame.gaps[voice - 1]:
                allowed &= step <= frame.gaps[voice - 1]
            if frame.span and voice > 1:
                allowed &= option - pitches[:, 1:2] <= frame.span
        if once and (is_simple or voice in real):
            allowed &= (present[:, None] & bit & np.uint32(once)) == 0
        if not is_simple and voice:
            allowed &= _keeps_order(sonority, frame, voice, pitches, option)
        before, which = np.nonzero(allowed)
        if len(before) > MOST_CANDIDATES:
            raise MemoryError(f"more than {MOST_CANDIDATES} voicings of {sonority.figure}")
        pitches = np.concatenate([pitches[before], option[which][:, None]], axis=1)
        members = np.concatenate([members[before], member[which][:, None]], axis=1)
        present = together[before, which]
    return pitches, members


def _keeps_order(
    sonority: Sonority, frame: Frame, voice: int, pitches: IntArray, option: IntArray
) -> NDArray[np.bool_]:
    """Where voices may cross or double one another: what still may not be."""
    fine = np.ones((len(pitches), len(option)), dtype=bool)
    if frame.crossing and sonority.has_bass:
        # Crossing never touches the bass: the chord would change its inversion.
        fine &= option >= pitches[:, :1]
    if frame.doubled and frame.doubled[voice] >= 0:
        leader = pitches[:, frame.doubled[voice]][:, None]
        fine &= option == leader + 12 * frame.octaves[voice]
    return fine


def _join_in_order(sonority: Sonority, frame: Frame) -> tuple[IntArray, NDArray[np.int8]]:
    """Sonorities whose notes keep their order: each voice takes the same note or the next.

    Voices beyond the number of notes double their neighbour at the unison.
    """
    voices = len(frame)
    rows: list[Sequence[int]] = []
    kinds: list[list[int]] = []
    for stack in _stacks(sonority, frame):
        partial: list[tuple[int, ...]] = [()]
        for voice in range(voices):
            grown = []
            for places in partial:
                last = places[-1] if places else -1
                left = voices - voice
                for place in {max(last, 0), last + 1}:
                    if place >= len(stack) or len(stack) - 1 - place > left - 1:
                        continue
                    given = frame.given[voice] if frame.given else None
                    if not frame.low[voice] <= stack[place] <= frame.high[voice]:
                        continue
                    if given is None or given == stack[place]:
                        grown.append((*places, place))
            partial = grown
        rows += [[stack[p] for p in places] for places in partial]
        kinds += [[_member_at(sonority, stack, p) for p in places] for places in partial]
    shape = (-1, voices)
    return (
        np.array(rows, dtype=np.int16).reshape(shape),
        np.array(kinds, dtype=np.int8).reshape(shape),
    )


def _member_at(sonority: Sonority, stack: Sequence[int], place: int) -> int:
    return sonority.pitch_classes.index(stack[place] % 12)


def _stacks(sonority: Sonority, frame: Frame) -> list[tuple[int, ...]]:
    """The placements of an ordered sonority: one if its pitches are fixed, else by octaves."""
    if sonority.fixed:
        return [tuple(pitch.midi for pitch in sonority.fixed)]
    classes = sonority.pitch_classes
    stacks = []
    for bass in range(frame.low[0], frame.high[0] + 1):
        if bass % 12 != classes[0]:
            continue
        stack = [bass]
        for pitch_class in classes[1:]:
            stack.append(stack[-1] + ((pitch_class - stack[-1]) % 12 or 12))
        stacks.append(tuple(stack))
    return stacks
