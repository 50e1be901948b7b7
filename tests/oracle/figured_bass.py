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
from functools import cache, cached_property
from itertools import combinations, pairwise

import numpy as np

from harmony.pitch.interval import Interval, transpose
from harmony.pitch.key import Key
from harmony.pitch.spelling import Pitch, PitchName
from harmony.search import count_chains
from harmony.voicings.candidates import Frame, Voicings, build_voicings
from harmony.voicings.costs.leaps import staff_places
from harmony.voicings.sonority import Member, Sonority

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


@cache
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


@cache
def interval_words(voicings: Voicings, *, is_later: bool) -> np.ndarray:
    """What a step asks about the intervals of each realisation, as bits, shape (n,).

    For each pair of parts a bit for a fifth, one for an octave but no unison, one for
    either; then, for the outer parts, two bits that meet when an octave (a fifth) is
    reached from another interval.
    """
    parts = voicings.pitches.shape[1]
    low, high = np.array(list(combinations(range(parts), 2))).T
    pitches, places = voicings.pitches.T, staff_places(voicings).T
    gap, apart = pitches[high] - pitches[low], (places[high] - places[low]) % 7
    fifth = (gap % 12 == 7) & (apart == 4)
    eighth = (gap % 12 == 0) & (apart == 0)
    outer = parts - 2  # the pair of the lowest and the highest part
    hidden = [eighth[outer], fifth[outer]] if is_later else [apart[outer] != 0, apart[outer] != 4]
    bits = np.concatenate([fifth, eighth & (gap > 0), eighth, hidden])
    return weigh_bits(bits)


@cache
def motion_words(parts: int) -> np.ndarray:
    """Which of those bits count when some parts rise and some fall, by `motion_codes`."""
    codes = np.arange(4**parts)
    motion = [(codes >> v & 1) - (codes >> v + parts & 1) for v in range(parts)]
    both = np.array([motion[a] * motion[b] for a, b in combinations(range(parts), 2)])
    similar, contrary = both > 0, both < 0
    hidden = similar[parts - 2]
    bits = np.concatenate([similar | contrary, similar, contrary, [hidden, hidden]])
    return weigh_bits(bits)


@cache
def allowed_steps(before: Voicings, after: Voicings) -> np.ndarray:
    """Which ordinary steps the realiser lets pass, shape (r, c)."""
    old, new = (own.pitches.T.astype(np.int8) for own in (before, after))
    parts = len(old)
    fine = np.ones((len(before), len(after)), dtype=bool)
    # Parts never cross, so a part that overlaps any other overlaps its neighbour.
    for voice in range(parts - 1):
        fine &= new[voice] <= old[voice + 1][:, None]
        fine &= new[voice + 1] >= old[voice][:, None]
    rows, columns = np.divmod(np.flatnonzero(fine), len(after))
    words = interval_words(before, is_later=False)[rows]
    words &= interval_words(after, is_later=True)[columns]
    asked = np.flatnonzero(words)
    rows, columns, words = rows[asked], columns[asked], words[asked]
    codes = np.zeros(len(rows), dtype=np.intp)
    for moved in (np.less, np.greater):
        for voice in range(parts - 1, -1, -1):
            codes <<= 1
            codes |= moved(new[voice][columns], old[voice][rows])
    fine[rows, columns] = words & motion_words(parts)[codes] == 0
    return fine


def weigh_bits(bits: np.ndarray) -> np.ndarray:
    """Rows of truth values as the bits of words, the first row lowest."""
    return (2.0 ** np.arange(len(bits)) @ bits).astype(np.uint32)


def count_realisations(chords: list[FiguredChord], parts: int, highest: Pitch) -> int:
    """The number of realisations of a figured bass."""
    forced = [resolution(a, b) for a, b in pairwise(chords)]
    complete = [True] * len(chords)
    for place, (chord, following) in enumerate(pairwise(chords)):
        dominant = chord.sizes == (0, 4, 7, 10) and chord.inversion == 0
        tonic = following.thirds and following.thirds[0] == transpose(chord.names[0], FOURTH)
        if dominant and tonic and following.sizes in ((0, 4, 7), (0, 3, 7)):
            complete[place + 1] = False
    layers = [
        voicings_of(chord, parts, highest, complete=own)
        for chord, own in zip(chords, complete, strict=True)
    ]
    if not all(len(layer) for layer in layers[:-1]):
        return 0
    masks = []
    for place, ((before, after), moves) in enumerate(zip(pairwise(layers), forced, strict=True)):
        if moves is None:
            masks.append(allowed_steps(before, after))
            continue
        goals = [resolve(row, kinds, before, moves) for row, kinds in rows_of(before)]
        if place == len(layers) - 2:
            # The last resolution is taken as it comes, whatever the last chord says.
            masks.append(np.array([[max(goal) <= highest.midi] for goal in goals]))
        else:
            there = {tuple(row): i for i, row in enumerate(after.pitches.tolist())}
            mask = np.zeros((len(before), len(after)), dtype=bool)
            for i, goal in enumerate(goals):
                if goal in there:
                    mask[i, there[goal]] = True
            masks.append(mask)
    return count_chains(masks)


def forget() -> None:
    """Drop all that earlier counts have worked out, so that the next one starts cold."""
    voicings_of.cache_clear()
    interval_words.cache_clear()
    allowed_steps.cache_clear()


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
