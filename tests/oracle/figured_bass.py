"""Figured bass counted by the layered search, under the rules of music21's realiser.

What counts as a realisation there, re-stated from its documentation and behaviour
(music21 10.5.1, `figuredBass`): upper parts from the chord's names between bass and
highest pitch, all names present, the upper parts within an octave, no crossing;
between chords no overlap, no parallel fifths or octaves, no hidden fifths or octaves in
the outer parts.  A dominant or diminished seventh that meets its tonic, submediant or
subdominant is resolved in one prescribed way instead.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import combinations, pairwise

import numpy as np

from harmony.pitch.interval import Interval, transpose
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch, PitchName
from harmony.search import ArrayPairs, Layers, count_paths, pack
from harmony.voicings.candidates import Frame, Voicings, build_voicings
from harmony.voicings.costs.leaps import staff_places
from harmony.voicings.sonority import Member, Sonority
from harmony.voicings.steps import Steps

FIGURES = {
    "": (3, 5), "6": (3, 6), "6,4": (4, 6), "7": (3, 5, 7), "6,5": (3, 5, 6),
    "4,3": (3, 4, 6), "4,2": (2, 4, 6), "#": (3, 5), "7,5,#3": (3, 5, 7), "#6": (3, 6),
    "6,#4,2": (2, 4, 6), "b7": (3, 5, 7), "6,5,#3": (3, 5, 6), "#6,4,3": (3, 4, 6),
}  # fmt: skip
MINOR_SECOND, MAJOR_SECOND = Interval(1, 1), Interval(1, 2)
FOURTH, AUGMENTED_UNISON = Interval(3, 5), Interval(0, 1)
UPPER_SPAN = 12


def down(interval: Interval) -> Interval:
    return Interval(-interval.steps, -interval.semitones)


@dataclass(frozen=True)
class FiguredChord:
    """A bass note with its figures; `names` are spelled, bass first."""

    bass: Pitch
    figures: str
    names: tuple[PitchName, ...]

    @classmethod
    def read(cls, bass: Pitch, figures: str, key: Key) -> FiguredChord:
        scale = {name.letter: name for name in key.scale}
        letters = "CDEFGAB"
        start = letters.index(bass.letter)
        raised = {}
        for part in figures.split(","):
            sign = part[:1] if part[:1] in ("#", "b") else ""
            if sign:
                raised[int(part[1:] or 3)] = 1 if sign == "#" else -1
        names = [bass.name]
        for number in FIGURES[figures]:
            plain = scale[letters[(start + number - 1) % 7]]
            names.append(PitchName(plain.letter, plain.alter + raised.get(number, 0)))
        return cls(bass, figures, tuple(names))

    @cached_property
    def thirds(self) -> tuple[PitchName, ...]:
        """The names in thirds from the root up, empty if they are not in thirds."""
        for root in self.names:
            order = sorted(self.names, key=lambda n: (n.step - root.step) % 7)
            steps = [(n.step - root.step) % 7 for n in order]
            if steps == list(range(0, 2 * len(order), 2)):
                return tuple(order)
        return ()

    @cached_property
    def sizes(self) -> tuple[int, ...]:
        """Semitones above the root, by thirds."""
        thirds = self.thirds
        return tuple((n.pitch_class - thirds[0].pitch_class) % 12 for n in thirds)

    @property
    def inversion(self) -> int:
        return self.thirds.index(self.bass.name)


def resolution(chord: FiguredChord, following: FiguredChord) -> dict[object, Interval] | None:
    """How each name moves in a prescribed resolution; None for an ordinary step.

    The key "bass root" holds the move of a root that sounds at the bass's own pitch.
    """
    if chord.sizes not in ((0, 4, 7, 10), (0, 3, 6, 9)) or not following.thirds:
        return None
    root, third, fifth, seventh = chord.thirds
    goal, kind = following.thirds[0], following.sizes
    if kind not in ((0, 4, 7), (0, 3, 7)):
        return None
    is_major = kind == (0, 4, 7)
    if chord.sizes == (0, 4, 7, 10):
        tonic = transpose(root, FOURTH)
        if goal == tonic:
            rises = chord.inversion == 2 and following.inversion == 1
            fall = MINOR_SECOND if is_major else MAJOR_SECOND
            rise = MAJOR_SECOND if is_major else MINOR_SECOND
            return {
                "bass root": FOURTH,
                third: MINOR_SECOND,
                fifth: rise if rises else down(MAJOR_SECOND),
                seventh: MAJOR_SECOND if rises else down(fall),
            }
        if chord.inversion == 2:
            return None
        step = MAJOR_SECOND if goal == transpose(root, MAJOR_SECOND) else MINOR_SECOND
        if goal == transpose(root, step) and is_major == (step == MINOR_SECOND):
            fall = down(MAJOR_SECOND if is_major else MINOR_SECOND)
            return {
                root: step, third: MINOR_SECOND, fifth: down(MAJOR_SECOND), seventh: fall
            }  # fmt: skip
        if goal == transpose(tonic, FOURTH):
            step = MAJOR_SECOND if is_major else MINOR_SECOND
            return {root: step, third: MINOR_SECOND, fifth: down(MAJOR_SECOND)}
        return None
    tonic = transpose(root, MINOR_SECOND)
    if goal == tonic:
        doubled = chord.inversion == 1 and following.inversion == 0
        up = MAJOR_SECOND if is_major else MINOR_SECOND
        fall = down(MINOR_SECOND if is_major else MAJOR_SECOND)
        return {
            root: MINOR_SECOND,
            third: down(MAJOR_SECOND) if doubled else up,
            fifth: fall,
            seventh: down(MINOR_SECOND),
        }
    if goal == transpose(tonic, FOURTH):
        moves: dict[object, Interval] = {root: MINOR_SECOND, third: down(MAJOR_SECOND)}
        return moves | ({seventh: AUGMENTED_UNISON} if is_major else {})
    return None


def voicings_of(chord: FiguredChord, parts: int, highest: Pitch, *, complete: bool) -> Voicings:
    """The realisations of one chord, lowest part first."""
    members = tuple(Member(name, "own", is_needed=complete) for name in chord.names)
    bass, top = chord.bass.midi, highest.midi
    frame = Frame(
        low=(bass,) * parts,
        high=(bass, *(top,) * (parts - 1)),
        gaps=(0,) * (parts - 1),
        at_most=None,
        span=UPPER_SPAN,
        given=(bass, *(None,) * (parts - 1)),
    )
    return build_voicings(Sonority(members, is_tertian=False, inversion=None), frame)


def allowed_steps(steps: Steps) -> np.ndarray:
    """Which ordinary steps the realiser lets pass, shape (r, c)."""
    parts = steps.voices
    low, high = np.array(list(combinations(range(parts), 2))).T
    sides = [
        (own.pitches.T, staff_places(own).T) for own in (steps.before, steps.after)
    ]  # each (parts, n)
    (old, old_place), (new, new_place) = sides
    overlap = (new[low][:, None, :] > old[high][:, :, None]).any(axis=0)
    overlap |= (new[high][:, None, :] < old[low][:, :, None]).any(axis=0)
    gap = old[high] - old[low], new[high] - new[low]
    apart = old_place[high] - old_place[low], new_place[high] - new_place[low]
    fifth = [(g % 12 == 7) & (s % 7 == 4) for g, s in zip(gap, apart, strict=True)]
    eighth = [(g % 12 == 0) & (s % 7 == 0) for g, s in zip(gap, apart, strict=True)]
    octave = [e & (g > 0) for e, g in zip(eighth, gap, strict=True)]
    signs = np.sign(steps.moves).astype(np.int8)
    motion = signs[low] * signs[high]  # 1 similar, -1 contrary, 0 oblique
    bad = fifth[0][:, :, None] & fifth[1][:, None, :] & (motion != 0)
    bad |= octave[0][:, :, None] & octave[1][:, None, :] & (motion > 0)
    bad |= eighth[0][:, :, None] & eighth[1][:, None, :] & (motion < 0)
    outer = parts - 2  # the pair of the lowest and the highest part
    simple = [a[outer] % 7 for a in apart]
    hidden = (simple[0][:, None] != simple[1][None, :]) & (fifth[1] | eighth[1])[outer]
    return ~(bad.any(axis=0) | overlap | (hidden & (motion[outer] > 0)))


def count_realisations(chords: list[FiguredChord], parts: int, highest: Pitch) -> int:
    """The number of realisations of a figured bass."""
    forced = [resolution(a, b) for a, b in pairwise(chords)]
    complete = [True] * len(chords)
    for place, (chord, following) in enumerate(pairwise(chords)):
        dominant = chord.sizes == (0, 4, 7, 10) and chord.inversion == 0
        tonic = following.thirds and following.thirds[0] == transpose(chord.names[0], FOURTH)
        if dominant and tonic and following.sizes in ((0, 4, 7), (0, 3, 7)):
            complete[place + 1] = False
    known: dict[tuple[FiguredChord, bool], Voicings] = {}
    layers = []
    for key in zip(chords, complete, strict=True):
        if key not in known:
            known[key] = voicings_of(key[0], parts, highest, complete=key[1])
        layers.append(known[key])
    if not all(len(layer) for layer in layers[:-1]):
        return 0
    masks = []
    seen: dict[tuple[int, int], np.ndarray] = {}
    sizes = [len(layer) for layer in layers]
    for place, ((before, after), moves) in enumerate(zip(pairwise(layers), forced, strict=True)):
        if moves is None:
            pair = id(before), id(after)
            if pair not in seen:
                seen[pair] = allowed_steps(Steps(before, after))
            masks.append(seen[pair])
            continue
        goals = [resolve(row, kinds, before, moves) for row, kinds in rows_of(before)]
        if place == len(layers) - 2:
            # The last resolution is taken as it comes, whatever the last chord says.
            masks.append(np.array([[max(goal) <= highest.midi] for goal in goals]))
            sizes[-1] = 1
        else:
            there = {tuple(row): i for i, row in enumerate(after.pitches.tolist())}
            mask = np.zeros((len(before), len(after)), dtype=bool)
            for i, goal in enumerate(goals):
                if goal in there:
                    mask[i, there[goal]] = True
            masks.append(mask)
    if not all(sizes):
        return 0
    single = tuple(np.zeros((1, n), dtype=np.int16) for n in sizes)
    pairs = tuple(
        ArrayPairs(("step",), np.zeros((1, *mask.shape), dtype=np.int16), mask) for mask in masks
    )
    return count_paths(pack(Layers(("chord",), single, pairs)).weigh(np.ones(1), np.ones(1)))


def rows_of(voicings: Voicings) -> list[tuple[list[int], list[int]]]:
    return list(zip(voicings.pitches.tolist(), voicings.members.tolist(), strict=True))


def resolve(
    row: list[int], kinds: list[int], voicings: Voicings, moves: dict[object, Interval]
) -> tuple[int, ...]:
    """Where a prescribed resolution leads, MIDI numbers."""
    found = []
    for midi, member in zip(row, kinds, strict=True):
        name = voicings.sonority.members[member].name
        move = moves.get(name)
        if "bass root" in moves and midi == row[0] and member == 0 and is_root(moves, voicings):
            move = moves["bass root"]
        found.append(midi + (move.semitones if move else 0))
    return tuple(found)


def is_root(moves: dict[object, Interval], voicings: Voicings) -> bool:
    """True where the bass is the root: the one name the resolution gives no move of its own."""
    return voicings.sonority.members[0].name not in moves
